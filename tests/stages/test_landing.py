"""The drops' arrival at the surface."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.drag import GRAVITY
from jitter.stages.fall import Fall
from jitter.stages.landing import STAGE

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]


@given(
    level=st.floats(-0.05, 0.05),
    nozzle=st.floats(0.2, 1.0),
    speed=st.floats(0.0, 1.0),
    diameter=st.floats(2e-3, 6e-3),
)
@settings(deadline=None, max_examples=100)
def test_the_lower_edge_lands_by_the_laws_of_free_fall(
    shot: Shot,
    rework: Rework,
    vacuum_fall: Callable[[float], Fall],
    level: float,
    nozzle: float,
    speed: float,
    diameter: float,
) -> None:
    made = rework(
        STAGE,
        shot(),
        pool_level=np.array([[level]]),
        valve_nozzle_height=np.array([[nozzle]]),
        first_diameter=np.array([[diameter]]),
        second_diameter=np.array([[0.5 * diameter]]),
        first_fall=vacuum_fall(speed),
        second_fall=vacuum_fall(0.0),
        first_release=np.array([[0.01]]),
        second_release=np.array([[0.2]]),
    )
    # closed form: v² = v0² + 2 g z and t = (v - v0)/g over z = nozzle - level - D/2.
    first_impact = np.sqrt(speed**2 + 2.0 * GRAVITY * (nozzle - level - 0.5 * diameter))
    second_impact = np.sqrt(2.0 * GRAVITY * (nozzle - level - 0.25 * diameter))
    assert made.surface.item() == level
    assert made.impact_speed.item() == pytest.approx(first_impact, rel=1e-8)
    assert made.second_impact_speed.item() == pytest.approx(second_impact, rel=1e-8)
    assert made.first_landing.item() == pytest.approx(
        0.01 + (first_impact - speed) / GRAVITY, abs=1e-9
    )
    assert made.second_landing.item() == pytest.approx(0.2 + second_impact / GRAVITY, abs=1e-9)


def test_the_surface_rises_with_each_frame(shot: Shot, rework: Rework) -> None:
    made = rework(
        STAGE,
        shot(),
        pool_level=np.array([[0.001]]),
        pool_level_drift=2e-5,
        frame_number=np.array([[0.0, 50.0, 100.0]]),
    )
    # closed form: level + drift × frames before
    assert made.surface.ravel() == pytest.approx([0.001, 0.002, 0.003])
    assert (np.diff(made.first_landing) < 0.0).all()


def test_the_usual_drop_lands_when_the_fall_equation_says(shot: Shot) -> None:
    events = shot("valve.release_speed='0 m/s'", "valve.nozzle_height='0.61225 m'")
    taken = events["first_landing"] - events["first_release"]
    # reference library: scipy 1.17.1: 0.610 m from rest in 357.11 ms at 3.3515 m/s at 20 °C.
    assert taken.item() == pytest.approx(0.35711, abs=5.1e-6)
    assert events["impact_speed"].item() == pytest.approx(3.3515, abs=6e-5)
