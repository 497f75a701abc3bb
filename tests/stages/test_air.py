"""The air against the standard atmosphere and a reference library."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.air import GAS_CONSTANT, Air, air, standard_pressure


def made(
    *,
    liquid: float = 293.15,
    altitude: float | None = 0.0,
    pressure: float | None = None,
    temperature: float | None = None,
) -> Air:
    parts = {"altitude": altitude, "pressure": pressure, "temperature": temperature}
    given_parts = {
        f"air_{name}": None if part is None else np.array(part) for name, part in parts.items()
    }
    return air(**given_parts, liquid_temperature=np.array(liquid))


# published: U.S. Standard Atmosphere 1976 (NASA TM-X-74335): geometric altitude (m), temperature
# (K), density (kg/m3), viscosity (Pa s). At sea level and 2 km as printed; the others worked out
# from its equations, from memory, and agreeing with copies of its tables in public code.
STANDARD = [
    (0.0, 288.150, 101325.0, 1.2250, 1.7894e-5),
    (500.0, 284.900, 95461.0, 1.1673, 1.7737e-5),
    (1000.0, 281.651, 89876.0, 1.1117, 1.7579e-5),
    (2000.0, 275.154, 79501.0, 1.0066, 1.7260e-5),
    (3000.0, 268.659, 70121.0, 0.9093, 1.6938e-5),
]


@pytest.mark.parametrize(("altitude", "kelvin", "pascal", "density", "viscosity"), STANDARD)
def test_it_is_the_standard_atmosphere(
    altitude: float, kelvin: float, pascal: float, density: float, viscosity: float
) -> None:
    # Pressures are rounded to the pascal, and two ways to write the exponent differ by another.
    assert float(standard_pressure(np.array(altitude))) == pytest.approx(pascal, abs=2.0)
    there = made(altitude=altitude, temperature=kelvin)
    # Printed to five digits; the gas constant here has five as well.
    assert float(there.air_density) == pytest.approx(density, rel=1e-4)
    assert float(there.air_viscosity) == pytest.approx(viscosity, rel=5e-5)


@given(altitude=st.floats(-450.0, 6000.0))
@settings(deadline=None, max_examples=50)
def test_pressure_agrees_with_the_library(altitude: float) -> None:
    # reference library: fluids 1.3.1, ATMOSPHERE_1976. The exponents differ in the sixth digit.
    library = fluids.ATMOSPHERE_1976(altitude)
    made_here = float(standard_pressure(np.array(altitude)))
    assert made_here == pytest.approx(library.P, rel=2e-5)


def test_the_height_is_geometric() -> None:
    # from memory: with the geometric height taken for the geopotential one the pressure at 3000 m
    # would be 70108.5 Pa, 12 Pa lower.
    assert float(standard_pressure(np.array(3000.0))) > 70115.0


@given(pascal=st.floats(5e4, 1.1e5), kelvin=st.floats(255.0, 330.0))
@settings(deadline=None, max_examples=50)
def test_air_is_an_ideal_gas(pascal: float, kelvin: float) -> None:
    here = made(altitude=None, pressure=pascal, temperature=kelvin)
    # closed form: p = ρ R T
    assert float(here.air_density) * GAS_CONSTANT * kelvin == pytest.approx(pascal, rel=1e-12)
    # closed form: viscosity of an ideal gas does not depend on its pressure.
    assert here.air_viscosity == made(temperature=kelvin).air_viscosity


def test_a_measured_pressure_stands_for_the_altitude() -> None:
    low = made(altitude=None, pressure=float(standard_pressure(np.array(2000.0))))
    assert low == made(altitude=2000.0)


def test_air_has_the_liquids_temperature_unless_told_otherwise() -> None:
    assert made(liquid=300.0) == made(liquid=280.0, temperature=300.0)
    assert made(liquid=300.0) != made(liquid=280.0)
