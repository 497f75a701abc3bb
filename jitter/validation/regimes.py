"""The engineer's numbers, the band of bubble entrapment and the room's light."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.stages import regime
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.falling import terminal_speed
from jitter.validation.rig import shot, work

# A second program: Weber, Froude and Reynolds number of a 4.5 mm drop that fell 0.610 m from rest.
IMPACT = (693.7, 254.5, 15030.0)

RAIN = (0.8e-3, 1.1e-3)
"""Drops that regularly trap a bubble when they land at their terminal speed [m]."""
PHILLIPS = (4e-3, 1.3)
"""A drop that was heard to trap one: diameter [m], speed [m/s]."""


def in_band(diameter: float, speed: float) -> bool:
    """Return whether a water drop lands within the band of regular bubble entrapment.

    Parameters
    ----------
    diameter
        [m].
    speed
        [m/s].
    """
    made: Any = work(
        regime.STAGE,
        first_diameter=np.array([[diameter]]),
        impact_speed=np.array([[speed]]),
    )
    return bool(((made.weber > made.bubble_lower) & (made.weber < made.bubble_upper)).item())


def band_of_rain() -> tuple[float, float]:
    """Return the smallest and the largest rain drop in the band, to 5 µm [m]."""
    sizes = 1e-3 * np.arange(0.6, 1.6, 0.005)
    inside = [size for size in sizes if in_band(float(size), terminal_speed(float(size)))]
    return float(min(inside)), float(max(inside))


def band_checks() -> tuple[Check, ...]:
    """Return the checks of the band of bubble entrapment."""
    ends = band_of_rain()
    return (
        *many(
            [
                (what, ours, theirs)
                for what, ours, theirs in zip(("smallest", "largest"), ends, RAIN, strict=True)
            ],
            stage="regime",
            series="rain drops that trap a bubble",
            unit="m",
            uncertainty="printed to 0.1 mm",
            claim=Claim(1.5e-4, "the digits printed, and half as much for the fit", relative=False),
            source=(
                "Pumphrey & Elmore 1990, J. Fluid Mech. 220, 539; Medwin et al. 1992, J. Acoust."
                " Soc. Am. 92, 1613"
            ),
            known=Known.SECOND_HAND,
        ),
        *many(
            [("4 mm at 1.3 m/s (1: in the band)", float(in_band(*PHILLIPS)), 1.0)],
            stage="regime",
            series="a drop heard to trap a bubble",
            claim=Claim(1e-9, "yes or no", relative=False),
            source="Phillips, Agarwal & Jordan 2018, Sci. Rep. 8, 9515",
            known=Known.SECOND_HAND,
        ),
    )


def regime_checks() -> tuple[Check, ...]:
    """Return the checks of the dimensionless numbers and of the ambient exposure."""
    # The centre falls 0.610 m from rest where the nozzle is half a drop higher.
    events = shot("valve.release_speed=0 m/s", "valve.nozzle_height=612.25 mm")
    names = ("weber", "froude", "reynolds")
    ghost = work(
        regime.STAGE,
        camera_ambient=2.5,
        camera_iso=100.0,
        camera_shutter_open=np.ones((1, 1)),
        working_aperture=np.ones((1, 1)),
    )
    viscosity, density, size, tension = (
        float(np.asarray(events[name]).item())
        for name in ("viscosity", "density", "first_diameter", "surface_tension")
    )
    return (
        *many(
            [
                (name.capitalize(), float(events[name].item()), expected)
                for name, expected in zip(names, IMPACT, strict=True)
            ],
            stage="regime",
            series="numbers of the impact",
            claim=Claim(3e-4, "the digits kept"),
            source="tight integration of the same fall, kept apart from the package",
            known=Known.PROGRAM,
        ),
        *many(
            [
                (
                    "Ohnesorge",
                    float(events["ohnesorge"].item()),
                    viscosity / float(np.sqrt(density * size * tension)),
                )
            ],
            stage="regime",
            series="Ohnesorge number",
            claim=EXACT,
            source="Oh = μ/√(ρ σ D)",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("2.5 lx, ISO 100, f/1, 1 s", float(ghost.ghost_stops.item()), 0.0)],
            stage="regime",
            series="ambient exposure",
            unit="stop",
            claim=Claim(1e-9, "the same rule", relative=False),
            source=(
                "exposure value 0 at ISO 100 is 2.5 lx: ISO 2720:1974 with the constant 250 for a"
                " flat receptor (encyclopaedias, a page on meters of 2008)"
            ),
            known=Known.SECOND_HAND,
        ),
        *band_checks(),
    )
