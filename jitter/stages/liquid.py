"""The liquid in the drops and in the dish."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Choice, Mark, Quantity, sd
from jitter.stage import Stage
from jitter.stages.mixtures import (
    milk_density,
    milk_surface_tension,
    milk_viscosity,
    mixture_density,
    mixture_surface_tension,
    mixture_viscosity,
)

ZERO_CELSIUS = 273.15

DECLARES = (
    Choice(
        key="liquid.kind",
        meaning="what the liquid is",
        options=("water", "milk", "thickened water"),
        nominal="water",
        basis=Basis(Mark.COMMON, "water, with glycerol in it or not"),
    ),
    Quantity(
        key="liquid.temperature",
        meaning="temperature of the liquid, and of the air unless told otherwise",
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
        key="liquid.fat",
        meaning="share of fat in the milk, by mass",
        symbol="w_f",
        unit="1",
        nominal=0.035,
        lower=0.0,
        upper=0.2,
        basis=Basis(Mark.COMMON, "whole milk"),
        only_with=("liquid.kind=milk",),
    ),
    Quantity(
        key="liquid.density",
        meaning="density of the liquid, if measured",
        symbol="ρ",
        unit="kg/m3",
        nominal=None,
        lower=600.0,
        upper=2000.0,
        basis=Basis(Mark.PUBLISHED, "Kell 1975; Volk & Kähler 2018; milk second-hand"),
    ),
    Quantity(
        key="liquid.viscosity",
        meaning="viscosity of the liquid, if measured",
        symbol="μ",
        unit="Pa s",
        nominal=None,
        lower=1e-4,
        upper=20.0,
        basis=Basis(Mark.PUBLISHED, "IAPWS R12-08; Cheng 2008; Bakshi & Smith 1984"),
    ),
    Quantity(
        key="liquid.surface_tension",
        meaning="surface tension of the liquid, if measured",
        symbol="σ",
        unit="N/m",
        nominal=None,
        lower=0.015,
        upper=0.09,
        basis=Basis(Mark.PUBLISHED, "IAPWS R1-76(2014); Bertsch 1983; mixtures from memory"),
    ),
)


class Liquid(NamedTuple):
    """Properties of the liquid."""

    density: Array
    viscosity: Array
    surface_tension: Array


def liquid(
    *,
    liquid_kind: str,
    liquid_temperature: Array,
    liquid_glycerol: Array,
    liquid_fat: Array | None,
    liquid_density: Array | None,
    liquid_viscosity: Array | None,
    liquid_surface_tension: Array | None,
) -> Liquid:
    """Return the properties of the liquid.

    Thickened water has the density of water and the viscosity and surface tension given. That
    thickeners thin under shear, and that a fresh surface has more tension than an old one where
    there is anything in the water, are neglected, as are dyes.

    Parameters
    ----------
    liquid_kind : str
        "water", "milk" or "thickened water".
    liquid_temperature : array (s, n) [K]
        Temperature, 273.15 to 333.15; milk's viscosity was measured up to 303.15.
    liquid_glycerol : array (s, n) [1]
        Mass fraction of glycerol.
    liquid_fat : array (s, n) [1]
        Mass fraction of fat in milk, or None.
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

    References
    ----------
    Those of `jitter.stages.mixtures`.
    """
    celsius = liquid_temperature - ZERO_CELSIUS
    milk = liquid_kind == "milk" and liquid_fat is not None
    fat = np.zeros(()) if liquid_fat is None else liquid_fat
    if liquid_density is None:
        if milk:
            liquid_density = milk_density(celsius, fat)
        else:
            liquid_density = mixture_density(celsius, liquid_glycerol)
    if liquid_viscosity is None:
        if milk:
            liquid_viscosity = milk_viscosity(liquid_temperature, fat)
        else:
            liquid_viscosity = mixture_viscosity(celsius, liquid_glycerol)
    if liquid_surface_tension is None:
        if milk:
            liquid_surface_tension = milk_surface_tension(celsius)
        else:
            liquid_surface_tension = mixture_surface_tension(liquid_temperature, liquid_glycerol)
    return Liquid(
        density=liquid_density,
        viscosity=liquid_viscosity,
        surface_tension=liquid_surface_tension,
    )


STAGE = Stage(name="liquid", declares=DECLARES, work=liquid)


def nominal_liquid(nominals: Mapping[str, Any]) -> Liquid:
    """Return the liquid of a study in which nothing strays [SI].

    Range, neglect and source are those of `liquid`.

    Parameters
    ----------
    nominals
        Of every value, by argument.
    """
    return liquid(**{name: nominals[name] for name in STAGE.needs})
