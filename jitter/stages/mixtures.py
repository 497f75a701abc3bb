"""Properties of water, of aqueous glycerol and of milk against temperature."""

from __future__ import annotations

import numpy as np

from jitter.arrays import Array

ZERO_CELSIUS = 273.15

# How far the surface tension of a mixture is on its way from water's to glycerol's, by mass:
# CRC Handbook of Chemistry and Physics, "Surface tension of aqueous mixtures", 18 C, 72.9 72.9 72.4
# 72.0 70.0 66.0 63.0 mN/m at 5 10 20 30 50 85 100 %, 73.05 for water (from memory).
GLYCEROL_FRACTION = (0.0, 0.05, 0.10, 0.20, 0.30, 0.50, 0.85, 1.0)
GLYCEROL_WAY = tuple(
    (73.05 - tension) / (73.05 - 63.0)
    for tension in (73.05, 72.9, 72.9, 72.4, 72.0, 70.0, 66.0, 63.0)
)


def water_density(celsius: Array) -> Array:
    """Return the density of water [kg/m3] at one atmosphere.

    Air dissolved in it, which takes 0.003 kg/m3 off, is neglected.

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

    What pressure does to it is neglected.

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

    That it is against air in a rig, and dirt on the surface, are neglected.

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
    pure water without a step; this moves the result by 0.02 % at most. What pressure does to it is
    neglected.

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
    into pure water without a step; this moves the result by 0.5 % at most. What pressure does to it
    is neglected.

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


def glycerol_surface_tension(celsius: Array) -> Array:
    """Return the surface tension of pure glycerol [N/m].

    63.1 - 0.068 (T - 29.5) mN/m: our line through four measured values, within 0.1 mN/m of each.
    The water that glycerol draws from the air is neglected.

    Parameters
    ----------
    celsius
        Temperature [C], 22 to 37; elsewhere an extrapolation.

    References
    ----------
    Fluid Phase Equilibria 2016, doi 10.1016/j.fluid.2016.04.007 (read second-hand, in a record of
    the ThermoML archive): 63.6 63.3 62.9 62.6 mN/m at 22 27 32 37 C, stated to 0.3.

    Examples
    --------
    >>> round(1e3 * float(glycerol_surface_tension(np.array(20.0))), 1)
    63.7
    """
    return 1e-3 * (63.1 - 0.068 * (celsius - 29.5))


def mixture_surface_tension(kelvin: Array, glycerol: Array) -> Array:
    """Return the surface tension of aqueous glycerol [N/m].

    From water's to glycerol's as far as a handbook table at 18 C has come at that mass fraction,
    interpolated linearly. Dyes and detergents are neglected: give the surface tension if there are
    any.

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
    water = water_surface_tension(kelvin)
    way = np.interp(glycerol, GLYCEROL_FRACTION, GLYCEROL_WAY)
    return water + way * (glycerol_surface_tension(kelvin - ZERO_CELSIUS) - water)


def milk_density(celsius: Array, fat: Array) -> Array:
    """Return the density of milk [kg/m3].

    ρ = 1033.7 - 0.13 T - 0.0044 T² - 110 (w - 0.036): our fit, within 0.4 kg/m3, to the rows of
    homogenised milk and, for the fat, of skim milk. Milks differ by 3 kg/m3 and more; that fat
    hardens below 20 C is neglected.

    Parameters
    ----------
    celsius
        Temperature [C], 4 to 39.
    fat
        Mass fraction of fat [1], 0 to 0.05.

    References
    ----------
    Goff, Dairy Chemistry and Physics, University of Guelph, table of densities (read second-hand):
    1.033 1.032 1.029 1.022 kg/L at 4.4 10 20 38.9 C with 3.6 % fat; skim 0.004 more.
    """
    return 1033.7 - celsius * (0.13 + 0.0044 * celsius) - 110.0 * (fat - 0.036)


def milk_viscosity(kelvin: Array, fat: Array) -> Array:
    """Return the viscosity of milk [Pa s].

    ln μ = -8.9 + 0.1 F + 2721.5/T with μ in mPa s and F the fat in per cent. Milk is taken to be
    a Newtonian liquid; the rounding of the coefficients alone leaves 5 % of doubt. That it thickens
    as it stands is neglected.

    Parameters
    ----------
    kelvin
        Temperature [K], 273 to 303; above 313 the formula falls below other measurements.
    fat
        Mass fraction of fat [1], 0 to 0.3.

    References
    ----------
    Bakshi & Smith 1984, J. Dairy Sci. 67, 1157 (read in the abstract).

    Examples
    --------
    >>> round(1e3 * float(milk_viscosity(np.array(293.15), np.array(0.035))), 2)
    2.08
    """
    viscosity: Array = 1e-3 * np.exp(-8.9 + 10.0 * fat + 2721.5 / kelvin)
    return viscosity


def milk_surface_tension(celsius: Array) -> Array:
    """Return the surface tension of milk [N/m].

    1.8e-4 T² - 0.163 T + 55.6 mN/m; whole and skim milk did not differ, the residuals have a
    standard deviation of 2.1 mN/m. A surface only milliseconds old is nearer to water's, which
    is neglected.

    Parameters
    ----------
    celsius
        Temperature [C], 18 to 135; below, an extrapolation.

    References
    ----------
    Bertsch 1983, J. Dairy Res. 50, 259 (read in the abstract).

    Examples
    --------
    >>> round(1e3 * float(milk_surface_tension(np.array(20.0))), 1)
    52.4
    """
    return 1e-3 * (1.8e-4 * celsius**2 - 0.163 * celsius + 55.6)
