"""The values that stand in the validation as a library's, against the library itself."""

from __future__ import annotations

import chemicals.interface
import fluids
import iapws
import numpy as np
import pytest

from jitter.validation.airs import STANDARD
from jitter.validation.fall_tables import DRAG, DRAG_REYNOLDS
from jitter.validation.liquid_tables import WATER
from jitter.validation.liquids import glycerol
from jitter.validation.wobbles import OSCILLATIONS

ATMOSPHERE = 0.101325


@pytest.mark.parametrize("celsius", WATER)
def test_water(celsius: float) -> None:
    # reference library: iapws 1.5.5, printed to 4 decimals of kg/m3 and mPa s, 3 of mN/m.
    state = iapws.IAPWS95(T=celsius + 273.15, P=ATMOSPHERE)
    density, viscosity, tension = WATER[celsius]
    assert state.rho == pytest.approx(density, abs=6e-5)
    assert 1e3 * state.mu == pytest.approx(viscosity, abs=6e-5)
    assert 1e3 * iapws._iapws._Tension(celsius + 273.15) == pytest.approx(tension, abs=6e-4)


@pytest.mark.parametrize("metres", STANDARD)
def test_standard_atmosphere(metres: float) -> None:
    # reference library: fluids 1.3.1, ATMOSPHERE_1976, printed to 6 digits.
    state = fluids.ATMOSPHERE_1976(Z=metres)
    kelvin, pressure, density, viscosity = STANDARD[metres]
    assert (state.T, state.P, state.rho, state.mu) == pytest.approx(
        (kelvin, pressure, density, viscosity), rel=1e-5
    )


@pytest.mark.parametrize("method", DRAG)
def test_drag_of_a_sphere(method: str) -> None:
    # reference library: fluids 1.3.1, drag_sphere, printed to 6 digits.
    made = [fluids.drag_sphere(Re=reynolds, Method=method) for reynolds in DRAG_REYNOLDS]
    assert made == pytest.approx(DRAG[method], rel=1e-5)


def test_vapour_that_lightens_the_air() -> None:
    # reference library: iapws 1.5.5, saturation pressure at 20 C, 2339.3 Pa in the check's code.
    assert 1e6 * iapws.iapws97._PSat_T(293.15) == pytest.approx(2339.3, abs=0.1)


def test_surface_tension_of_glycerol() -> None:
    # reference library: chemicals 1.5.2, VDI PPDS coefficients by CAS number.
    row = chemicals.interface.sigma_data_VDI_PPDS_11.loc["56-81-5"]
    # Its form: A (1 - T/Tc)^B, the further terms being 0 for glycerol.
    assert not row[["C", "D", "E"]].any()
    tension = row["A"] * (1.0 - 293.15 / row["Tc"]) ** row["B"]
    (check,) = (check for check in glycerol() if "library" in check.series)
    assert check.theirs == pytest.approx(tension, abs=6e-5)


def test_oscillation_frequencies_of_the_second_program() -> None:
    for (millimetres, mode), (hertz, seconds) in OSCILLATIONS.items():
        # closed form: Rayleigh 1879 and Lamb, article 355, with the water of iapws 1.5.5 at 20 C.
        density, tension, viscosity = 998.2072, 72.736e-3, 1.0016e-3
        radius = 0.5e-3 * millimetres
        square = mode * (mode - 1) * (mode + 2) * tension / (density * radius**3)
        assert np.sqrt(square) / (2.0 * np.pi) == pytest.approx(hertz, rel=3e-5)
        damping = density * radius**2 / ((mode - 1) * (2 * mode + 1) * viscosity)
        assert damping == pytest.approx(seconds, rel=3e-4)
