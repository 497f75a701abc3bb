"""The liquids and the air of the independent simulation, in formulas of their own where there are.

Nothing is imported from the package. Temperatures in degrees Celsius, everything else in SI.
(memory): not read in the source.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tests.independent_rig import Array, Values

GRAVITY = 9.80665


class Liquid(NamedTuple):
    """Density, viscosity and surface tension."""

    density: Array
    viscosity: Array
    tension: Array


def liquid(kind: str, q: Values) -> Liquid:
    """Return the liquid; what a rig states of it comes before what is known of its kind."""
    celsius = q["liquid_temperature"]
    made = milk(celsius, q["liquid_fat"]) if kind == "milk" else water(celsius)
    if np.any(q["liquid_glycerol"] > 0):
        made = glycerol(celsius, q["liquid_glycerol"], made.tension)
    names = ("liquid_density", "liquid_viscosity", "liquid_surface_tension")
    return Liquid(*(q.get(name, known) for name, known in zip(names, made, strict=True)))


def water(celsius: Array) -> Liquid:
    """Water: density of Kell 1975, viscosity of Cheng 2008, tension of IAPWS R1-76(2014)."""
    terms = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
    density = sum(term * celsius**i for i, term in enumerate(terms)) / (1 + 16.879850e-3 * celsius)
    tau = 1 - (celsius + 273.15) / 647.096
    tension = 0.2358 * tau**1.256 * (1 - 0.625 * tau)
    return Liquid(density, _cheng_water(celsius), tension)


def _cheng_water(celsius: Array) -> Array:
    """Cheng 2008, Ind. Eng. Chem. Res. 47, 3285, equation 21; within 1 % of IAPWS R12-08."""
    exponent = (-1230 - celsius) * celsius / (36100 + 360 * celsius)
    return np.asarray(1.790e-3 * np.exp(exponent))


def glycerol(celsius: Array, share: Array, water_tension: Array) -> Liquid:
    """Aqueous glycerol, with the two papers' own fits of water in it.

    Density: Volk & Kähler 2018, Exp. Fluids 59, 75. Viscosity: Cheng 2008. Tension: between
    water's and that of glycerol (four values of 2016 in the ThermoML archive, a straight line) as
    far as in the CRC Handbook at 18 C (memory), whose broken line is a sum of kinks.
    """
    plain = 1000 * (1 - np.abs((celsius - 3.98) / 615) ** 1.71)
    pure = 1273 - 0.612 * celsius
    bend = 1.78e-6 * celsius**2 - 1.82e-4 * celsius + 1.41e-2
    mixed = plain + (pure - plain) / (1 + pure / plain * (1 / share - 1))
    density = mixed * (1 + bend * np.sin(np.pi * share**1.31) ** 0.81)
    thick = 12.1 * np.exp((-1233 + celsius) * celsius / (9900 + 70 * celsius))
    a = 0.705 - 0.0017 * celsius
    b = (4.9 + 0.036 * celsius) * a**2.5
    alpha = 1 - share + a * b * share * (1 - share) / (a * share + b * (1 - share))
    viscosity = np.exp(alpha * np.log(_cheng_water(celsius)) + (1 - alpha) * np.log(thick))
    at = np.array([0, 0.05, 0.10, 0.20, 0.30, 0.50, 0.85, 1])
    handbook = np.array([73.05, 72.9, 72.9, 72.4, 72.0, 70.0, 66.0, 63.0])
    kinks = np.diff(np.diff(handbook) / np.diff(at), prepend=0) / (63.0 - 73.05)
    way = sum(kink * np.maximum(share - x, 0) for kink, x in zip(kinks, at, strict=False))
    measured = np.polyfit((22.0, 27.0, 32.0, 37.0), (0.0636, 0.0633, 0.0629, 0.0626), 1)
    tension = water_tension * (1 - way) + np.polyval(measured, celsius) * way
    return Liquid(density, viscosity, tension)


def milk(celsius: Array, fat: Array) -> Liquid:
    """Milk: a parabola through Goff's densities, Bakshi & Smith 1984, Bertsch 1983.

    The rows are those of milk with 3.6 % of fat; without any it is 4 kg/m3 heavier.
    """
    rows = np.polyfit((4.4, 10.0, 20.0, 38.9), (1033.0, 1032.0, 1029.0, 1022.0), 2)
    density = np.polyval(rows, celsius) + 4.0 * (1 - fat / 0.036)
    # e^(-8.9 + 2721.5/T + 0.1 F) mPa s, written about 20 C.
    at_20 = 1e-3 * np.exp(2721.5 / 293.15 - 8.9)
    colder = (20 - celsius) / (293.15 * (celsius + 273.15))
    viscosity = at_20 * np.exp(2721.5 * colder + 10 * fat)
    return Liquid(density, viscosity, 0.0556 - 1.63e-4 * celsius + 1.8e-7 * celsius**2)


def air(q: Values) -> tuple[Array, Array]:
    """Return density and viscosity: Sutherland's law as in the US Standard Atmosphere 1976."""
    kelvin = q.get("air_temperature", q["liquid_temperature"]) + 273.15
    pressure = q["air_pressure"] if "air_pressure" in q else pressure_at(q["air_altitude"])
    return pressure / (287.05 * kelvin), 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def pressure_at(altitude: Array) -> Array:
    """Return the pressure under a standard column of air, dp/p = -g dz/(R T) added up.

    Gravity weakens with the height z and the air cools by 6.5 K per kilometre of the height that
    gravity at the ground would lift as dearly, as in the standard.
    """
    radius, total = 6356766.0, np.zeros_like(altitude)
    for node, weight in zip(*np.polynomial.legendre.leggauss(12), strict=True):
        z = altitude * (1 + node) / 2
        kelvin = 288.15 - 0.0065 * radius * z / (radius + z)
        total = total + weight * altitude / 2 * GRAVITY * (radius / (radius + z)) ** 2 / kelvin
    return np.asarray(101325.0 * np.exp(-total / 287.0529))
