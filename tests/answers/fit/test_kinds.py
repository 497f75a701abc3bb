"""Weighings, streaks and jets: recovered, told, and never more than they say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.fit.jets import parabola
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


@pytest.mark.parametrize("row", ["drops weighed,-4 g,,,,100,,,", "drops weighed,4 kg,,,,100,,,"])
def test_no_mass_of_drops(row: str) -> None:
    with pytest.raises(MistakeError, match="is no mass of drops"):
        find_in([row])


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


def tips(height: float, peak: float, times: list[float], noise: float = 0.0) -> list[float]:
    random = np.random.default_rng(3)
    shape = [1.0 - ((t - peak) / (179.0 / 327.0 * peak)) ** 2 for t in times]
    return [height * one + noise * random.standard_normal() for one in shape]


def test_a_parabola_without_errors_is_found_again() -> None:
    times = [0.07, 0.09, 0.12, 0.15]
    found = parabola(np.array(times), np.array(tips(0.03, 0.11, times)))
    assert found is not None
    # closed form: the points were made by it
    assert tuple(found[0]) == pytest.approx((0.03, 0.11), rel=1e-9)
    assert found[2] < 1e-12


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
    tops = np.array([top for top, _, _ in fits])
    stated = np.sqrt(np.mean([np.diag(covariance) for _, covariance, _ in fits], axis=0))
    # closed form: sd of a standard deviation from 300 fits, 1/√598
    assert np.std(tops, axis=0, ddof=1) == pytest.approx(stated, rel=4.0 / math.sqrt(598.0))
    # closed form: the mean square is 1 mm² on average, that of 300 fits with sd √(2/10/300)
    squares = [scatter**2 for _, _, scatter in fits]
    assert np.mean(squares) == pytest.approx(1e-6, rel=4.0 * math.sqrt(0.2 / 300.0))
    reach = 2.228
    held = [abs(top[1] - 0.12) < reach * math.sqrt(c[1, 1]) for top, c, _ in fits]
    # t_0.975 of 10 degrees of freedom, published: JCGM 100:2008, table G.2 (from memory)
    assert np.mean(held) > 0.95 - 3.0 * math.sqrt(0.95 * 0.05 / 300.0)


def jets(height: float, peak: float, noise: float = 0.3) -> list[str]:
    rig = load("barn-table")
    shot = nominal_shot(rig, CHAIN)
    light = single(shot, "flash_time") - single(shot, "first_landing") - rig.number("timer.delay")
    times = [0.08, 0.10, 0.12, 0.14, 0.16]
    made = tips(height, peak, times, 1e-3 * noise)
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
