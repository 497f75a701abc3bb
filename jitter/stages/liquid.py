"""The liquid in the drops and in the dish, and the air they fall through."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Mark, Quantity, sd
from jitter.stage import Stage

ZERO_CELSIUS = 273.15
STANDARD_PRESSURE = 101325.0

# Surface tension of aqueous glycerol relative to water, against mass fraction: CRC Handbook of
# Chemistry and Physics, "Surface tension of aqueous mixtures", 18 C, 72.9 72.9 72.4 72.0 70.0
# 66.0 63.0 mN/m at 5 10 20 30 50 85 100 %, over 73.05 for water (from memory).
GLYCEROL_FRACTION = (0.0, 0.05, 0.10, 0.20, 0.30, 0.50, 0.85, 1.0)
GLYCEROL_TENSION_RATIO = tuple(
    tension / 73.05 for tension in (73.05, 72.9, 72.9, 72.4, 72.0, 70.0, 66.0, 63.0)
)

DECLARES = (
    Quantity(
        key="liquid.temperature",
        meaning="temperature of liquid and air",
        symbol="T",
        unit="K",
        nominal=293.15,
        lower=273.15,
        upper=333.15,
        setup=sd(1.0),
        basis=Basis(Mark.ASSUMED, "a heated room"),
    ),
    Quantity(
        key="liquid.glycerol",
        meaning="share of glycerol in the liquid, by mass",
        symbol="w",
        unit="1",
        nominal=0.0,
        lower=0.0,
        upper=1.0,
        basis=Basis(Mark.COMMON, "plain water"),
    ),
    Quantity(
        key="liquid.density",
        meaning="density of the liquid, if measured",
        symbol="ρ",
        unit="kg/m3",
        nominal=None,
        lower=600.0,
        upper=2000.0,
        basis=Basis(Mark.PUBLISHED, "Kell 1975; Volk & Kähler 2018"),
    ),
    Quantity(
        key="liquid.viscosity",
        meaning="viscosity of the liquid, if measured",
        symbol="μ",
        unit="Pa s",
        nominal=None,
        lower=1e-4,
        upper=20.0,
        basis=Basis(Mark.PUBLISHED, "IAPWS R12-08; Cheng 2008"),
    ),
    Quantity(
        key="liquid.surface_tension",
        meaning="surface tension of the liquid, if measured",
        symbol="σ",
        unit="N/m",
        nominal=None,
        lower=0.015,
        upper=0.09,
        basis=Basis(Mark.PUBLISHED, "IAPWS R1-76(2014); glycerol from memory"),
    ),
)


def water_density(celsius: Array) -> Array:
    """Return the density of water [kg/m3] at one atmosphere.

    Parameters
    ----------
    celsius
        Temperature [C], 0 to 150.

    References
    ----------
    Kell 1975, J. Chem. Eng. Data 20, 97, equation 16.

    Examples
    --------
    >>> round(float(water_density(np.array(20.0))), 2)
    998.2
    """
    t = celsius
    top = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - 280.54253e-12 * t)))
    )
    return top / (1.0 + 16.879850e-3 * t)


def water_viscosity(kelvin: Array) -> Array:
    """Return the viscosity of water [Pa s] at 0.1 MPa.

    Parameters
    ----------
    kelvin
        Temperature [K], 253.15 to 383.15.

    References
    ----------
    IAPWS SR6-08(2011), the liquid form of R12-08; stated uncertainty 1 % and less.
    """
    t = kelvin / 300.0
    return 1e-6 * (280.68 * t**-1.9 + 511.45 * t**-7.7 + 61.131 * t**-19.6 + 0.45903 * t**-40.0)


def water_surface_tension(kelvin: Array) -> Array:
    """Return the surface tension of water against its vapour [N/m].

    Parameters
    ----------
    kelvin
        Temperature [K], 273.15 to 647.096.

    References
    ----------
    IAPWS R1-76(2014).
    """
    tau = 1.0 - kelvin / 647.096
    return 235.8e-3 * tau**1.256 * (1.0 - 0.625 * tau)


def mixture_density(celsius: Array, glycerol: Array) -> Array:
    """Return the density of aqueous glycerol [kg/m3].

    The density of the water in it is Kell's, not the paper's own fit, so that mixtures run into
    pure water without a step; this moves the result by 0.02 % at most.

    Parameters
    ----------
    celsius
        Temperature [C], 15 to 30 for the stated 0.07 %.
    glycerol
        Mass fraction [1], 0 to 1.

    References
    ----------
    Volk & Kähler 2018, Exp. Fluids 59, 75.
    """
    water = water_density(celsius)
    pure = 1273.0 - 0.612 * celsius
    contraction = 1.78e-6 * celsius**2 - 1.82e-4 * celsius + 1.41e-2
    # abs: the sine of pi itself is a rounding error below zero in no platform we know, but its
    # power would be NaN if it were.
    swell = 1.0 + contraction * np.abs(np.sin(np.pi * glycerol**1.31)) ** 0.81
    share = glycerol / (glycerol + (pure / water) * (1.0 - glycerol))
    return swell * (water + (pure - water) * share)


def mixture_viscosity(celsius: Array, glycerol: Array) -> Array:
    """Return the viscosity of aqueous glycerol [Pa s].

    The viscosity of the water in it is IAPWS's, not the paper's own fit, so that mixtures run
    into pure water without a step; this moves the result by 0.5 % at most.

    Parameters
    ----------
    celsius
        Temperature [C], 0 to 100.
    glycerol
        Mass fraction [1], 0 to 1.

    References
    ----------
    Cheng 2008, Ind. Eng. Chem. Res. 47, 3285, equations 6, 21 and 22. Copies circulate with
    0.25 for the exponent 2.5 and with -1232 for -1233.
    """
    water = water_viscosity(celsius + ZERO_CELSIUS)
    pure = 12.100 * np.exp((-1233.0 + celsius) * celsius / (9900.0 + 70.0 * celsius))
    a = 0.705 - 0.0017 * celsius
    b = (4.9 + 0.036 * celsius) * a**2.5
    weight = (
        1.0 - glycerol + a * b * glycerol * (1.0 - glycerol) / (a * glycerol + b * (1.0 - glycerol))
    )
    return water**weight * pure ** (1.0 - weight)


def mixture_surface_tension(kelvin: Array, glycerol: Array) -> Array:
    """Return the surface tension of aqueous glycerol [N/m].

    Water's value times a ratio that depends on the mass fraction only, interpolated linearly in
    a handbook table at 18 C. Dyes, detergents and milk are neglected: give the surface tension
    if there are any.

    Parameters
    ----------
    kelvin
        Temperature [K].
    glycerol
        Mass fraction [1], 0 to 1.

    References
    ----------
    CRC Handbook of Chemistry and Physics, surface tension of aqueous mixtures (from memory).
    """
    ratio = np.interp(glycerol, GLYCEROL_FRACTION, GLYCEROL_TENSION_RATIO)
    return water_surface_tension(kelvin) * ratio


class Liquid(NamedTuple):
    """Properties of the liquid and of the air."""

    density: Array
    viscosity: Array
    surface_tension: Array
    air_density: Array
    air_viscosity: Array


def liquid(
    *,
    liquid_temperature: Array,
    liquid_glycerol: Array,
    liquid_density: Array | None,
    liquid_viscosity: Array | None,
    liquid_surface_tension: Array | None,
) -> Liquid:
    """Return the properties of liquid and air.

    The air is dry, has the liquid's temperature and stands at 101325 Pa.

    Parameters
    ----------
    liquid_temperature : array (s, n) [K]
        Temperature, 273.15 to 333.15.
    liquid_glycerol : array (s, n) [1]
        Mass fraction of glycerol.
    liquid_density : array (s, n) [kg/m3]
        Measured density, or None for the published one.
    liquid_viscosity : array (s, n) [Pa s]
        Measured viscosity, or None.
    liquid_surface_tension : array (s, n) [N/m]
        Measured surface tension, or None.

    Returns
    -------
    density : array (s, n) [kg/m3]
    viscosity : array (s, n) [Pa s]
    surface_tension : array (s, n) [N/m]
    air_density : array (s, n) [kg/m3]
    air_viscosity : array (s, n) [Pa s]

    References
    ----------
    Air: ideal gas with 287.05 J/(kg K); Sutherland's law with the constants of the U.S. Standard
    Atmosphere 1976.
    """
    celsius = liquid_temperature - ZERO_CELSIUS
    if liquid_density is None:
        liquid_density = mixture_density(celsius, liquid_glycerol)
    if liquid_viscosity is None:
        liquid_viscosity = mixture_viscosity(celsius, liquid_glycerol)
    if liquid_surface_tension is None:
        liquid_surface_tension = mixture_surface_tension(liquid_temperature, liquid_glycerol)
    return Liquid(
        density=liquid_density,
        viscosity=liquid_viscosity,
        surface_tension=liquid_surface_tension,
        air_density=STANDARD_PRESSURE / (287.05 * liquid_temperature),
        air_viscosity=1.458e-6 * liquid_temperature**1.5 / (liquid_temperature + 110.4),
    )


STAGE = Stage(name="liquid and air", declares=DECLARES, work=liquid)
