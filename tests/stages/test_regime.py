"""The dimensionless numbers of the first impact, and the ratios that matter."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.drag import GRAVITY
from jitter.stages.regime import STAGE

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]


@given(
    diameter=st.floats(1e-3, 8e-3),
    speed=st.floats(0.5, 8.0),
    density=st.floats(900.0, 1300.0),
    viscosity=st.floats(5e-4, 1.0),
    tension=st.floats(0.02, 0.08),
)
@settings(deadline=None, max_examples=100)
def test_numbers_of_the_impact(
    shot: Shot,
    rework: Rework,
    diameter: float,
    speed: float,
    density: float,
    viscosity: float,
    tension: float,
) -> None:
    made = rework(
        STAGE,
        shot(),
        first_diameter=np.array([[diameter]]),
        impact_speed=np.array([[speed]]),
        density=np.array([[density]]),
        viscosity=np.array([[viscosity]]),
        surface_tension=np.array([[tension]]),
    )
    # closed form: the definitions.
    assert made.froude.item() == pytest.approx(speed**2 / (GRAVITY * diameter))
    assert made.weber.item() == pytest.approx(density * speed**2 * diameter / tension)
    assert made.reynolds.item() == pytest.approx(density * speed * diameter / viscosity)
    # closed form: Oh = μ/√(ρ σ D)
    assert made.ohnesorge.item() == pytest.approx(viscosity / np.sqrt(density * tension * diameter))


def test_the_usual_rig(shot: Shot) -> None:
    events = shot("valve.release_speed='0 m/s'", "valve.nozzle_height='0.61225 m'")
    # reference library: scipy 1.17.1: the fall equation integrated over 0.610 m from rest at
    # 20 °C gives We 693.7, Fr 254.5 and Re 15030.
    assert events["weber"].item() == pytest.approx(693.7, abs=0.06)
    assert events["froude"].item() == pytest.approx(254.5, abs=0.06)
    assert events["reynolds"].item() == pytest.approx(15030.0, abs=6.0)


def test_the_bubble_band(shot: Shot, rework: Rework) -> None:
    speed = np.sqrt(100.0 * GRAVITY * 4e-3)
    made = rework(
        STAGE, shot(), first_diameter=np.array([[4e-3]]), impact_speed=np.array([[speed]])
    )
    # from memory: Oguz & Prosperetti 1990, J. Fluid Mech. 219, 143, and Pumphrey & Elmore 1990,
    # J. Fluid Mech. 220, 539: 41.3 Fr^0.179 < We < 48.3 Fr^0.247; at Fr = 100: 94.2 and 150.6.
    assert made.bubble_lower.item() == pytest.approx(41.3 * 10.0**0.358, rel=1e-9)
    assert made.bubble_upper.item() == pytest.approx(48.3 * 10.0**0.494, rel=1e-9)


def test_ratios(shot: Shot, rework: Rework) -> None:
    made = rework(
        STAGE,
        shot(),
        pool_depth=np.array([[0.03]]),
        energy_length=np.array([[0.012]]),
        sensor_width=np.array([[0.0018]]),
        first_diameter=np.array([[0.0045]]),
    )
    # closed form: quotients
    assert made.depth_ratio.item() == pytest.approx(2.5)
    assert made.beam_ratio.item() == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("lux", "iso", "seconds", "aperture", "stops"),
    [
        # from memory: ISO 2720, E S t = 250 N² for a right exposure; each factor of two a stop.
        (250.0, 100.0, 0.04, 2.0, 0.0),
        (500.0, 100.0, 0.04, 2.0, 1.0),
        (250.0, 50.0, 0.04, 2.0, -1.0),
        (250.0, 100.0, 0.08, 4.0, -1.0),
        (0.0, 100.0, 1.0, 4.0, -np.inf),
    ],
)
def test_ghost_by_ambient_light(
    shot: Shot,
    rework: Rework,
    lux: float,
    iso: float,
    seconds: float,
    aperture: float,
    stops: float,
) -> None:
    made = rework(
        STAGE,
        shot(),
        camera_ambient=lux,
        camera_iso=iso,
        camera_shutter_open=np.array([[seconds]]),
        working_aperture=np.array([[aperture]]),
    )
    assert made.ghost_stops.item() == pytest.approx(stops, abs=1e-6)


def test_the_working_aperture_darkens_the_ghost(shot: Shot) -> None:
    near, nearer = (
        shot(f"camera.magnification={size}")["ghost_stops"].item() for size in (0.5, 2.0)
    )
    # closed form: N (1 + m) doubles from half to twice life size: two stops.
    assert nearer - near == pytest.approx(-2.0, abs=1e-9)
