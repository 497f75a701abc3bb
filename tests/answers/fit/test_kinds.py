"""Weighings, streaks and jets: recovered, told, and never more than they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.fit.components import Squares, between_setups
from jitter.answers.fit.parabola import parabola
from jitter.errors import MistakeError
from jitter.stages import CHAIN
from jitter.trial import nominal_shot, single
from tests.answers.fit.measured import BARN, find_in, fitted, number, parts
from tests.conftest import load

DROP = 47.7e-9 * 998.2e3
"""Mass of a usual drop [g]."""


def weighed(masses: list[float], drops: int = 100, setup: str = "") -> list[str]:
    return [f"drops weighed,{mass:.4f} g,{setup},,,{drops},,," for mass in masses]


def test_the_scatter_of_weighings_is_that_of_drops_times_root_n() -> None:
    random = np.random.default_rng(1)
    made = [float(np.sum(DROP * (1.0 + 0.03 * random.standard_normal(100)))) for _ in range(60)]
    (found,) = find_in(weighed(made))
    one = number(found, "mass of a drop, sd").estimate
    # closed form: sd of a standard deviation from 60 weighings, 1/√118
    assert one.value == pytest.approx(0.03 * DROP * 1e-3, rel=3.0 / math.sqrt(118.0))
    assert number(found, "mass of a drop").estimate.value == pytest.approx(DROP * 1e-3, rel=2e-3)
    # A third of the relative spread, for both drops alike.
    share = float(parts(found, "valve.first_diameter")["shot"].split()[1])
    assert share == pytest.approx(1.0, rel=0.3)
    assert parts(found, "valve.first_diameter") == parts(found, "valve.second_diameter")


def test_the_balance_is_taken_off_for_unequal_numbers_of_drops() -> None:
    random = np.random.default_rng(2)
    rows = []
    for many in (50, 100, 200) * 40:
        mass = np.sum(DROP * (1.0 + 0.01 * random.standard_normal(many)))
        rows += weighed([float(mass + 0.01 * random.standard_normal())], many)
    (found,) = find_in(rows, drops_weighed=1e-5)
    # closed form: sd of a standard deviation from 120, 1/√238, and the balance's part of it
    one = number(found, "mass of a drop, sd").estimate
    assert one.value == pytest.approx(0.01 * DROP * 1e-3, rel=0.35)
    assert one.low < 0.01 * DROP * 1e-3 < one.high
    (raw,) = find_in(rows)
    assert number(raw, "mass of a drop, sd").estimate.low > 0.01 * DROP * 1e-3


@pytest.mark.parametrize(
    ("text", "key", "said"),
    [
        (BARN, "valve.first_diameter", ""),
        (BARN.replace('first_diameter = { nominal = "4.5 mm" }', 'first_volume = "47.7 ul"'),
         "valve.first_volume", ""),
        (BARN.replace('first_diameter = { nominal = "4.5 mm" }', 'first_mass = "4.763 g"'),
         "valve.first_mass", ""),
        (BARN.replace('first_diameter = { nominal = "4.5 mm" }', 'first_diameter = "4 mm"'),
         "", "differ in size"),
        (BARN.replace('first_diameter = { nominal = "4.5 mm" }',
                      'first_opening = "50 ms"\nflow = "1 ml/s"'), "", "open time"),
    ],
)  # fmt: skip
def test_a_drop_is_written_as_the_study_states_it(text: str, key: str, said: str) -> None:
    masses = [4.76, 4.78, 4.77, 4.75]
    if not key:
        (untold,) = find_in(weighed(masses), text=text)
        assert untold.values == ()
        assert said in " ".join(untold.notes)
        return
    study, _, (found,) = fitted(weighed(masses), text=text)
    assert "nominal" in parts(found, key)
    shot = nominal_shot(study, CHAIN)
    size, density = single(shot, "first_diameter"), single(shot, "density")
    # closed form: a sphere of the mean mass
    mass = np.mean(masses) * 1e-5
    assert size == pytest.approx((6.0 * mass / (math.pi * density)) ** (1 / 3), rel=1e-5)


@pytest.mark.parametrize(
    ("rows", "said"),
    [(weighed([4.77]), "one weighing"), (weighed([4.77, 4.77, 4.77]), "too coarse")],
)
def test_one_weighing_and_weighings_all_alike(rows: list[str], said: str) -> None:
    (found,) = find_in(rows)
    assert said in " ".join(found.notes)
    assert set(parts(found, "valve.first_diameter")) == {"nominal"}
    assert math.isinf(number(found, "mass of a drop").estimate.high)


def test_four_weighings_do_not_take_the_place_of_what_they_allow() -> None:
    (few,) = find_in(weighed([4.765, 4.768, 4.77, 4.762]))
    assert set(parts(few, "valve.first_diameter")) == {"nominal"}
    assert "so few readings" in " ".join(few.notes)
    (enough,) = find_in(weighed([4.765, 4.768, 4.77, 4.762, 4.764]))
    assert set(parts(enough, "valve.first_diameter")) == {"nominal", "shot"}


@pytest.mark.parametrize("row", ["drops weighed,-4 g,,,,100,,,", "drops weighed,4 kg,,,,100,,,"])
def test_no_mass_of_drops(row: str) -> None:
    with pytest.raises(MistakeError, match="is no mass of drops"):
        find_in([row])


def test_drops_of_different_size_are_weighed_each_by_itself() -> None:
    text = BARN.replace('second_diameter = { nominal = "4.5 mm" }', 'second_diameter = "4.8 mm"')
    first = [f"first {row}" for row in weighed([4.76, 4.78, 4.77, 4.75])]
    second = [f"second {row}" for row in weighed([5.76, 5.78, 5.77, 5.75])]
    (together,) = find_in(weighed([5.2, 5.3]), text=text)
    assert "as first drops weighed and as second drops weighed" in " ".join(together.notes)
    study, _, found = fitted([*first, *second], text=text)
    assert [one.what for one in found] == ["first drops weighed", "second drops weighed"]
    assert parts(found[0], "valve.second_diameter") == parts(found[1], "valve.first_diameter") == {}
    shot = nominal_shot(study, CHAIN)
    for which, mass in (("first", 4.765e-5), ("second", 5.765e-5)):
        # closed form: a sphere of the mean mass
        size = (6.0 * mass / (math.pi * single(shot, "density"))) ** (1 / 3)
        assert single(shot, f"{which}_diameter") == pytest.approx(size, rel=1e-5)


def test_a_drop_weighed_twice_over_is_told_once() -> None:
    with pytest.raises(MistakeError) as caught:
        find_in([*weighed([4.76]), "first " + weighed([4.76])[0]])
    (fault,) = caught.value.faults
    assert fault.line == 3
    assert fault.wrong == (
        "drops weighed and first drops weighed both say what valve.first_diameter is"
    )


def streaks(power: str, durations: list[float]) -> list[str]:
    # At 0.4 of life size and 2.37 m/s, about the speed 0.31 m above the surface.
    return [
        f"streak,{0.4 * 2.37 * one * 1e6 + 18.0:.4f} um,,,,,{power},18 um,314 mm"
        for one in durations
    ]


def test_streaks_of_one_power_scale_the_curve() -> None:
    (found,) = find_in(streaks("1/64", [66e-6, 68e-6, 67e-6, 65e-6]), streak=1e-7)
    expected = number(found, "t0.1 at 1/64").old
    assert expected is not None
    told = float(parts(found, "flash.duration_scale")["nominal"])
    assert told == pytest.approx(66.5e-6 / expected, rel=0.02)
    assert parts(found, "flash.duration_scale")["setup"] == '"lognormal sd 0.1"'
    study, _, _ = fitted(streaks("1/64", [66e-6, 68e-6, 67e-6, 65e-6]))
    shot = nominal_shot(study, CHAIN)
    assert single(shot, "flash_duration") == pytest.approx(66.5e-6, rel=0.02)


def test_streaks_of_several_powers_make_a_table() -> None:
    rows = [*streaks("1/128", [50e-6, 52e-6]), *streaks("1/32", [120e-6, 124e-6])]
    text = BARN.replace('power = "1/64"', 'power = "1/64"\nduration_scale = 1.3')
    study, _, _ = fitted(rows, text=text)
    # closed form: straight between the points on logarithmic paper
    shot = nominal_shot(study, CHAIN)
    assert single(shot, "flash_duration") == pytest.approx(math.sqrt(51e-6 * 122e-6), rel=0.02)
    assert study.number("flash.duration_scale") == 1.3


def test_scatter_about_a_table_is_that_at_each_power() -> None:
    # A flash whose curve is not the study's: 30 times as long at 4 times the power.
    rows = [
        *streaks("1/128", [20e-6, 20.4e-6, 19.6e-6, 20.2e-6]),
        *streaks("1/32", [600e-6, 612e-6, 588e-6, 606e-6]),
    ]
    (found,) = find_in(rows, streak=1e-9)
    # closed form: both series have the same shares, of mean 1.0025 and sum of squares 8.75e-4,
    # so that the variance is 2 · 8.75e-4/1.0025² over 6 degrees of freedom
    made = number(found, "flash.duration_scale, sd").estimate.value
    assert made == pytest.approx(math.sqrt(2.0 * 8.75e-4 / 6.0) / 1.0025, rel=1e-3)
    assert parts(found, "flash.duration_scale")["setup"] == '"lognormal sd 0.1"'


def test_streaks_all_alike_are_too_coarse() -> None:
    (found,) = find_in(streaks("1/64", [66e-6] * 3))
    assert "too coarse" in " ".join(found.notes)
    assert "mostly that of reading" not in " ".join(found.notes)


def test_powers_beside_the_study_s_scale_the_curve() -> None:
    rows = [*streaks("1/16", [150e-6]), *streaks("1/8", [290e-6])]
    (found,) = find_in(rows)
    assert "lies outside those measured" in " ".join(found.notes)
    assert parts(found, "flash.tenth_durations") == {}
    assert "nominal" in parts(found, "flash.duration_scale")


def test_scatter_of_streaks_is_written_only_where_the_reading_is_known() -> None:
    rows = streaks("1/64", [66e-6, 70e-6, 62e-6, 65e-6])
    (unstated,) = find_in(rows)
    assert "shot" not in parts(unstated, "flash.duration_scale")
    assert "not written" in " ".join(unstated.notes)
    (stated,) = find_in(rows, streak=1e-6)
    assert "shot" in parts(stated, "flash.duration_scale")


def test_pixels_are_of_the_study_s_camera() -> None:
    rows = ["streak,11 px,,,,,1/64,3 px,314 mm", "streak,66 um,,,,,1/64,18 um,314 mm"]
    (found,) = find_in(rows)
    assert number(found, "t0.1 at 1/64").estimate.value == pytest.approx(
        48e-6 / 0.4 / 2.37, rel=0.02
    )
    # Both are the same length: too coarse to say how far the light strays.
    assert math.isinf(number(found, "t0.1 at 1/64").estimate.high)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("streak,11 px,,,,,1/64,13 px,314 mm", "check the unit of streak and glint"),
        ("streak,11 px,,,,,1/64,3 px,700 mm", "not between the surface and the nozzle"),
        ("streak,11 m,,,,,1/64,3 um,314 mm", "it would be a light of"),
    ],
)
def test_streaks_that_cannot_be(row: str, said: str) -> None:
    with pytest.raises(MistakeError, match=said):
        find_in([row])


def tips(
    height: float, peak: float, times: list[float], noise: float = 0.0, seed: int = 3
) -> list[float]:
    random = np.random.default_rng(seed)
    shape = [1.0 - ((t - peak) / (179.0 / 327.0 * peak)) ** 2 for t in times]
    return [height * one + noise * random.standard_normal() for one in shape]


def test_a_parabola_without_errors_is_found_again() -> None:
    times = [0.07, 0.09, 0.12, 0.15]
    found = parabola(np.array(times), np.array(tips(0.03, 0.11, times)))
    assert found is not None
    # closed form: the points were made by it
    assert tuple(found.top) == pytest.approx((0.03, 0.11), rel=1e-9)
    assert found.scatter == 0.0


def test_uncertainty_of_the_parabola_is_that_of_repeated_fits() -> None:
    random = np.random.default_rng(6)
    times = np.repeat([0.08, 0.11, 0.14, 0.17], 3)
    clean = np.array(tips(0.03, 0.12, list(times)))
    fits = [
        found
        for _ in range(300)
        if (found := parabola(times, clean + 1e-3 * random.standard_normal(12))) is not None
    ]
    assert len(fits) == 300
    tops = np.array([one.top for one in fits])
    stated = np.sqrt(np.mean([one.doubts**2 for one in fits], axis=0))
    # closed form: sd of a standard deviation from 300 fits, 1/√598
    assert np.std(tops, axis=0, ddof=1) == pytest.approx(stated, rel=4.0 / math.sqrt(598.0))
    # closed form: the mean square is 1 mm² on average, that of 300 fits with sd √(2/10/300)
    squares = [one.scatter**2 for one in fits]
    assert np.mean(squares) == pytest.approx(1e-6, rel=4.0 * math.sqrt(0.2 / 300.0))
    reach = 2.228
    held = [abs(one.top[1] - 0.12) < reach * one.doubts[1] for one in fits]
    # t_0.975 of 10 degrees of freedom, published: JCGM 100:2008, table G.2 (from memory)
    assert np.mean(held) > 0.95 - 3.0 * math.sqrt(0.95 * 0.05 / 300.0)


def jets(height: float, peak: float, noise: float = 0.3, seed: int = 3) -> list[str]:
    rig = load("barn-table")
    shot = nominal_shot(rig, CHAIN)
    light = single(shot, "flash_time") - single(shot, "first_landing") - rig.number("timer.delay")
    times = [0.08, 0.10, 0.12, 0.14, 0.16]
    made = tips(height, peak, times, 1e-3 * noise, seed)
    return [
        f"jet height,{1e3 * tip:.3f} mm,,{1e3 * (time - light):.3f} ms,first drop,,,,"
        for time, tip in zip(times, made, strict=True)
    ]


def test_jets_give_height_and_time() -> None:
    study, _, (found,) = fitted(jets(0.032, 0.118))
    for key, true in (("jet.height", 0.032), ("jet.time", 0.118)):
        one = number(found, key)
        assert one.uncertainty is not None
        assert one.estimate.value == pytest.approx(true, abs=4.0 * one.uncertainty)
        assert study.number(key) == pytest.approx(one.estimate.value, rel=1e-5)
        assert {"nominal", "setup"} == set(parts(found, key))


def in_setup(rows: list[str], setup: str) -> list[str]:
    return [row.replace("mm,,", f"mm,{setup},") for row in rows]


def test_jets_of_several_setups_are_separated() -> None:
    heights = [0.028, 0.031, 0.034, 0.037, 0.030, 0.035]
    rows = [
        row
        for at, height in enumerate(heights)
        for row in in_setup(jets(height, 0.118, noise=0.1), f"s{at}")
    ]
    study, _, (found,) = fitted(rows)
    spread = number(found, "jet.height, sd from set-up").estimate
    # closed form: the heights' own standard deviation; the noise adds less than 0.1 mm to it
    assert spread.value == pytest.approx(float(np.std(heights, ddof=1)), abs=0.1e-3)
    assert study.number("jet.height") == pytest.approx(np.mean(heights), abs=0.2e-3)
    # All have the same noise, so that their times stray by next to nothing.
    assert number(found, "jet.time, sd from set-up").estimate.value < 0.2e-3
    told = parts(found, "jet.height")["setup"]
    assert float(told.split()[1]) == pytest.approx(100 * spread.value / np.mean(heights), rel=0.01)
    # closed form: a share of what is measured, 5 % as declared
    assert number(found, "jet.height, sd from set-up").old == pytest.approx(
        0.05 * number(found, "jet.height").estimate.value
    )


def test_the_spread_of_tops_covers_as_often_as_it_says() -> None:
    random, held = np.random.default_rng(31), []
    times = np.array([0.08, 0.10, 0.12, 0.14, 0.16])
    for _ in range(400):
        found = [
            parabola(
                times,
                np.array(tips(0.03 + 1e-3 * random.standard_normal(), 0.12, list(times)))
                + 1e-3 * random.standard_normal(5),
            )
            for _ in range(6)
        ]
        known = [one for one in found if one is not None]
        noise = Squares(sum(one.square for one in known) / 18.0, 18)
        sizes = np.array([1.0 / one.cofactors[0, 0] for one in known])
        spread = between_setups(np.array([one.top[0] for one in known]), sizes, noise)
        held.append(spread.low <= 1e-3 <= spread.high)
    # 400 intervals of 95 %; those whose lower end is 0 cover a little more often than they say.
    assert np.mean(held) > 0.95 - 3.0 * math.sqrt(0.95 * 0.05 / 400.0)
    assert np.mean(held) < 0.99


def test_what_scatters_about_the_parabolas_is_no_spread_of_setups() -> None:
    rows = [row for s in range(6) for row in in_setup(jets(0.032, 0.118, 1.0, s), f"s{s}")]
    (found,) = find_in(rows)
    for key in ("jet.height", "jet.time"):
        assert number(found, f"{key}, sd from set-up").estimate.low == 0.0


def test_setups_without_a_parabola_of_their_own_are_taken_together() -> None:
    rows = [*in_setup(jets(0.032, 0.118), "a"), *in_setup(jets(0.032, 0.118)[:2], "b")]
    (found,) = find_in(rows)
    assert "for not each has a parabola of its own" in " ".join(found.notes)
    assert len(found.numbers) == 2


def test_heights_that_lie_on_a_parabola_leave_its_certainty_open() -> None:
    (found,) = find_in([row for row in jets(0.032, 0.118)[1:4:2] for _ in range(2)])
    assert "too coarse" in " ".join(found.notes)
    assert math.isinf(number(found, "jet.height").estimate.high)
    assert set(parts(found, "jet.height")) == {"nominal"}


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (jets(0.032, 0.118)[:2], "two delays and three readings"),
        ([jets(0.032, 0.118)[0]] * 5, "two delays and three readings"),
        ([row.replace("mm,,", " m,,") for row in jets(0.032, 0.118)], "which no jet has"),
    ],
)
def test_jets_that_say_too_little_change_nothing(rows: list[str], said: str) -> None:
    (found,) = find_in(rows)
    assert found.values == ()
    assert said in " ".join(found.notes)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("jet height,-3 mm,,300 ms,first drop,,,,", "under the surface"),
        ("jet height,3 mm,,3 ms,first drop,,,,", "before the study's first drop lands"),
    ],
)
def test_jets_that_cannot_be(row: str, said: str) -> None:
    with pytest.raises(MistakeError, match=said):
        find_in([row, *jets(0.032, 0.118)])
