"""Repeated readings of a value: what becomes of its nominal and its spreads."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.fit.subjects import deviation, measurable, subject
from jitter.errors import MistakeError
from jitter.quantities import Shape, Spread
from tests.answers.fit.measured import BARN, find_in, fitted, number, parts
from tests.conftest import load

TEN = [483.1, 483.4, 482.9, 483.0, 483.3, 483.2, 482.8, 483.1, 483.0, 483.2]


def heights(values: list[float], setup: str = "") -> list[str]:
    return [f"sensor.height,{value} mm,{setup},,,,,," for value in values]


def test_readings_of_one_setup_give_the_value_alone() -> None:
    (found,) = find_in(heights(TEN))
    mean = number(found, "mean")
    assert mean.estimate.value == pytest.approx(np.mean(TEN) / 1e3)
    assert mean.uncertainty == pytest.approx(np.std(TEN, ddof=1) / 1e3 / math.sqrt(10))
    assert mean.old == 0.483
    assert parts(found, "sensor.height") == {"nominal": '"483.1 mm"'}
    assert "--untouched" in " ".join(found.notes)


def test_an_untouched_rig_is_known_to_the_uncertainty_of_its_mean() -> None:
    (found,) = find_in(heights(TEN), untouched=True)
    known = np.std(TEN, ddof=1) / math.sqrt(10)
    assert parts(found, "sensor.height")["setup"] == f'"sd {1e3 * known:.3g} um"'
    # What is known is no better than the reading's own error over √n.
    (worse,) = find_in(heights(TEN), untouched=True, sensor__height=1e-3)
    assert parts(worse, "sensor.height")["setup"] == '"sd 0.316 mm"'


def test_a_mean_known_worse_than_the_study_says_widens_it() -> None:
    (found,) = find_in(heights([478.0, 488.0, 483.0]))
    # closed form: 5/√3 mm, above 1/√3 mm of "within 1 mm"
    assert parts(found, "sensor.height")["setup"] == '"sd 2.89 mm"'


def test_set_ups_give_the_spread_from_one_to_the_next() -> None:
    random = np.random.default_rng(4)
    rows = []
    for setup in range(40):
        place = 483.0 + 2.0 * random.standard_normal()
        rows += heights(
            [round(place + 0.2 * random.standard_normal(), 2) for _ in range(3)], f"{setup}"
        )
    (found,) = find_in(rows)
    spread = number(found, "sd from set-up to set-up").estimate
    # closed form: sd of a standard deviation from 40 set-ups, 1/√78
    assert spread.value == pytest.approx(2e-3, rel=3.0 / math.sqrt(78.0))
    assert spread.low < 2e-3 < spread.high
    assert parts(found, "sensor.height")["setup"].startswith('"sd ')
    assert (found.count, found.setups) == (120, 40)


def test_too_few_setups_leave_a_spread_that_they_allow() -> None:
    rows = [*heights([483.0, 483.2], "a"), *heights([484.0, 484.1], "b")]
    (found,) = find_in(rows)
    assert "setup" not in parts(found, "sensor.height")
    assert "so few set-ups" in " ".join(found.notes)


def test_a_spread_not_told_from_0_is_never_said_to_be_0() -> None:
    rows = [row for setup in range(12) for row in heights([482.0, 484.0], f"{setup}")]
    (found,) = find_in(rows)
    spread = number(found, "sd from set-up to set-up")
    assert spread.estimate.value == spread.estimate.low == 0.0
    assert "cannot be told from 0" in " ".join(found.notes)
    # The study's 1/√3 mm is more than twelve pairs alike allow.
    assert spread.estimate.high < 0.577e-3
    size = float(parts(found, "sensor.height")["setup"].split()[1])
    assert size == pytest.approx(1e3 * spread.estimate.high, rel=1e-2)


def test_a_value_that_strays_from_shot_to_shot_is_told_so() -> None:
    rows = [f"pool.level,{value} mm,,,,,,," for value in (0.1, -0.2, 0.3, 0.0, -0.1, 0.2)]
    (found,) = find_in(rows, pool__level=1e-4)
    spread = number(found, "sd from shot to shot")
    total = np.std([0.1, -0.2, 0.3, 0.0, -0.1, 0.2], ddof=1) * 1e-3
    assert spread.estimate.value == pytest.approx(math.sqrt(total**2 - 1e-8))
    assert parts(found, "pool.level")["shot"] == '"sd 0.158 mm"'


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (heights([483.2]), "a single reading"),
        (heights([483.2] * 5), "too coarse"),
        ([f"pool.level,0.1 mm,{k // 3},,,,,," for k in range(9)], "too coarse"),
    ],
)
def test_one_reading_and_readings_all_alike(rows: list[str], said: str) -> None:
    (found,) = find_in(rows)
    assert said in " ".join(found.notes)
    assert all(set(one.parts) == {"nominal"} for one in found.values)
    for one in found.numbers:
        assert math.isinf(one.estimate.high)


def test_a_value_that_only_strays_keeps_its_mean_of_0() -> None:
    rows = [f"valve.scatter,{value} mm,,,,,,," for value in (0.4, -0.5, 0.9, -0.2, 0.1, 0.6)]
    (found,) = find_in(rows)
    assert set(parts(found, "valve.scatter")) == {"shot"}
    study, _, _ = fitted(rows)
    assert study.entries["valve.scatter"].shot.size == pytest.approx(0.5e-3, rel=0.1)


def test_settings_and_values_without_spreads_take_a_value_only() -> None:
    (found,) = find_in([f"camera.pixel,{value} um,,,,,,," for value in (5.9, 6.1, 6.3)])
    assert set(parts(found, "camera.pixel")) == {"nominal"}


def test_a_diameter_is_written_as_a_diameter() -> None:
    rows = [f"valve.first_diameter,{value} mm,,,,,,," for value in (4.4, 4.5, 4.6, 4.45)]
    study, text, _ = fitted(rows)
    volume = math.pi / 6.0 * 4.4875e-3**3
    assert study.number("valve.first_volume") == pytest.approx(volume, rel=1e-6)
    assert 'first_diameter = { nominal = "4.4875 mm"' in text


def test_a_measured_jet_stands_in_the_place_of_its_law() -> None:
    text = BARN + '\n[jet]\nheight_scale = { nominal = 1.1, setup = "sd 10 %" }\n'
    rows = [f"jet.height,{value} mm,,,,,,," for value in (29, 31, 30)]
    study, new, _ = fitted(rows, text=text)
    assert study.number("jet.height") == pytest.approx(0.030)
    assert study.entries["jet.height_scale"].nominal is None
    assert "# jet.height stands in its place: height_scale = { nominal = 1.1" in new


def test_readings_out_of_range_are_faults_with_their_line() -> None:
    with pytest.raises(MistakeError) as caught:
        find_in([*heights([483.0]), *heights([-3.0]), "flash.power,1.5,,,,,,,"])
    assert [fault.line for fault in caught.value.faults] == [3, 4]


def test_two_measurements_of_one_value_are_refused() -> None:
    rows = ["valve.first_diameter,4.4 mm,,,,,,,", "drops weighed,4.77 g,,,,100,,,"]
    with pytest.raises(MistakeError, match=r"both say what valve\.first_diameter is"):
        find_in(rows)


def test_what_can_be_measured() -> None:
    units = measurable(load("barn-table"))
    assert units["valve.first_diameter"] == "m"
    assert units["liquid.temperature"] == "K"
    # closed form: a third of 1.5 % and of 3 % of the volume
    width = subject(load("barn-table"), "valve.first_diameter")
    assert (width.nominal, width.shot, width.setup) == pytest.approx((4.5e-3, 22.5e-6, 45e-6))
    assert not {"sensor.miss_chance", "flash.count", "keeper.blur", "timer.start"} & set(units)


def test_ten_thousand_readings() -> None:
    values = 483.0 + np.random.default_rng(5).standard_normal(10_000)
    (found,) = find_in(heights([round(float(value), 2) for value in values]))
    assert number(found, "sd of a reading").estimate.value == pytest.approx(1e-3, rel=0.03)


@pytest.mark.parametrize("shape", list(Shape)[1:6])
def test_standard_deviation_of_every_shape(shape: Shape) -> None:
    from jitter.draws.shapes import deviate, error

    uniform = (np.arange(200_000) + 0.5) / 200_000
    spread = Spread(shape, 0.3)
    drawn = error(spread, deviate(shape, uniform), scale=1.0, nominal=2.0, lower=-9.0)
    assert deviation(spread, 2.0) == pytest.approx(float(np.std(drawn)), rel=2e-3)


def test_four_readings_do_not_take_the_place_of_a_spread_that_they_allow() -> None:
    def levels(*sizes: float) -> list[str]:
        return [f"pool.level,{size} mm,,,,,,," for size in sizes]

    (few,) = find_in(levels(0.05, -0.1, 0.15, 0.0))
    assert set(parts(few, "pool.level")) == {"nominal"}
    assert "so few readings" in " ".join(few.notes)
    (enough,) = find_in(levels(0.05, -0.1, 0.15, 0.0, 0.05))
    assert "shot" in parts(enough, "pool.level")
    # What they do not allow gives way, however few they are.
    (apart,) = find_in(levels(3.1, -4.2, 3.3, -3.0))
    assert "shot" in parts(apart, "pool.level")


def test_a_value_that_the_study_has_not_yet_takes_its_declared_shares() -> None:
    (found,) = find_in([f"jet.height,{size} mm,,,,,,," for size in (30, 31, 29, 32, 28, 30)])
    # closed form: 5 % as declared, of the mean of 30 mm
    assert number(found, "sd from shot to shot").old == pytest.approx(1.5e-3)
    assert "does not stray" not in " ".join(found.notes)
