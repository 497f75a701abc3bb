"""Single drops at a fixed delay: lateness, what the valve makes of it, and what it does not."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from jitter.answers.ages import ages, sum_ages
from jitter.answers.fit.components import Squares
from jitter.answers.fit.frames import RELEASE, shoot, single_drop
from jitter.answers.fit.shares import Series, pooled, told_apart
from jitter.answers.variants import scaled, with_spread, with_values
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.quantities import Level, Quantity, sd
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.answers.fit.measured import BARN, find_in, number, parts
from tests.conftest import load

VALVE, BEAM = "valve", "first drop"


def frames(
    rig: Study, start: str, delay: float, *, seed: int, setups: int, shots: int
) -> NDArray[np.float64]:
    used = with_values(rig, {"timer.start": start, "timer.delay": delay})
    return np.concatenate(list(shoot(used, CHAIN, Layout(seed, setups, shots))))


def rows(shown: NDArray[np.float64], start: str, delay: float) -> list[str]:
    return [
        f"drop height,{1e3 * height:.3f} mm,{setup},{1e3 * delay} ms,{start},,,,"
        for setup, row in enumerate(shown)
        for height in row[~np.isnan(row)]
    ]


def test_a_later_drop_is_as_late_as_it_is() -> None:
    rig = load("barn-table")
    drop = single_drop(rig, CHAIN, start=VALVE, delay=0.15)
    late = with_values(rig, {"valve.latency": 0.010, "valve.release_speed": 0.05})
    shown = single_drop(late, CHAIN, start=VALVE, delay=0.15)
    # closed form: a latency 2 ms longer is a drop 2 ms later
    assert float(drop.lateness(np.array([shown.height]))[0]) == pytest.approx(2e-3, abs=2e-6)
    # closed form, no drag: -t/v for the release speed, with t = 142 ms and v = 0.05 + 9.8 t
    assert drop.slopes["valve.release_speed"] == pytest.approx(-0.142 / 1.443, rel=0.01)
    beam = single_drop(late, CHAIN, start=BEAM, delay=0.05)
    assert beam.height == pytest.approx(
        single_drop(rig, CHAIN, start=BEAM, delay=0.05).height, abs=1e-9
    )
    assert abs(beam.slopes["valve.latency"]) < 1e-3


def test_what_else_strays_adds_up_with_the_valve() -> None:
    rig = load("barn-table")
    drop = single_drop(rig, CHAIN, start=VALVE, delay=0.15)
    shown = frames(rig, VALVE, 0.15, seed=5, setups=512, shots=32)
    late = drop.lateness(shown.ravel()).reshape(shown.shape)
    whole = ages(sum_ages(late))
    made = [drop.slopes[key] * size for key, size in zip(RELEASE, (0.0003, 0.02), strict=True)]
    # Release speeds are held at 0: a normal of mean 0.05 and sd 0.02, with the set-up's, loses 8 %.
    assert whole.shot == pytest.approx(math.hypot(drop.rest.shot, *made), rel=0.1)
    still = scaled(rig, [(key, level) for key in RELEASE for level in Level], 0.0)
    alone = frames(still, VALVE, 0.15, seed=6, setups=512, shots=32)
    rest = ages(sum_ages(drop.lateness(alone.ravel()).reshape(alone.shape)))
    assert rest.shot == pytest.approx(drop.rest.shot, rel=0.03)
    assert rest.setup == pytest.approx(drop.rest.setup, rel=0.15)


def test_latency_is_recovered_and_release_speed_keeps_its_share() -> None:
    rig = with_spread(load("barn-table"), ["valve.latency"], Level.SHOT, sd(1e-3))
    rig = with_spread(rig, ["valve.release_speed"], Level.SHOT, sd(0.0))
    shown = frames(rig, VALVE, 0.15, seed=7, setups=1, shots=2000)
    text = BARN.replace("[sensor]", 'release_speed = { shot = "none" }\n[sensor]')
    (found,) = find_in(rows(shown, VALVE, 0.15), text=text)
    made = number(found, "valve.latency, sd from shot").estimate
    # closed form: sd of a standard deviation from 2000 frames, 1/√3998
    assert made.value == pytest.approx(1e-3, rel=3.0 / math.sqrt(3998.0))
    assert made.low < 1e-3 < made.high
    assert "shot" in parts(found, "valve.latency")
    assert parts(found, "valve.release_speed") == {}


def test_a_reading_error_nobody_stated_is_taken_off_by_the_beam() -> None:
    rig = load("barn-table")
    noise = np.random.default_rng(8).standard_normal((2, 1, 400)) * 2e-3
    valve = frames(rig, VALVE, 0.15, seed=9, setups=1, shots=400) + noise[0]
    beam = frames(rig, BEAM, 0.05, seed=10, setups=1, shots=400) + noise[1]
    (alone,) = find_in(rows(valve, VALVE, 0.15))
    (both,) = find_in([*rows(valve, VALVE, 0.15), *rows(beam, BEAM, 0.05)])
    drop = single_drop(rig, CHAIN, start=VALVE, delay=0.15)
    pure = ages(
        sum_ages(drop.lateness(frames(rig, VALVE, 0.15, seed=9, setups=1, shots=400)[0])[None])
    )
    name = "lateness that the valve makes, sd from shot"
    before, after = number(alone, name).estimate, number(both, name).estimate
    assert before.value > math.hypot(pure.shot, 1.2e-3)
    assert after.value == pytest.approx(pure.shot, rel=0.08)
    assert after.low < pure.shot < after.high
    assert "not stated" in " ".join(alone.notes)
    assert "not stated" not in " ".join(both.notes)


def test_a_valve_that_does_not_stray_is_never_negative() -> None:
    random = np.random.default_rng(11)
    rig = scaled(load("barn-table"), [(key, Level.SHOT) for key in RELEASE], 0.0)
    valve = frames(rig, VALVE, 0.15, seed=1, setups=1, shots=30)
    beam = frames(rig, BEAM, 0.05, seed=2, setups=1, shots=30)
    beam = beam + 1e-3 * random.standard_normal(beam.shape)
    (found,) = find_in([*rows(valve, VALVE, 0.15), *rows(beam, BEAM, 0.05)])
    made = number(found, "lateness that the valve makes, sd from shot").estimate
    assert made.value == made.low == 0.0
    assert 0.0 < made.high < 1e-3
    assert "cannot be told from 0" in " ".join(found.notes)
    # The study's 2 ms are more than these frames allow.
    written = float(parts(found, "valve.release_speed")["shot"].split()[1])
    assert 0.0 < written < 0.01


def test_beam_alone_changes_nothing() -> None:
    shown = frames(load("barn-table"), BEAM, 0.05, seed=3, setups=1, shots=20)
    (found,) = find_in(rows(shown, BEAM, 0.05))
    assert found.values == ()
    assert "started by the valve too" in " ".join(found.notes)


def test_a_mean_that_is_clearly_off_moves_the_latency() -> None:
    rig = load("barn-table")
    setups = [
        (key, Level.SETUP)
        for key, entry in rig.entries.items()
        if isinstance(entry.declaration, Quantity) and entry.declaration.strays
    ]
    still = scaled(rig, setups, 0.0)
    late = with_values(still, {"valve.latency": 0.012})
    (found,) = find_in(rows(frames(late, VALVE, 0.15, seed=3, setups=1, shots=60), VALVE, 0.15))
    value = number(found, "valve.latency, value")
    # 2 ms from shot to shot: 60 frames know the mean to 0.26 ms.
    assert value.estimate.value == pytest.approx(0.012, abs=3 * 0.26e-3)
    assert parts(found, "valve.latency")["nominal"].endswith('ms"')
    (same,) = find_in(rows(frames(still, VALVE, 0.15, seed=3, setups=1, shots=60), VALVE, 0.15))
    assert "nominal" not in parts(same, "valve.latency")
    assert "agrees with the study" in " ".join(same.notes)


def some(heights: list[float], start: str = VALVE) -> list[str]:
    delay = 150 if start == VALVE else 50
    return [f"drop height,{height} mm,,{delay} ms,{start},,,," for height in heights]


def test_four_frames_do_not_take_the_place_of_what_they_allow() -> None:
    (few,) = find_in(some([500.0, 503.0, 505.0, 499.0]))
    assert few.values == ()
    assert "so few readings" in " ".join(few.notes)
    (enough,) = find_in(some([500.0, 503.0, 505.0, 499.0, 501.0]))
    assert "shot" in parts(enough, "valve.latency")


def test_one_frame_says_nothing_of_spreads() -> None:
    (found,) = find_in(some([500.0]))
    assert found.values == ()
    told = " ".join(found.notes)
    assert "so little" in told
    assert "inf" not in told
    assert "holds the error" not in told


def test_the_mean_lateness_has_the_uncertainty_of_its_interval() -> None:
    (found,) = find_in(some([500.0, 503.0, 505.0, 499.0, 501.0]))
    mean = number(found, "mean lateness")
    assert mean.uncertainty is not None
    # t_0.975 of 4 degrees of freedom, published: JCGM 100:2008, table G.2 (from memory)
    assert mean.estimate.high - mean.estimate.low == pytest.approx(
        2 * 2.776 * mean.uncertainty, 1e-3
    )


@pytest.mark.parametrize("beam", [[392.8], [392.8] * 5])
def test_a_beam_that_shows_no_scatter_takes_nothing_off(beam: list[float]) -> None:
    valve = some([500.0, 503.0, 505.0, 499.0, 501.0])
    (found,) = find_in([*valve, *some(beam, BEAM)])
    told = " ".join(found.notes)
    assert "not stated" in told
    assert "too few, or their heights too coarse" in told


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("drop height,-3 mm,,150 ms,valve,,,,", "not between the surface and the nozzle"),
        ("drop height,640 mm,,150 ms,valve,,,,", "not between the surface and the nozzle"),
        ("drop height,5 mm,,150 ms,valve,,,,", "ms earlier than the study's drop"),
        ("drop height,5 mm,,500 ms,valve,,,,", "has landed"),
        ("drop height,500 mm,,5 ms,valve,,,,", "hangs at the nozzle"),
        ("drop height,500 mm,,150 ms,first drop,,,,", "ms later than the study's drop"),
        ("drop height,5 mm,,250 ms,first drop,,,,", "has landed"),
        ("drop height,500 mm,,150 ms,second drop,,,,", "not started by the second drop"),
    ],
)
def test_frames_that_cannot_be_are_faults(row: str, said: str) -> None:
    with pytest.raises(MistakeError) as caught:
        find_in([row])
    assert said in str(caught.value)
    assert caught.value.faults[0].line == 2


def test_pooling_weighs_by_degrees_of_freedom() -> None:
    one = Series(Squares(1.0, 30), 0.1, (1.0, 0.01))
    other = Series(Squares(4.0, 10), 0.5, (1.0, 0.02))
    both = pooled([one, other])
    assert (both.squares.value, both.squares.freedom) == (1.75, 40)
    assert both.known == pytest.approx(0.2)
    assert both.slopes == pytest.approx((1.0, 0.0125))


def test_far_and_near_series_tell_latency_and_release_speed_apart() -> None:
    latency, speed = 0.5e-3, 0.03
    slopes = [(1.0, 0.02**2), (1.0, 0.1**2)]
    series = [
        Series(Squares(first * latency**2 + second * speed**2 + 1e-8, 400), 1e-8, (first, second))
        for first, second in slopes
    ]
    found = told_apart(series)
    assert found is not None
    # closed form: two equations, two unknowns
    assert (found[0].value, found[1].value) == pytest.approx((latency, speed), rel=1e-6)
    assert found[0].low < latency < found[0].high
    assert found[1].low < speed < found[1].high
    few = [Series(Squares(one.squares.value, 8), one.known, one.slopes) for one in series]
    assert told_apart(few) is None


def test_series_close_to_the_nozzle_are_used_where_the_reading_is_known() -> None:
    rig = with_spread(load("barn-table"), ["valve.release_speed"], Level.SHOT, sd(0.012))
    rig = scaled(rig, [("pool.level", Level.SHOT), ("valve.release_speed", Level.SETUP)], 0.0)
    random = np.random.default_rng(21)
    text = BARN.replace("[sensor]", 'release_speed = { setup = "none" }\n[sensor]')
    text += '\n[pool]\nlevel = { nominal = "0 mm", shot = "none" }\n'
    made = []
    for delay in (0.0135, 0.2):
        shown = frames(rig, VALVE, delay, seed=22, setups=1, shots=1500)
        made += rows(shown + 2e-6 * random.standard_normal(shown.shape), VALVE, delay)
    (found,) = find_in(made, text=text, drop_height=2e-6)
    assert "tell latency and release speed apart" in " ".join(found.notes)
    speed = number(found, "valve.release_speed, sd from shot").estimate
    assert speed.low < 0.012 < speed.high
    (unstated,) = find_in(made, text=text)
    assert "both take their share" in " ".join(unstated.notes)
