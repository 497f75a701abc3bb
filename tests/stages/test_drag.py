"""Drag coefficients, terminal speeds and the fall equation's own units."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from jitter.stages.drag import GRAVITY, acceleration, fall_units, flattening, sphere_drag

# reference library: fluids 1.3.1, drag_sphere with method "Clift_Gauvin".
CLIFT_GAUVIN = {
    0.1: 247.4,
    1.0: 27.6,
    10.0: 4.1512,
    100.0: 1.0938,
    500.0: 0.57561,
    900.0: 0.47969,
    1500.0: 0.4238,
    3000.0: 0.38685,
}

# published: Gunn & Kinzer 1949, J. Meteorol. 6, 243, table 2: terminal speed of water drops in
# still air at 20 C, 101.3 kPa and 50 % humidity; mm, m/s.
GUNN_KINZER = {
    1.6: 5.65,
    2.0: 6.49,
    2.2: 6.90,
    2.4: 7.27,
    2.8: 7.82,
    3.0: 8.06,
    3.2: 8.26,
    3.6: 8.60,
    3.8: 8.72,
    4.0: 8.83,
    4.2: 8.92,
    4.6: 9.03,
    4.8: 9.07,
    5.0: 9.09,
    5.4: 9.14,
    5.6: 9.16,
    5.8: 9.17,
}

# reference library: iapws 1.5.5, water at 20 C and 101325 Pa; published: U.S. Standard Atmosphere
# 1976 for the air at 20 C.
WATER, AIR = (998.2072, 0.072736), (1.2041, 1.8134e-5)


def terminal_speed(diameter: float, *, rigid: bool = False) -> float:
    """Return the speed at which the acceleration is 0 [m/s]."""
    units = fall_units(
        diameter=np.array(diameter),
        density=np.array(WATER[0]),
        surface_tension=np.array(1e9 if rigid else WATER[1]),
        air_density=np.array(AIR[0]),
        air_viscosity=np.array(AIR[1]),
    )

    def pull(speed: float) -> float:
        return float(acceleration(np.array(speed), units.archimedes, units.morton))

    return float(brentq(pull, 1e-6, 10.0, xtol=1e-12) * (units.length / units.time))


@pytest.mark.parametrize(("reynolds", "expected"), CLIFT_GAUVIN.items())
def test_sphere_drag_agrees_with_the_table(reynolds: float, expected: float) -> None:
    # Its docstring: within 2.5 % of the library's variant below Re 4000. Up to 100 the two are
    # one law, printed to five digits.
    tolerance = 1e-4 if reynolds <= 100.0 else 0.025
    assert float(sphere_drag(np.array(reynolds))) == pytest.approx(expected, rel=tolerance)


def test_sphere_drag_agrees_with_the_library_itself() -> None:
    reynolds = np.geomspace(0.1, 3999.0, 200)
    # reference library: fluids 1.3.1
    library = np.array([fluids.drag_sphere(re, Method="Clift_Gauvin") for re in reynolds])
    difference = np.abs(sphere_drag(reynolds) / library - 1.0)
    assert 0.02 < difference.max() < 0.025


def test_slow_spheres_obey_stokes() -> None:
    # closed form: C_D = 24/Re as Re goes to 0.
    assert float(sphere_drag(np.array(1e-6))) == pytest.approx(24e6, rel=1e-4)


@pytest.mark.parametrize(("millimetres", "expected"), GUNN_KINZER.items())
def test_terminal_speed_agrees_with_measurements(millimetres: float, expected: float) -> None:
    # Stated with the fit: 0.9 %, to that digit (the largest is 0.91 % at 2.0 mm).
    assert terminal_speed(millimetres * 1e-3) == pytest.approx(expected, rel=0.0095)


def test_the_fit_is_the_one_stated() -> None:
    # regression: errors of the fit at its ends, 0.89 % slow at 1.6 mm and 0.16 % fast at 5.8 mm.
    ends = [terminal_speed(1e-3 * at) / GUNN_KINZER[at] - 1.0 for at in (1.6, 5.8)]
    assert ends == pytest.approx([-0.00885, 0.00163], abs=2e-4)


def test_rigid_spheres_fall_too_fast() -> None:
    error = terminal_speed(5.8e-3, rigid=True) / GUNN_KINZER[5.8] - 1.0
    # Stated with the fit: 39 % at 5.8 mm.
    assert error == pytest.approx(0.39, abs=0.01)


def test_flattening_only_raises_drag() -> None:
    weber = np.linspace(0.0, 9.0, 91)
    factor = flattening(weber)
    assert factor[0] == 1.0
    assert (np.diff(factor) > 0.0).all()


@given(
    diameter=st.floats(1e-3, 7e-3),
    speed=st.floats(0.01, 9.0),
    density=st.floats(900.0, 1300.0),
    tension=st.floats(0.02, 0.08),
    air_density=st.floats(0.9, 1.4),
    air_viscosity=st.floats(1.6e-5, 2.1e-5),
)
@settings(deadline=None, max_examples=100)
def test_fall_units_carry_the_equation_back_to_metres(
    diameter: float,
    speed: float,
    density: float,
    tension: float,
    air_density: float,
    air_viscosity: float,
) -> None:
    units = fall_units(
        diameter=np.array(diameter),
        density=np.array(density),
        surface_tension=np.array(tension),
        air_density=np.array(air_density),
        air_viscosity=np.array(air_viscosity),
    )
    without = acceleration(speed * units.time / units.length, units.archimedes, units.morton)
    # closed form: (ρ + ρa/2) dv/dt = (ρ - ρa) g - ¾ C_D ρa v²/D with the same C_D.
    reynolds = air_density * speed * diameter / air_viscosity
    weber = air_density * speed**2 * diameter / tension
    drag = sphere_drag(np.array(reynolds)) * flattening(np.array(weber))
    weight = (density - air_density) * GRAVITY
    held = 0.75 * drag * air_density * speed**2 / diameter
    expected = (weight - held) / (density + 0.5 * air_density)
    scale = weight / (density + 0.5 * air_density)
    assert float(without * units.length / units.time**2) == pytest.approx(
        float(expected), abs=1e-9 * max(scale, abs(float(expected)))
    )


def test_a_creeping_drop_is_held_by_stokes() -> None:
    archimedes, speed = 148.0, 1e-7
    # closed form: C_D = 24/Re with Re = A^(3/2) V makes the drag 18 V/A^(3/2). At Re 2e-4 the next
    # term of C_D is 0.15 Re^0.687, 0.04 % of it.
    made = acceleration(np.array([speed]), np.array([archimedes]), np.array([1.2e-4]))
    assert 1.0 - made.item() == pytest.approx(18.0 * speed / archimedes**1.5, rel=1e-3)


def test_a_drop_at_rest_falls_with_no_drag() -> None:
    # closed form: drag goes to 0 with the speed, as Stokes's law does.
    still = acceleration(np.zeros(1), np.array([148.0]), np.array([1.2e-4]))
    assert still == pytest.approx(1.0, abs=1e-9)
