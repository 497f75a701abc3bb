"""The sheet: its law's closed forms, and its rim's speed as a derivative."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.stages.sheet import Sheet, sheet

DENSITY, TENSION = 998.2, 0.0727
DIAMETER, CLOSING = 4.5e-3, 3.6
# closed form: τ = √(ρ D³/(6 σ)) and We = ρ U² D/σ.
PACE = float(np.sqrt(DENSITY * DIAMETER**3 / (6.0 * TENSION)))
WEBER = DENSITY * CLOSING**2 * DIAMETER / TENSION


def spread(ages: Array, **changes: Any) -> Sheet:
    values: dict[str, Any] = {
        "sheet_spread_scale": np.ones(()),
        "light_time": 0.4 + ages,
        "meeting_time": np.array(0.4),
        "closing_speed": np.array(CLOSING),
        "off_centre": np.zeros(()),
        "second_diameter": np.array(DIAMETER),
        "density": np.array(DENSITY),
        "surface_tension": np.array(TENSION),
    }
    return sheet(**(values | changes))


@pytest.mark.parametrize("scale", [0.6, 1.0, 1.7])
@pytest.mark.parametrize("off_centre", [0.0, 0.25, 0.8])
def test_the_sheet_is_largest_at_a_third_of_its_life(scale: float, off_centre: float) -> None:
    ages = np.linspace(0.0, 2.0 / np.sqrt(3.0), 200001) * PACE
    made = spread(ages, sheet_spread_scale=np.array(scale), off_centre=np.array(off_centre))
    top = int(np.argmax(made.sheet_radius))
    # closed form: d/da [a (1 - c a)²] = (1 - c a)(1 - 3 c a) = 0 at a = 1/(3c) = 2/(3√3) with
    # c = √3/2, where a (1 - c a)² = 8/(27√3).
    assert ages[top] / PACE == pytest.approx(2.0 / (3.0 * np.sqrt(3.0)), abs=1e-5)
    reach = scale * np.sqrt(WEBER * (1.0 - off_centre**2))
    growth = made.sheet_radius[top] / (0.5 * DIAMETER) - 1.0
    assert growth == pytest.approx(8.0 / (27.0 * np.sqrt(3.0)) * reach, rel=1e-8)
    at_top = spread(np.array(2.0 / (3.0 * np.sqrt(3.0)) * PACE))
    assert float(at_top.rim_speed) == pytest.approx(0.0, abs=1e-9)


def test_the_sheet_is_gone_at_two_over_root_three() -> None:
    end = 2.0 / np.sqrt(3.0) * PACE
    made = spread(np.array([0.99, 1.0, 1.01, 5.0]) * end)
    # closed form: 1 - (√3/2) a = 0.
    assert made.sheet_radius[0] > 0.5 * DIAMETER * 1.0001
    assert made.sheet_radius[1:] == pytest.approx(0.5 * DIAMETER)
    assert made.rim_speed[1:] == pytest.approx(0.0, abs=1e-9)
    assert float(made.sheet_life) == pytest.approx(end, rel=1e-12)


@given(share=st.floats(0.001, 1.15), scale=st.floats(0.1, 2.0), off_centre=st.floats(0.0, 0.95))
@settings(deadline=None, max_examples=200)
def test_rim_speed_is_the_derivative_of_the_radius(
    share: float, scale: float, off_centre: float
) -> None:
    step = 1e-5 * PACE
    given_ones = {"sheet_spread_scale": np.array(scale), "off_centre": np.array(off_centre)}
    around = spread(share * PACE + np.array([-step, step]), **given_ones).sheet_radius
    made = spread(np.array(share * PACE), **given_ones)
    slope = abs(around[1] - around[0]) / (2.0 * step)
    # closed form: a central difference of a cubic errs by the cubic term's step² alone, 1e-10.
    assert float(made.rim_speed) == pytest.approx(slope, abs=1e-6 * CLOSING)


def test_the_rim_starts_at_a_speed_set_by_the_impact() -> None:
    made = spread(np.array(0.0))
    # closed form: R0 s √We/τ = (D/2) √(ρ U² D/σ)/√(ρ D³/(6σ)) = U √6/2.
    assert float(made.rim_speed) == pytest.approx(CLOSING * np.sqrt(6.0) / 2.0, rel=1e-12)


def test_before_the_meeting_there_is_a_drop() -> None:
    made = spread(np.array([-0.05, -1e-6]))
    assert made.age == pytest.approx([-0.05, -1e-6], abs=1e-12)
    assert made.sheet_radius == pytest.approx(0.5 * DIAMETER)


def test_what_did_not_happen_has_no_age() -> None:
    nan = np.array(np.nan)
    assert np.isnan(spread(np.array(0.005), meeting_time=nan).age)
    assert np.isnan(spread(np.array(0.005), light_time=nan).age)


def test_a_drop_that_passes_aside_spreads_nothing() -> None:
    made = spread(np.array(0.3 * PACE), off_centre=np.array([1.0, 1.5]))
    assert made.sheet_radius == pytest.approx(0.5 * DIAMETER)
