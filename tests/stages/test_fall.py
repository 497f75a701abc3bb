"""The fall: its laws, its limits, and the fall equation integrated another way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.stages import drag
from jitter.stages.drag import GRAVITY, fall_units
from jitter.stages.fall import (
    Fall,
    at_rest,
    fall_arrival,
    fall_distance,
    fall_duration,
    fall_of,
    fall_speed,
    falls,
    let_go,
)
from jitter.stages.fall_fit import SPEED, TOLERANCE, FallTable, fit_fall
from jitter.stages.from_rest import falls_from_rest


class State(NamedTuple):
    """Liquid and air."""

    density: float = 998.204
    surface_tension: float = 0.072736
    air_density: float = 1.20412
    air_viscosity: float = 1.81341e-5

    def arrays(self) -> dict[str, Array]:
        return {name: np.array([[value]]) for name, value in self._asdict().items()}


def fit(diameters: tuple[float, float], *, deepest: float, state: State) -> FallTable:
    """Fit the falls of drops from one size to another, released at up to 1.2 m/s."""
    units = fall_units(diameter=np.array(diameters), **state.arrays())
    length, time = float(units.length.min()), float(units.time.max())
    low, high = units.archimedes.min(), units.archimedes.max()
    morton = float(units.morton.max())
    fastest = 1.2 * time / length
    return fit_fall(
        archimedes=(0.5 * np.log(low * high), max(0.5 * np.log(high / low), 1e-4)),
        morton=(morton, 1e-4 * morton),
        distance=1.05 * deepest / length + 0.8 * fastest**2,
        fastest=fastest,
        time=time,
    )


def falling_drop(table: FallTable, *, diameter: float, speed: float | Array, state: State) -> Fall:
    units = fall_units(diameter=np.array([[diameter]]), **state.arrays())
    return let_go(at_rest(table=table, units=units), release_speed=np.atleast_2d(speed))


@pytest.fixture(scope="module")
def falling() -> Callable[[float, float], Fall]:
    """Return falls of water drops of 3 to 6 mm, by diameter and release speed."""
    table = fit((3e-3, 6e-3), deepest=2.0, state=State())
    return lambda diameter, speed: falling_drop(
        table, diameter=diameter, speed=speed, state=State()
    )


diameters = st.floats(3e-3, 6e-3)
speeds = st.floats(0.0, 1.0)
distances = st.floats(0.001, 2.0)


@example(diameter=3e-3, speed=0.0, distance=1.9)
@given(diameter=diameters, speed=speeds, distance=distances)
@settings(deadline=None, max_examples=200)
def test_distance_and_duration_are_inverse(
    falling: Callable[[float, float], Fall], diameter: float, speed: float, distance: float
) -> None:
    drop = falling(diameter, speed)
    duration = fall_duration(drop, np.array(distance))
    # Of the docstring's 1 µs the fit may take 0.4; the rest, at the drop's speed, is the root's.
    allowed = (1e-6 - TOLERANCE) * fall_speed(drop, duration).item()
    assert fall_distance(drop, duration).item() == pytest.approx(distance, abs=allowed)


@given(diameter=diameters, speed=speeds, distance=distances)
@settings(deadline=None, max_examples=100)
def test_arrival_tells_duration_and_speed_at_once(
    falling: Callable[[float, float], Fall], diameter: float, speed: float, distance: float
) -> None:
    drop = falling(diameter, speed)
    duration, arriving = fall_arrival(drop, np.array(distance))
    assert duration.item() == fall_duration(drop, np.array(distance)).item()
    # Sought by the time it is told to so much.
    assert arriving.item() == pytest.approx(fall_speed(drop, duration).item(), rel=SPEED)


def test_the_fall_of_some_shots_is_theirs() -> None:
    # Release speeds by set-up and shot, one diameter: some parts are (2, 3), others (1, 1).
    table = fit((3e-3, 6e-3), deepest=2.0, state=State())
    speeds = np.array([[0.0, 0.1, 0.2], [0.3, 0.4, 0.5]])
    drop = falling_drop(table, diameter=4e-3, speed=speeds, state=State())
    elapsed = 0.1 * np.arange(1.0, 7.0).reshape(2, 3)
    shots = np.array([[False, True, False], [True, False, True]])
    few = fall_speed(fall_of(drop, shots), elapsed[shots])
    assert few.tolist() == fall_speed(drop, elapsed)[shots].tolist()


@given(diameter=diameters, speed=speeds, distance=distances, further=distances)
@settings(deadline=None, max_examples=200)
def test_further_takes_longer(
    falling: Callable[[float, float], Fall],
    diameter: float,
    speed: float,
    distance: float,
    further: float,
) -> None:
    drop = falling(diameter, speed)
    near, far = fall_duration(drop, np.array([distance, distance + further])).ravel()
    assert 0.0 < near < far


@given(diameter=diameters, speed=speeds, more=st.floats(1e-4, 0.2), distance=distances)
@settings(deadline=None, max_examples=200)
def test_a_faster_release_is_earlier(
    falling: Callable[[float, float], Fall],
    diameter: float,
    speed: float,
    more: float,
    distance: float,
) -> None:
    slow = fall_duration(falling(diameter, speed), np.array(distance))
    fast = fall_duration(falling(diameter, speed + more), np.array(distance))
    assert fast.item() < slow.item()


@given(diameter=diameters, speed=speeds, elapsed=st.floats(0.001, 0.5))
@settings(deadline=None, max_examples=200)
def test_speed_is_the_derivative_of_distance(
    falling: Callable[[float, float], Fall], diameter: float, speed: float, elapsed: float
) -> None:
    drop = falling(diameter, speed)
    step = 1e-5
    before, after = fall_distance(drop, np.array([elapsed - step, elapsed + step])).ravel()
    # closed form: a central difference errs by v'' step²/6, below 1e-9 m/s here; rounding of
    # distances of about 1 m gives 1e-16/1e-5.
    assert fall_speed(drop, np.array(elapsed)).item() == pytest.approx(
        (after - before) / (2.0 * step), rel=SPEED, abs=2e-9
    )


@given(diameter=diameters, speed=speeds, elapsed=st.floats(-1.0, 0.0))
@settings(deadline=None, max_examples=50)
def test_before_its_release_a_drop_hangs(
    falling: Callable[[float, float], Fall], diameter: float, speed: float, elapsed: float
) -> None:
    drop = falling(diameter, speed)
    assert fall_distance(drop, np.array(elapsed)).item() == pytest.approx(0.0, abs=1e-8)
    # The start is found by steps: good to 1 µs of fall, 1e-5 m/s.
    assert fall_speed(drop, np.array(elapsed)).item() == pytest.approx(speed, abs=1e-5)


@pytest.fixture
def forgetful() -> Iterator[None]:
    """Keep no fall table from before or for later, where the physics is changed for a test."""
    fit_fall.cache_clear()
    yield
    fit_fall.cache_clear()


@pytest.mark.usefixtures("forgetful")
@pytest.mark.parametrize("speed", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("coefficient", [0.3, 0.5, 0.8])
def test_constant_drag_has_a_closed_form(
    monkeypatch: pytest.MonkeyPatch, coefficient: float, speed: float
) -> None:
    monkeypatch.setattr(drag, "sphere_drag", lambda reynolds: coefficient + 0.0 * reynolds)
    monkeypatch.setattr(drag, "flattening", lambda weber: 1.0 + 0.0 * weber)
    state, diameter = State(), 4.5e-3
    drop = falling_drop(
        fit((diameter, diameter), deepest=2.0, state=state),
        diameter=diameter,
        speed=speed,
        state=state,
    )
    distance = np.array([0.05, 0.127, 0.61, 2.0])
    # closed form: dv/dt = g' - k v² gives v = √(g'/k) tanh(√(k g') t) and z = ln cosh(√(k g') t)/k
    # from rest, hence t = arccosh(e^{kz})/√(k g'), and speed v after the distance
    # z = -ln(1 - k v²/g')/(2k) and the time artanh(v √(k/g'))/√(k g').
    inertia = state.density + 0.5 * state.air_density
    pull = GRAVITY * (state.density - state.air_density) / inertia
    k = 0.75 * coefficient * state.air_density / (inertia * diameter)
    head_start = np.arctanh(speed * np.sqrt(k / pull)) / np.sqrt(k * pull)
    above = -np.log1p(-k * speed**2 / pull) / (2.0 * k)
    expected = np.arccosh(np.exp(k * (distance + above))) / np.sqrt(k * pull) - head_start
    assert np.abs(fall_duration(drop, distance) - expected).max() < 1e-6


def test_without_air_a_drop_falls_freely() -> None:
    state = State(air_density=1e-9, air_viscosity=1e-14)
    drop = falling_drop(
        fit((4.5e-3, 4.5e-3), deepest=2.0, state=state), diameter=4.5e-3, speed=0.3, state=state
    )
    distance = np.array([0.05, 0.127, 0.61, 2.0])
    # closed form: z = v0 t + g t²/2
    expected = (np.sqrt(0.3**2 + 2.0 * GRAVITY * distance) - 0.3) / GRAVITY
    assert np.abs(fall_duration(drop, distance) - expected).max() < 1e-6


def test_each_drop_falls_by_its_own_size_and_speed() -> None:
    state = State()
    table = fit((3e-3, 5e-3), deepest=1.0, state=state)
    resting = falls_from_rest(
        first_diameter=np.array([[3e-3]]),
        second_diameter=np.array([[5e-3]]),
        **state.arrays(),
        fall_table=(table, table),
    )
    both = falls(
        first_from_rest=resting.first_from_rest,
        second_from_rest=resting.second_from_rest,
        valve_release_speed=np.array([[[0.1]], [[0.6]]]),
    )
    for drop, (diameter, speed) in zip(both, [(3e-3, 0.1), (5e-3, 0.6)], strict=True):
        alone = falling_drop(table, diameter=diameter, speed=speed, state=state)
        at = np.array(0.6)
        assert fall_duration(drop, at).item() == fall_duration(alone, at).item()


@pytest.mark.parametrize(
    ("millimetres", "beam", "surface", "beam_speed", "impact_speed"),
    [
        # reference library: scipy 1.17.1, the fall equation integrated from rest at 20 C over
        # 0.127 and 0.610 m of the centre's way; ms and m/s, to their last digit.
        (4.5, 161.59, 357.11, 1.5639, 3.3515),
        (5.0, 161.52, 356.58, 1.5656, 3.3643),
    ],
)
def test_the_usual_rig(
    millimetres: float, beam: float, surface: float, beam_speed: float, impact_speed: float
) -> None:
    state, diameter = State(), millimetres * 1e-3
    table = fit((diameter, diameter), deepest=0.7, state=state)
    drop = falling_drop(table, diameter=diameter, speed=0.0, state=state)
    times = fall_duration(drop, np.array([0.127, 0.610])).ravel()
    assert 1e3 * times == pytest.approx([beam, surface], abs=0.0051)
    assert fall_speed(drop, times).ravel() == pytest.approx([beam_speed, impact_speed], abs=6e-5)
