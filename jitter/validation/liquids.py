"""The liquid's properties against measurements."""

from __future__ import annotations

import numpy as np

from jitter.arrays import Array
from jitter.stages.mixtures import (
    ZERO_CELSIUS,
    milk_density,
    milk_surface_tension,
    milk_viscosity,
    mixture_density,
    mixture_surface_tension,
    mixture_viscosity,
    water_density,
    water_surface_tension,
    water_viscosity,
)
from jitter.validation.checks import Check, Claim, Known, many
from jitter.validation.liquid_tables import (
    BOSART_SNODDY,
    MILK_DENSITY,
    MILK_TEMPERATURES,
    MIXED_BY_HAND,
    PURE_GLYCEROL,
    SEGUR_OBERSTAR,
    SEGUR_TEMPERATURES,
    WATER,
    WATER_SOURCE,
)

STAGE = "liquid"
CHENG = Claim(0.035, "the law's documentation: rms 1.7 %, largest 3.5 %")
PHIPPS_EARLY = Claim(0.06, "5 % by the rounding of the law's coefficients, and 1 % for fat")


def water() -> tuple[Check, ...]:
    """Return water against the international formulations."""
    columns = (
        ("density of water", "kg/m3", 1.0, 5e-5, "0.0001 %", "IAPWS-95 (R6-95)"),
        ("viscosity of water", "Pa s", 1e-3, 1e-3, "1 %", "IAPWS R12-08"),
        ("surface tension of water", "N/m", 1e-3, 1e-4, "0.2 to 0.4 %", "IAPWS R1-76(2014)"),
    )
    checks: list[Check] = []
    for column, (series, unit, size, allowed, doubt, formulation) in enumerate(columns):
        rows = []
        for celsius, published in WATER.items():
            kelvin = np.array(celsius + ZERO_CELSIUS)
            ours = (
                water_density(np.array(celsius)),
                water_viscosity(kelvin),
                water_surface_tension(kelvin),
            )[column]
            rows.append((f"{celsius:g} °C", float(ours), size * published[column]))
        checks += many(
            rows,
            stage=STAGE,
            series=series,
            unit=unit,
            uncertainty=doubt,
            claim=Claim(allowed, "a simpler formula for the same liquid, to the digits printed"),
            source=f"{formulation} at 101325 Pa, by {WATER_SOURCE}",
            known=Known.LIBRARY,
        )
    return tuple(checks)


def viscosity_rows() -> list[tuple[int, int, float, float]]:
    """Return every point of Segur & Oberstar: per cent, C, our value, theirs [Pa s]."""
    return [
        (percent, celsius, _viscosity(percent, celsius), 1e-3 * published)
        for percent, row in SEGUR_OBERSTAR.items()
        for celsius, published in zip(SEGUR_TEMPERATURES, row, strict=False)
    ]


def by_hand_rows() -> list[tuple[str, float, float]]:
    """Return mixtures made by hand: which, our viscosity, the measured one [Pa s]."""
    return [
        (f"{percent} %, {celsius} °C", _viscosity(percent, celsius), 1e-3 * measured)
        for percent, row in MIXED_BY_HAND.items()
        for celsius, measured in zip((20, 25, 30), row, strict=True)
    ]


def _viscosity(percent: float, celsius: float) -> float:
    return float(mixture_viscosity(np.array(float(celsius)), np.array(percent / 100.0)))


def glycerol() -> tuple[Check, ...]:
    """Return aqueous glycerol against measurements."""
    densities = [
        (
            f"{percent} %, {celsius} °C",
            float(mixture_density(np.array(float(celsius)), np.array(percent / 100.0))),
            published,
        )
        for percent, row in BOSART_SNODDY.items()
        for celsius, published in zip((20, 25, 30), row, strict=True)
    ]
    ends = [
        (f"pure, {celsius:g} °C", _tension(1.0, celsius), 1e-3 * tension)
        for celsius, tension in PURE_GLYCEROL.items()
    ]
    return (
        *many(
            [(f"{p} %, {c} °C", ours, theirs) for p, c, ours, theirs in viscosity_rows()],
            stage=STAGE,
            series="viscosity of aqueous glycerol",
            unit="Pa s",
            claim=CHENG,
            source="Segur & Oberstar 1951, Ind. Eng. Chem. 43, 2117, table of viscosities",
            known=Known.PUBLISHED,
        ),
        *many(
            by_hand_rows(),
            stage=STAGE,
            series="viscosity of glycerol mixed in a laboratory of today",
            unit="Pa s",
            claim=CHENG,
            source="public repository soeeol/SPIV-PLIF, fluidprop.m, measurements of 2023",
            known=Known.PUBLISHED,
            note=(
                "What a real mixture is off by: its share of glycerol is not what the label says,"
                " since glycerol draws water; a hundredth more of it is 3 to 9 % more viscosity."
            ),
        ),
        *many(
            densities,
            stage=STAGE,
            series="density of aqueous glycerol",
            unit="kg/m3",
            claim=Claim(0.0007, "Volk & Kähler 2018: 0.07 % from 15 to 30 °C"),
            source="Bosart & Snoddy 1927, Ind. Eng. Chem. 19, 506, table of densities",
            known=Known.PUBLISHED,
        ),
        *many(
            ends,
            stage=STAGE,
            series="surface tension of glycerol",
            unit="N/m",
            uncertainty="0.3 mN/m",
            claim=Claim(3e-4, "the stated uncertainty", relative=False),
            source="Fluid Phase Equilibria 2016, doi 10.1016/j.fluid.2016.04.007",
            known=Known.SECOND_HAND,
            note="Our line was drawn through these values. The table of mixtures is from memory.",
        ),
        *many(
            [("pure, 20 °C", _tension(1.0, 20.0), 64.1e-3)],
            stage=STAGE,
            series="surface tension of glycerol, from a library",
            unit="N/m",
            claim=Claim(6e-4, "both sources' tenths", relative=False),
            source="chemicals 1.5.2, from the VDI Heat Atlas",
            known=Known.LIBRARY,
        ),
    )


def _tension(share: float, celsius: float) -> float:
    return float(mixture_surface_tension(np.array(celsius + ZERO_CELSIUS), np.array(share)))


def milk() -> tuple[Check, ...]:
    """Return milk against what could be read about it."""
    densities = [
        (
            f"{fat:g} % fat, {celsius:g} °C",
            float(milk_density(np.array(celsius), np.array(fat / 100.0))),
            1e3 * published,
        )
        for fat, row in MILK_DENSITY.items()
        for celsius, published in zip(MILK_TEMPERATURES, row, strict=True)
    ]
    return (
        *many(
            densities,
            stage=STAGE,
            series="density of milk",
            unit="kg/m3",
            uncertainty="milks differ by 3 kg/m³",
            claim=Claim(1.5, "half a step of the printed table, and our fit's 1", relative=False),
            source="Goff, Dairy Chemistry and Physics, University of Guelph, table of densities",
            known=Known.SECOND_HAND,
            note="The table itself is not smooth to 1 kg/m³; milks differ by more than that.",
        ),
        *many(
            [
                ("skim, 20 °C", _milk(20.0, 0.001), 1.5e-3),
                ("whole, 20 °C", _milk(20.0, 0.035), 2e-3),
            ],
            stage=STAGE,
            series="viscosity of milk",
            unit="Pa s",
            claim=PHIPPS_EARLY,
            source=(
                "Sherbon 1988, Physical properties of milk, quoted by a course page of the"
                " University of Illinois (which prints 20 for the whole milk's 2.0)"
            ),
            known=Known.SECOND_HAND,
        ),
        *many(
            [
                (f"3.5 % fat, {celsius:g} °C", _milk(celsius, 0.035), _phipps(celsius, 0.035))
                for celsius in (40.0, 50.0, 60.0)
            ],
            stage=STAGE,
            series="viscosity of warm milk",
            unit="Pa s",
            claim=PHIPPS_EARLY,
            source="Phipps 1969, J. Dairy Res. 36, 417, coefficients not confirmed",
            known=Known.MEMORY,
            note=(
                "Our law was measured from 0 to 30 °C (Bakshi & Smith 1984, read in the abstract)"
                " and falls below at 50 °C and more."
            ),
        ),
        *many(
            [("20 °C", float(milk_surface_tension(np.array(20.0))), 48.5e-3)],
            stage=STAGE,
            series="surface tension of milk",
            unit="N/m",
            uncertainty="45 to 52 mN/m, by fat, treatment and method",
            claim=Claim(4.2e-3, "two of Bertsch's residual standard deviations", relative=False),
            source="Other measurements than Bertsch 1983's, which our law follows",
            known=Known.MEMORY,
        ),
    )


def _milk(celsius: float, fat: float) -> float:
    return float(milk_viscosity(np.array(celsius + ZERO_CELSIUS), np.array(fat)))


def _phipps(celsius: float, fat: float) -> float:
    """Return the viscosity of milk from 40 to 80 C [Pa s]: Phipps 1969 (from memory)."""
    share = fat + fat ** (5.0 / 3.0)
    power = (1.2876 + 11.07e-4 * celsius) * share + 768.7 / (celsius + 273.16) - 2.4370
    return float(1e-3 * 10.0**power)


def residual_rms() -> float:
    """Return the root mean square of the viscosity law's residuals [1]."""
    residuals: Array = np.array([ours / theirs - 1.0 for *_, ours, theirs in viscosity_rows()])
    return float(np.sqrt(np.mean(residuals**2)))


def liquid_checks() -> tuple[Check, ...]:
    """Return the checks of the liquid."""
    return (*water(), *glycerol(), *milk())
