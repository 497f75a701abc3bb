"""Which law a liquid follows, and that measured values come first."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from jitter.stages.liquid import Liquid, liquid, nominal_liquid
from jitter.stages.mixtures import (
    ZERO_CELSIUS,
    milk_density,
    milk_surface_tension,
    milk_viscosity,
    mixture_density,
    mixture_surface_tension,
    mixture_viscosity,
)

KELVIN = np.array(300.0)
CELSIUS = KELVIN - ZERO_CELSIUS
GLYCEROL, FAT = np.array(0.3), np.array(0.035)
SILENT: dict[str, Any] = {
    "liquid_kind": "water",
    "liquid_temperature": KELVIN,
    "liquid_glycerol": GLYCEROL,
    "liquid_fat": None,
    "liquid_density": None,
    "liquid_viscosity": None,
    "liquid_surface_tension": None,
}
MEASURED = {
    "liquid_density": np.array(1050.0),
    "liquid_viscosity": np.array(4e-3),
    "liquid_surface_tension": np.array(0.05),
}


def made(**changes: Any) -> Liquid:
    return liquid(**(SILENT | changes))


def test_water_may_have_glycerol_in_it() -> None:
    # closed form: the laws of the mixture, each checked on its own.
    assert made() == (
        mixture_density(CELSIUS, GLYCEROL),
        mixture_viscosity(CELSIUS, GLYCEROL),
        mixture_surface_tension(KELVIN, GLYCEROL),
    )


def test_milk_follows_its_own_laws() -> None:
    # closed form: the laws of milk, each checked on its own.
    assert made(liquid_kind="milk", liquid_fat=FAT) == (
        milk_density(CELSIUS, FAT),
        milk_viscosity(KELVIN, FAT),
        milk_surface_tension(CELSIUS),
    )


def test_thickened_water_weighs_as_water() -> None:
    thick = made(
        liquid_kind="thickened water",
        liquid_glycerol=np.zeros(()),
        liquid_viscosity=np.array(0.05),
        liquid_surface_tension=np.array(0.06),
    )
    # closed form: water's density, and what was measured.
    density = float(mixture_density(CELSIUS, np.zeros(())))
    assert tuple(map(float, thick)) == (density, 0.05, 0.06)


@pytest.mark.parametrize("kind", ["water", "milk", "thickened water"])
@pytest.mark.parametrize("name", MEASURED)
def test_a_measured_value_comes_before_the_published_one_and_moves_no_other(
    kind: str, name: str
) -> None:
    fat = FAT if kind == "milk" else None
    published = made(liquid_kind=kind, liquid_fat=fat)
    measured = made(liquid_kind=kind, liquid_fat=fat, **{name: MEASURED[name]})
    for event, one, other in zip(Liquid._fields, published, measured, strict=True):
        if f"liquid_{event}" == name:
            assert other == MEASURED[name] != one
        else:
            assert other == one


def test_the_nominal_liquid_is_the_stage_at_its_nominals() -> None:
    others = {"valve_interval": 0.1, **SILENT}
    assert nominal_liquid(others) == made()
