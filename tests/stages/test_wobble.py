"""The drop's oscillation: Rayleigh's frequency, Lamb's damping, and what it shifts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.wobble import (
    STAGE,
    Wobble,
    damping_time,
    oscillation_rate,
    stretch,
    wobbles,
)

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]

# Computed from Rayleigh 1879 and Lamb, Hydrodynamics, articles 275 and 355, apart from the package,
# for water at 20 C; mm, mode: Hz, s. closed form
TABLE = {(2.5, 2): (86.949, 0.3114), (4.0, 3): (83.196, 0.2847), (5.0, 4): (92.224, 0.2307)}


@pytest.mark.parametrize(("millimetres", "mode"), TABLE)
def test_frequency_and_damping(millimetres: float, mode: int) -> None:
    size, density = np.array(1e-3 * millimetres), np.array(998.2072)
    hertz, seconds = TABLE[millimetres, mode]
    rate = oscillation_rate(mode=mode, diameter=size, density=density, tension=np.array(0.072736))
    assert rate / (2.0 * np.pi) == pytest.approx(hertz, rel=1e-4)
    damping = damping_time(mode=mode, diameter=size, density=density, viscosity=np.array(1.0016e-3))
    assert damping == pytest.approx(seconds, rel=5e-4)


@given(amplitude=st.floats(0.0, 0.4), phase=st.floats(-1.0, 1.0), elapsed=st.floats(0.0, 0.5))
@settings(deadline=None, max_examples=100)
def test_the_half_height_swings_and_dies_away(
    amplitude: float, phase: float, elapsed: float
) -> None:
    rate, damping = 226.0, 0.9
    made = Wobble(np.array(amplitude), np.array(phase), np.array(rate), np.array(damping))
    found = stretch(made, np.array(elapsed))
    # closed form: 1 + ε e^(-t/τ) cos(2π φ + ω t)
    swing = amplitude * np.exp(-elapsed / damping) * np.cos(2.0 * np.pi * phase + rate * elapsed)
    assert found == pytest.approx(1.0 + swing, abs=1e-12)
    # A whole period later it stands in the same phase, damped.
    later = stretch(made, np.array(elapsed + 2.0 * np.pi / rate))
    assert later - 1.0 == pytest.approx((found - 1.0) * np.exp(-2.0 * np.pi / rate / damping))


def test_a_round_drop_is_as_high_as_wide() -> None:
    assert stretch(None, np.array([0.1, 0.2])) == 1.0


def test_without_a_phase_no_drop_oscillates(shot: Shot) -> None:
    events = shot()
    assert events["first_wobble"] is events["second_wobble"] is None


def test_each_drop_swings_by_its_own_size(shot: Shot) -> None:
    events = shot("valve.wobble=0.1", "valve.first_diameter=4 mm", "valve.second_diameter=5 mm")
    first, second = events["first_wobble"], events["second_wobble"]
    # closed form: ω goes with R^(-3/2), τ with R².
    assert (first.rate / second.rate).item() == pytest.approx((5.0 / 4.0) ** 1.5)
    assert (second.damping / first.damping).item() == pytest.approx((5.0 / 4.0) ** 2)


@pytest.mark.parametrize(
    ("phase", "later"),
    [
        # closed form: where the drop is taller than round, ε cos > 0, its edge is early.
        (0.0, False),
        (0.5, True),
    ],
)
def test_a_tall_drop_is_early_and_a_flat_one_late(
    shot: Shot, rework: Rework, phase: float, later: bool
) -> None:
    from jitter.stages import landing

    events = shot("valve.wobble=0.1", f"valve.wobble_phase={phase}")
    # A swing so slow that the phase stays what it was.
    slow = events["first_wobble"]._replace(rate=np.zeros((1, 1)), damping=np.array([[1e9]]))
    made = rework(landing.STAGE, events, first_wobble=slow)
    plain = rework(landing.STAGE, events, first_wobble=None)
    shift = made.first_landing - plain.first_landing
    # closed form: ε R over the speed, to first order.
    expected = 0.1 * 0.5 * events["first_diameter"] / events["impact_speed"]
    assert abs(shift.item()) == pytest.approx(expected.item(), rel=1e-3)
    assert (shift.item() > 0.0) is later


def test_the_stage_hands_on_what_was_drawn(shot: Shot) -> None:
    events = shot()
    made = wobbles(
        valve_wobble=np.array([[[0.1]], [[0.2]]]),
        valve_wobble_phase=np.array([[[0.3]], [[0.4]]]),
        **{name: events[name] for name in STAGE.needs if not name.startswith("valve")},
    )
    assert made.first_wobble is not None
    assert made.second_wobble is not None
    drawn = [made.first_wobble[:2], made.second_wobble[:2]]
    assert np.ravel(drawn).tolist() == [0.1, 0.3, 0.2, 0.4]
