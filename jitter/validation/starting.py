"""The fall well below terminal speed: how fast after how far, and in thinner air."""

from __future__ import annotations

from functools import cache

import numpy as np

from jitter.arrays import Array
from jitter.stages.air import air
from jitter.stages.drag import FallUnits, fall_units
from jitter.stages.fall_integrals import fall_from_rest, terminal_speed
from jitter.stages.mixtures import water_density, water_surface_tension
from jitter.validation.checks import Check, Claim, Known, many
from jitter.validation.falling import ROOM

STAGE = "fall from rest"
SEA_LEVEL = 101325.0
NEARLY = 0.99

# Radius [mm]: distance from rest to 99 % of the terminal speed [m], at 1000 mb and 20 C.
DISTANCES = {
    0.1: 0.15, 0.2: 0.71, 0.3: 1.6, 0.4: 2.8, 0.5: 3.9, 0.6: 5.2, 0.7: 6.3, 0.8: 7.3, 0.9: 8.4,
    1.0: 9.5, 2.0: 14.0, 3.0: 12.8,
}  # fmt: skip
LABORATORY = (2.6, 3.7, 5.1)
"""Diameters [mm] of drops that fell evenly from about 12 m on."""

# Fall [m]: speed [m/s] of drops taken to be 5.5 mm wide.
SPEEDS = {
    0.5: 2.96, 1.0: 4.12, 1.5: 5.12, 2.0: 5.82, 3.0: 6.84, 4.0: 7.54, 5.0: 8.05, 6.0: 8.36,
    7.0: 8.54, 8.0: 8.66, 9.0: 8.75, 10.0: 8.82, 11.0: 8.87, 12.0: 8.91, 13.0: 8.96, 14.0: 9.02,
    15.0: 9.07, 16.0: 9.13,
}  # fmt: skip
SPEED_SIZE = 5.5
THIN = {84560.0: 1.075, 70120.0: 1.159}
"""Pressure at 20 C [Pa]: terminal speed over that at sea level, (ρ₀/ρ)^0.4."""


def _units(diameter: float, pressure: float) -> FallUnits:
    kelvin = np.array([ROOM])
    gas = air(
        air_altitude=None,
        air_pressure=np.array([pressure]),
        air_temperature=None,
        liquid_temperature=kelvin,
    )
    return fall_units(
        diameter=np.array([diameter]),
        density=water_density(kelvin - 273.15),
        surface_tension=water_surface_tension(kelvin),
        air_density=gas.air_density,
        air_viscosity=gas.air_viscosity,
    )


@cache
def falling(diameter: float, pressure: float = SEA_LEVEL) -> tuple[Array, Array]:
    """Return distance [m] and speed [m/s] of a water drop from rest until it falls evenly.

    Parameters
    ----------
    diameter
        [m].
    pressure
        Of the air at 20 C [Pa].
    """
    units = _units(diameter, pressure)
    numbers = {"archimedes": units.archimedes, "morton": units.morton}
    evenly = float(terminal_speed(**numbers).item())
    fallen = fall_from_rest(**numbers, distance=10.0 * evenly**2, nodes=6001)
    pace = units.length[0] / units.time[0]
    return fallen.distance[0] * units.length[0], fallen.speed[0] * pace


def distance_to_terminal(diameter: float, pressure: float) -> float:
    """Return how far a water drop falls from rest to 99 % of its terminal speed [m]."""
    fallen, speed = falling(diameter, pressure)
    return float(np.interp(NEARLY * speed[-1], speed, fallen))


def speed_after(distance: float, diameter: float) -> float:
    """Return the speed of a water drop that fell a distance from rest [m/s]."""
    return float(np.interp(distance, *falling(diameter)))


def wicks_bathurst(distance: float, diameter: float) -> float:
    """Return the speed by the formula of Wicks & Bathurst for drips of 2 to 6 mm [m/s].

    v² = g L (1 - e^(-2 X/L)), L = 2.2 d up to 3.3 mm and 1.64 d + 1.93 above (d in mm, L in m),
    for falls X under 7.5 m.
    """
    millimetres = 1e3 * diameter
    length = 2.2 * millimetres if millimetres <= 3.3 else 1.64 * millimetres + 1.93
    return float(np.sqrt(9.81 * length * -np.expm1(-2.0 * distance / length)))


def starting_checks() -> tuple[Check, ...]:
    """Return how fast drops fall after how far."""
    low, high = (
        [
            (f"{metres:g} m", speed_after(metres, 1e-3 * SPEED_SIZE), speed)
            for metres, speed in SPEEDS.items()
            if (metres < 1.2) is short
        ]
        for short in (True, False)
    )
    epema = "Epema & Riezebos 1983, Catena Suppl. 4, 1, in the code of a public hydrology model"
    return (
        *many(
            [
                (
                    f"{size:g} mm, {1e3 * metres:g} mm",
                    speed_after(metres, 1e-3 * size),
                    wicks_bathurst(metres, 1e-3 * size),
                )
                for size in (4.0, 4.5, 5.0, 6.0)
                for metres in (0.127, 0.3, 0.610)
            ],
            stage=STAGE,
            series="speed after the falls of a rig",
            unit="m/s",
            claim=Claim(0.005, "half a per cent, an honest doubt of such formulae"),
            source="Wicks & Bathurst 1996, J. Hydrol. 175, 213, formula for drips from leaves",
            known=Known.SECOND_HAND,
            note="Over so short a fall any sensible drag does as much: without air it is 3 % more.",
        ),
        *many(
            low,
            stage=STAGE,
            series="speed after short falls, 5.5 mm",
            unit="m/s",
            claim=Claim(0.025, "what the longer falls agree to"),
            source=epema,
            known=Known.SECOND_HAND,
            note=(
                "The measured speeds lie 5 to 7 % under a fall without air, which no drag of a drop"
                " explains; it is as if 5 cm of the fall were missing. Neither the drops' true size"
                " nor how they were let go could be read."
            ),
        ),
        *many(
            high,
            stage=STAGE,
            series="speed after long falls, 5.5 mm",
            unit="m/s",
            claim=Claim(0.025, "the size of the drops is not known better"),
            source=epema,
            known=Known.SECOND_HAND,
        ),
        *many(
            [
                (f"{2.0 * radius:g} mm", distance_to_terminal(2e-3 * radius, 1e5), metres)
                for radius, metres in DISTANCES.items()
            ],
            stage=STAGE,
            series="fall from rest to 99 % of terminal speed",
            unit="m",
            uncertainty="two to three digits",
            claim=Claim(0.15, "the last 1 % of speed: 15 % of the way is 0.6 % of the speed"),
            source="Wang & Pruppacher 1977, J. Appl. Meteorol. 16, 275, section 4",
            known=Known.SECOND_HAND,
        ),
        *many(
            [
                (f"{size:g} mm", distance_to_terminal(1e-3 * size, SEA_LEVEL), 12.0)
                for size in LABORATORY
            ],
            stage=STAGE,
            series="fall until drops fall evenly in a tower",
            unit="m",
            uncertainty="'approximately'",
            claim=Claim(0.10, "'approximately'"),
            source="Chowdhury et al. 2016, Atmos. Res. 168, 158",
            known=Known.ABSTRACT,
        ),
        *many(
            [
                (
                    f"{size:g} mm at {1e-2 * pressure:.0f} hPa",
                    float(falling(1e-3 * size, pressure)[1][-1] / falling(1e-3 * size)[1][-1]),
                    ratio,
                )
                for pressure, ratio in THIN.items()
                for size in (1.0, 2.0, 3.0, 4.5)
            ],
            stage=STAGE,
            series="terminal speed in thinner air, over that at sea level",
            uncertainty="an average over all sizes",
            claim=Claim(0.035, "an average over all sizes"),
            source="Foote & du Toit 1969, J. Appl. Meteorol. 8, 249: (ρ₀/ρ)^0.4",
            known=Known.SECOND_HAND,
        ),
    )
