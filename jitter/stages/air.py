"""The air that the drops fall through."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Mark, Quantity
from jitter.stage import Stage

SEA_LEVEL_PRESSURE = 101325.0
GAS_CONSTANT = 287.05
"""Of dry air [J/(kg K)]."""

DECLARES = (
    Quantity(
        key="air.altitude",
        meaning="height of the place above sea level",
        symbol="H",
        unit="m",
        nominal=0.0,
        lower=-450.0,
        upper=6000.0,
        basis=Basis(Mark.COMMON, "sea level; the weather moves the pressure by 1 %"),
    ),
    Quantity(
        key="air.pressure",
        meaning="air pressure at the table, if measured",
        symbol="p_a",
        unit="Pa",
        nominal=None,
        lower=4e4,
        upper=1.2e5,
        basis=Basis(Mark.PUBLISHED, "U.S. Standard Atmosphere 1976 at the altitude"),
        instead=("air.altitude",),
    ),
    Quantity(
        key="air.temperature",
        meaning="temperature of the air, if it differs from the liquid's",
        symbol="T_a",
        unit="K",
        nominal=None,
        lower=253.15,
        upper=333.15,
        basis=Basis(Mark.COMMON, "the liquid's"),
    ),
)


def standard_pressure(altitude: Array) -> Array:
    """Return the air pressure at a height above sea level [Pa].

    Parameters
    ----------
    altitude
        Above sea level [m], -500 to 11000; the weather is neglected.

    References
    ----------
    U.S. Standard Atmosphere 1976, equation 33a for the layer of 6.5 K/km.

    Examples
    --------
    >>> round(float(standard_pressure(np.array(1000.0))))  # fluids 1.3.1 has 89876.3
    89876
    """
    # Geopotential height, with the earth's radius of the standard.
    height = altitude * (6356766.0 / (6356766.0 + altitude))
    pressure: Array = SEA_LEVEL_PRESSURE * (1.0 - 0.0065 * height / 288.15) ** 5.25588
    return pressure


class Air(NamedTuple):
    """Properties of the air."""

    air_density: Array
    air_viscosity: Array


def air(
    *,
    air_altitude: Array | None,
    air_pressure: Array | None,
    air_temperature: Array | None,
    liquid_temperature: Array,
) -> Air:
    """Return the density and the viscosity of the air.

    Dry air, an ideal gas; humidity is neglected, which makes it 0.9 % lighter at 20 C when
    saturated. 250 to 335 K.

    Parameters
    ----------
    air_altitude : array (s, n) [m]
        Above sea level, or None where the pressure is given.
    air_pressure : array (s, n) [Pa]
        Measured pressure, or None for the standard one at the altitude.
    air_temperature : array (s, n) [K]
        Or None for the liquid's.
    liquid_temperature : array (s, n) [K]

    Returns
    -------
    air_density : array (s, n) [kg/m3]
    air_viscosity : array (s, n) [Pa s]

    References
    ----------
    Gas constant 287.05 J/(kg K) and Sutherland's law: U.S. Standard Atmosphere 1976, table 2 and
    equation 51.
    """
    temperature = liquid_temperature if air_temperature is None else air_temperature
    if air_pressure is None:
        air_pressure = standard_pressure(np.zeros(()) if air_altitude is None else air_altitude)
    return Air(
        air_density=air_pressure / (GAS_CONSTANT * temperature),
        air_viscosity=1.458e-6 * temperature**1.5 / (temperature + 110.4),
    )


STAGE = Stage(name="air", declares=DECLARES, work=air)
