"""Dose, reservoir and drop size: orifices, draining bottles and weighed drops."""

from __future__ import annotations

import numpy as np

from jitter.quantities import Quantity
from jitter.stages import CHAIN, dose, drop, reservoir
from jitter.stages.dose import orifice_flow
from jitter.stages.drag import GRAVITY
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.rig import shot, work

UNWIN = "Unwin 1911, Hydraulics, Encyclopaedia Britannica, 11th ed., vol. 14"
ORIFICE = Claim(0.05, "the declared set-up spread of valve.discharge, sd 0.05", relative=False)

# Worthington 1908, A Study of Splashes, and 1895, The Splash of a Drop: mass [g] and diameter [mm]
# that go with his series.
WORTHINGTON_DROPS = {"I": (0.2, 7.36), "I-a": (0.13, 6.28), "IV": (0.176, 6.96)}


def _spread(key: str) -> float:
    declared = CHAIN.declarations[key]
    if not isinstance(declared, Quantity):
        raise TypeError(f"{key} is no number")
    return declared.shot.size


def dose_checks() -> tuple[Check, ...]:
    """Return the checks of the dose."""
    sphere = float(np.pi / 6.0 * 4.5e-3**3)
    weighed = work(
        dose.STAGE,
        valve_first_volume=None,
        valve_first_mass=np.array([[4.763e-3]]),
        valve_weighed_drops=100.0,
        density=np.array([[998.2]]),
    )
    flow = orifice_flow(orifice=np.array(1.2e-3), discharge=np.array(0.62), head=0.150)
    discharge = CHAIN.declarations["valve.discharge"]
    ours = discharge.nominal if isinstance(discharge, Quantity) else None
    coefficient = float(ours or 0.0)
    # Half a metre of head for a 12.7 mm hole: §18 prints 0.620 at 1 ft and 0.613 at 2 ft.
    return (
        *many(
            [
                ("the default drop", float(shot()["first_dose"].item()), sphere),
                ("100 drops of 4.763 g", float(weighed.first_dose.item()), 4.763e-5 / 998.2),
                (
                    "9.5 ms through 1.2 mm under 150 mm",
                    float(flow) * 9.5e-3,
                    0.62 * np.pi * 0.6e-3**2 * np.sqrt(2.0 * GRAVITY * 0.150) * 9.5e-3,
                ),
            ],
            stage="dose",
            series="volume by sphere, by weight, by open time",
            unit="m3",
            claim=EXACT,
            source="V = π D³/6; V = m/(N ρ); V = C_d (π/4) d² √(2 g h) t",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                ("sharp edge, 12.7 mm hole, 1 ft", coefficient, 0.620),
                ("sharp edge, 12.7 mm hole, 2 ft", coefficient, 0.613),
                ("sharp edge, velocity 0.97 times contraction 0.64", coefficient, 0.97 * 0.64),
            ],
            stage="dose",
            series="discharge coefficient of a sharp edge",
            claim=ORIFICE,
            uncertainty="0.61 ± 0.02 for careful work",
            source=f"{UNWIN}, articles 17 to 20",
            known=Known.PUBLISHED,
        ),
        *many(
            [("6 mm hole, 0.2 m of head", coefficient, 0.655)],
            stage="dose",
            series="discharge coefficient of a small hole",
            claim=ORIFICE,
            source="Hamilton Smith 1886, Hydraulics, table for round orifices",
            known=Known.MEMORY,
            note="The coefficient rises as the hole shrinks; no table reaches down to 1.2 mm.",
        ),
        *many(
            [("length 1.5 diameters, flowing full", coefficient, 0.82)],
            stage="dose",
            series="discharge coefficient of a short tube",
            claim=ORIFICE,
            source=f"{UNWIN}, article 49",
            known=Known.PUBLISHED,
            note="A valve's passage may be nearer to a short tube than to a sharp edge.",
        ),
        *many(
            [("water", _spread("valve.first_volume"), 0.016)],
            stage="dose",
            series="scatter of the volume, water",
            claim=Claim(0.005, "half a per cent, our rounding", relative=False),
            source="Bammesberger et al. 2013, Micromachines 4, 9, solenoid dispensers",
            known=Known.PUBLISHED,
        ),
        *many(
            [("66 % glycerol", _spread("valve.first_volume"), 0.045)],
            stage="dose",
            series="scatter of the volume, thick liquid",
            claim=Claim(0.005, "half a per cent, our rounding", relative=False),
            source="Bammesberger et al. 2013, Micromachines 4, 9, solenoid dispensers",
            known=Known.PUBLISHED,
            note="The default does not know the liquid: give the shot spread for thick ones.",
        ),
    )


def _drained(frames: int) -> float:
    """Return the flow after so many frames, by letting the level fall dose by dose [1]."""
    area, head, volume = 0.25 * np.pi * 0.060**2, 0.150, np.pi / 6.0 * 4.5e-3**3
    level = head
    for _ in range(2 * frames):
        level -= volume * np.sqrt(level / head) / area
    return float(np.sqrt(level / head))


def reservoir_checks() -> tuple[Check, ...]:
    """Return the checks of the reservoir."""
    rows = []
    for frames in (10, 100, 1000):
        ours = work(
            reservoir.STAGE,
            reservoir_constant_head="no",
            frame_number=np.array([[float(frames)]]),
        )
        rows.append((f"after {frames} frames", float(ours.first_flow.item()), _drained(frames)))
    constant = work(reservoir.STAGE, frame_number=np.array([[1000.0]]))
    raised = work(reservoir.STAGE, reservoir_head=np.array([[0.152]]))
    return (
        *many(
            rows,
            stage="reservoir",
            series="flow from an open bottle that drains",
            claim=Claim(1e-3, "first order in the level's fall"),
            source="Torricelli's law, the level lowered dose by dose",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("after 1000 frames", float(constant.first_flow.item()), 1.0)],
            stage="reservoir",
            series="flow from a bottle with an air tube",
            claim=EXACT,
            source="McCarthy 1934, Science 80, 100: the head stays constant",
            known=Known.PUBLISHED,
        ),
        *many(
            [("2 mm more head", float(raised.first_flow.item()), float(np.sqrt(152.0 / 150.0)))],
            stage="reservoir",
            series="flow under another head",
            claim=EXACT,
            source="Torricelli's law, √(h/h₀)",
            known=Known.CLOSED_FORM,
        ),
    )


def drop_checks() -> tuple[Check, ...]:
    """Return the checks of the drop's size."""
    rows = []
    for series, (mass, diameter) in WORTHINGTON_DROPS.items():
        ours = work(drop.STAGE, first_dose=np.array([[mass * 1e-3 / 998.2]]))
        rows.append(
            (f"Series {series}, {mass:g} g", float(ours.first_diameter.item()), diameter * 1e-3)
        )
    half = work(drop.STAGE, first_flow=np.array([[0.5]]))
    return (
        *many(
            rows,
            stage="drop size",
            series="diameter of a weighed drop",
            unit="m",
            uncertainty="masses are printed to 1 to 3 digits",
            claim=Claim(0.03, "masses are printed to 1 to 3 digits"),
            source="Worthington 1908, A Study of Splashes, chapters II, IV and VI",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                (
                    "half the volume of 4.5 mm",
                    float(half.first_diameter.item()),
                    4.5e-3 * 0.5 ** (1.0 / 3.0),
                )
            ],
            stage="drop size",
            series="diameter of a smaller dose",
            unit="m",
            claim=EXACT,
            source="D goes with the cube root of V",
            known=Known.CLOSED_FORM,
        ),
    )
