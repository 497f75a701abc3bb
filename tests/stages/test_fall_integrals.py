"""Falls from rest by integrals over the speed: closed forms, and the equation in time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from jitter.arrays import Array
from jitter.stages import fall_integrals
from jitter.stages.air import air
from jitter.stages.drag import acceleration, fall_units
from jitter.stages.fall_integrals import fall_from_rest, terminal_speed
from jitter.stages.mixtures import water_density, water_surface_tension
from jitter.validation.falling import terminal_speed as terminal_in_metres

NODES = 61
MORTON = 1.2e-4
"""Of water drops in air."""


def one(value: float) -> Array:
    return np.array([value])


@pytest.mark.parametrize("coefficient", [0.3, 0.5, 0.8])
@pytest.mark.parametrize("distance", [1e-9, 0.05, 1.0, 8.0])
def test_constant_drag_has_a_closed_form(
    monkeypatch: pytest.MonkeyPatch, coefficient: float, distance: float
) -> None:
    k = 0.75 * coefficient
    monkeypatch.setattr(fall_integrals, "acceleration", lambda speed, *_: 1.0 - k * speed**2)
    fallen = fall_from_rest(
        archimedes=one(150.0), morton=one(MORTON), distance=distance, nodes=NODES
    )
    # closed form: dV/dT = 1 - k V² gives V = tanh(√k T)/√k and Z = ln cosh(√k T)/k.
    across = np.sqrt(k) * fallen.time
    np.testing.assert_allclose(fallen.speed, np.tanh(across) / np.sqrt(k), rtol=1e-8)
    # ln cosh y = ln(1 + sinh² y)/2 keeps its digits for the smallest y.
    np.testing.assert_allclose(
        fallen.distance, 0.5 * np.log1p(np.sinh(across) ** 2) / k, rtol=1e-8, atol=1e-18
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(20.0, 300.0), st.floats(0.01, 3.0))
def test_times_and_ways_are_those_of_the_equation_in_time(
    archimedes: float, distance: float
) -> None:
    fallen = fall_from_rest(
        archimedes=one(archimedes), morton=one(MORTON), distance=distance, nodes=NODES
    )

    def rate(_: float, state: Array) -> list[float]:
        gain = acceleration(state[:1], one(archimedes), one(MORTON))
        return [gain.item(), state[0]]

    solved = solve_ivp(
        rate,
        (0.0, float(fallen.time[0, -1])),
        [0.0, 0.0],
        method="DOP853",
        t_eval=fallen.time[0],
        rtol=1e-11,
        atol=1e-13,
    )
    # reference library: scipy 1.17.1, solve_ivp, DOP853.
    np.testing.assert_allclose(fallen.speed[0], solved.y[0], rtol=1e-8, atol=1e-9)
    np.testing.assert_allclose(fallen.distance[0], solved.y[1], rtol=1e-8, atol=1e-9)


def test_more_points_between_the_nodes_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    numbers = {"archimedes": np.array([30.0, 150.0, 250.0]), "morton": np.full(3, MORTON)}
    few = fall_from_rest(**numbers, distance=2.0, nodes=NODES)
    monkeypatch.setattr(fall_integrals, "POINTS", 8)
    many = fall_from_rest(**numbers, distance=2.0, nodes=NODES)
    for less, more in zip(few, many, strict=True):
        np.testing.assert_allclose(less, more, rtol=1e-9)


def test_all_go_as_far_as_asked() -> None:
    numbers = {"archimedes": np.array([20.0, 150.0, 300.0]), "morton": np.full(3, MORTON)}
    for distance in (1e-3, 0.3, 6.0):
        fallen = fall_from_rest(**numbers, distance=distance, nodes=NODES)
        assert (fallen.distance[:, -1] >= distance).all()
        assert (np.diff(fallen.distance) > 0.0).all()
        assert (fallen.distance[:, 0] == 0.0).all()


def test_drops_end_at_the_speed_at_which_drag_and_weight_balance() -> None:
    numbers = {"archimedes": np.array([20.0, 150.0, 300.0]), "morton": np.full(3, MORTON)}
    last = terminal_speed(**numbers)
    assert np.abs(acceleration(last, **numbers)).max() < 1e-14
    far = fall_from_rest(**numbers, distance=float(10.0 * last.max() ** 2), nodes=NODES)
    np.testing.assert_allclose(far.speed[:, -1], last, rtol=1e-8)
    # A drop that falls evenly takes V for every unit of time.
    late = np.diff(far.distance[:, -2:]) / np.diff(far.time[:, -2:])
    np.testing.assert_allclose(late[:, 0], last, rtol=1e-6)


def test_the_terminal_speed_is_that_found_by_bisection() -> None:
    kelvin = np.array([293.15])
    gas = air(
        air_altitude=None,
        air_pressure=np.array([101325.0]),
        air_temperature=None,
        liquid_temperature=kelvin,
    )
    units = fall_units(
        diameter=np.array([4.5e-3]),
        density=water_density(kelvin - 273.15),
        surface_tension=water_surface_tension(kelvin),
        air_density=gas.air_density,
        air_viscosity=gas.air_viscosity,
    )
    last = terminal_speed(archimedes=units.archimedes, morton=units.morton)
    metres = (last * units.length / units.time).item()
    assert metres == pytest.approx(terminal_in_metres(4.5e-3), rel=1e-10)
