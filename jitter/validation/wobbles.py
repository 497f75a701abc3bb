"""The drop's oscillation: its frequency, its damping, and how much it shifts what follows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.stages.fall import fall_distance
from jitter.stages.mixtures import water_density, water_surface_tension, water_viscosity
from jitter.stages.wobble import Wobble, damping_time, oscillation_rate, stretch
from jitter.validation.checks import Check, Claim, Known, many
from jitter.validation.rig import shot

STAGE = "wobble"
ROOM = 293.15
AMPLITUDES = (0.05, 0.1, 0.2)

# A second program, kept apart: Rayleigh's frequency [Hz] and Lamb's damping time [s] of a water
# drop at 20 C, by diameter [mm] and mode.
OSCILLATIONS = {
    (3.0, 2): (66.144, 0.4485),
    (3.0, 3): (128.088, 0.1602),
    (4.5, 2): (36.005, 1.0091),
    (4.5, 3): (69.722, 0.3604),
    (4.5, 4): (108.014, 0.1869),
    (6.0, 2): (23.386, 1.7939),
}


def frequency_checks() -> tuple[Check, ...]:
    """Return frequency and damping against Rayleigh and Lamb."""
    density = water_density(np.array(20.0))
    tension, viscosity = water_surface_tension(np.array(ROOM)), water_viscosity(np.array(ROOM))
    frequencies, dampings = [], []
    for (millimetres, mode), (hertz, seconds) in OSCILLATIONS.items():
        size = np.array(1e-3 * millimetres)
        rate = oscillation_rate(mode=mode, diameter=size, density=density, tension=tension)
        decay = damping_time(mode=mode, diameter=size, density=density, viscosity=viscosity)
        what = f"{millimetres:g} mm, mode {mode}"
        frequencies.append((what, float(rate) / (2.0 * np.pi), hertz))
        dampings.append((what, float(decay), seconds))
    return (
        *many(
            frequencies,
            stage=STAGE,
            series="frequency of a water drop",
            unit="1/s",
            claim=Claim(5e-5, "the digits kept"),
            source="Rayleigh 1879, Proc. R. Soc. 29, 71; Lamb, Hydrodynamics, article 275",
            known=Known.PROGRAM,
        ),
        *many(
            dampings,
            stage=STAGE,
            series="damping time of a water drop",
            unit="s",
            claim=Claim(3e-4, "the digits kept"),
            source="Lamb, Hydrodynamics, article 355",
            known=Known.PROGRAM,
            note="A real drop is damped faster, by flow inside it and by whatever covers it.",
        ),
    )


def _settings(amplitude: float, phase: float) -> tuple[str, ...]:
    return (f"valve.wobble={amplitude}", f"valve.wobble_phase={phase}", "timer.start=second drop")


def _one(events: dict[str, Any], name: str) -> float:
    return float(np.asarray(events[name]).item())


def _closes(gap: Callable[[float], float], low: float, high: float) -> float:
    """Return where a gap that is positive at `low` closes, by bisection."""
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if gap(middle) > 0.0 else (low, middle)
    return low


def exact_moments(amplitude: float, phase: float) -> tuple[float, float]:
    """Return when the second drop of the default rig breaks the beam, and when it lands [s].

    By bisection on the height of its oscillating lower edge.

    Parameters
    ----------
    amplitude
        At pinch-off over the radius [1].
    phase
        At pinch-off, in periods [1].
    """
    events = shot(*_settings(amplitude, phase))
    wobble, release = events["second_wobble"], _one(events, "second_release")
    radius, nozzle = 0.5 * _one(events, "second_diameter"), _one(events, "valve_nozzle_height")

    def edge(moment: float) -> float:
        elapsed = np.array([[moment - release]])
        half = radius * float(stretch(wobble, elapsed).item())
        return nozzle - float(fall_distance(events["second_fall"], elapsed).item()) - half

    landing, response = _one(events, "second_landing"), _one(events, "sensor_response")
    beam = _one(events, "sensor_height")
    # The drop is above the beam as it leaves the nozzle, and below the surface 20 ms late.
    crossing = _closes(lambda moment: edge(moment) - beam, release + 0.05, landing)
    landed = _closes(edge, crossing, landing + 0.02)
    return crossing + response, landed


def shift_checks() -> tuple[Check, ...]:
    """Return crossings and landings of oscillating drops against a root finder."""
    crossings, landings = [], []
    for amplitude in (0.1, 0.3):
        for phase in (0.0, 0.25, 0.5, 0.75):
            events = shot(*_settings(amplitude, phase))
            crossing, landed = exact_moments(amplitude, phase)
            what = f"amplitude {amplitude:g}, phase {phase:g}"
            crossings.append((what, _one(events, "start_time"), crossing))
            landings.append((what, _one(events, "second_landing"), landed))
    claim = Claim(1e-6, "the bound of the fitted fall times, 1 µs", relative=False)
    return (
        *many(
            crossings,
            stage=STAGE,
            series="moment at which an oscillating drop breaks the beam",
            unit="s",
            claim=claim,
            source="bisection on the height of the drop's lower edge",
            known=Known.CLOSED_FORM,
        ),
        *many(
            landings,
            stage=STAGE,
            series="moment at which an oscillating drop lands",
            unit="s",
            claim=claim,
            source="bisection on the height of the drop's lower edge",
            known=Known.CLOSED_FORM,
        ),
    )


def shifts(amplitude: float, phases: Array) -> tuple[Array, Array, Array]:
    """Return by how much an oscillating drop is late at the beam, at the surface, at the jet [s].

    Parameters
    ----------
    amplitude
        At pinch-off over the radius [1].
    phases : array (k,) [1]
        At pinch-off, in periods.
    """
    round_drop = shot("timer.start=second drop")
    found = []
    for phase in phases:
        events = shot(*_settings(amplitude, float(phase)))
        found.append(
            [
                _one(events, name) - _one(round_drop, name)
                for name in ("start_time", "second_landing", "meeting_time")
            ]
        )
    crossing, landing, meeting = np.array(found).T
    return crossing, landing, meeting


def left_over(events: dict[str, Any]) -> float:
    """Return the share of the amplitude left when the second drop of a shot lands [1]."""
    wobble: Wobble = events["second_wobble"]
    elapsed = events["second_landing"] - events["second_release"]
    return float(np.exp(-elapsed / wobble.damping).item())


def wobble_checks() -> tuple[Check, ...]:
    """Return the checks of the oscillation."""
    return (*frequency_checks(), *shift_checks())
