"""The air against the standard atmosphere."""

from __future__ import annotations

import numpy as np

from jitter.stages.air import air, standard_pressure
from jitter.validation.checks import Check, Claim, Known, many

STAGE = "air"
LIBRARY = "U.S. Standard Atmosphere 1976 by fluids 1.3.1, ATMOSPHERE_1976"

# fluids 1.3.1, ATMOSPHERE_1976: geometric altitude [m]: K, Pa, kg/m3, Pa s.
STANDARD = {
    0.0: (288.150, 101325.0, 1.22500, 1.78938e-5),
    500.0: (284.900, 95461.3, 1.16727, 1.77366e-5),
    1000.0: (281.651, 89876.3, 1.11166, 1.75785e-5),
    1500.0: (278.402, 84559.7, 1.05810, 1.74196e-5),
    2000.0: (275.154, 79501.4, 1.00655, 1.72598e-5),
    3000.0: (268.659, 70121.2, 0.909254, 1.69376e-5),
}


def air_checks() -> tuple[Check, ...]:
    """Return the checks of the air."""
    pressures, densities, viscosities = [], [], []
    for altitude, (kelvin, pressure, density, viscosity) in STANDARD.items():
        what = f"{altitude:g} m"
        ours = air(
            air_altitude=np.array(altitude),
            air_pressure=None,
            air_temperature=np.array(kelvin),
            liquid_temperature=np.array(293.15),
        )
        pressures.append((what, float(standard_pressure(np.array(altitude))), pressure))
        densities.append((what, float(ours.air_density), density))
        viscosities.append((what, float(ours.air_viscosity), viscosity))
    printed = Claim(5e-5, "the same equations, to the digits kept")
    checks: list[Check] = []
    for series, unit, rows in (
        ("pressure by altitude", "Pa", pressures),
        ("density of the air by altitude", "kg/m3", densities),
        ("viscosity of the air by altitude", "Pa s", viscosities),
    ):
        checks += many(
            rows,
            stage=STAGE,
            series=series,
            unit=unit,
            claim=printed,
            source=LIBRARY,
            known=Known.LIBRARY,
        )
    room = air(
        air_altitude=None,
        air_pressure=np.array(101325.0),
        air_temperature=None,
        liquid_temperature=np.array(293.15),
    )
    # Half of the vapour pressure of water at 20 C, 2339.3 Pa (iapws 1.5.5, IAPWS-97), lightens air
    # by 0.378 of its share of the pressure: a molecule of water weighs 0.622 of one of air.
    vapour = 0.5 * 2339.3 / 101325.0
    checks += many(
        [
            (
                "20 °C, 50 % humidity",
                float(room.air_density),
                101325.0 / (287.05 * 293.15) * (1.0 - 0.378 * vapour),
            )
        ],
        stage=STAGE,
        series="density of moist air",
        unit="kg/m3",
        claim=Claim(0.009, "humidity is neglected: up to 0.9 % at 20 °C"),
        source="Dalton's law, with the vapour pressure of IAPWS-97 by iapws 1.5.5",
        known=Known.CLOSED_FORM,
    )
    return tuple(checks)
