"""The sheet: the liquid umbrella that the meeting spreads, at the moment of the light."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Mark, Quantity, sd
from jitter.stage import Stage

HALF_ROOT_THREE = 0.5 * np.sqrt(3.0)
GONE = 2.0 / np.sqrt(3.0)

DECLARES = (
    Quantity(
        key="sheet.spread_scale",
        meaning="how wide the sheet spreads against the law",
        symbol="s_R",
        unit="1",
        nominal=1.0,
        lower=0.0,
        upper=5.0,
        setup=sd(0.25, relative=True),
        basis=Basis(
            Mark.ASSUMED,
            "by analogy with a drop on a small target; nobody has measured a drop on a rising jet",
        ),
    ),
)


class Sheet(NamedTuple):
    """The age of the sheet at the light, its radius, the speed of its rim, and its life."""

    age: Array
    sheet_radius: Array
    rim_speed: Array
    sheet_life: Array


def sheet(
    *,
    sheet_spread_scale: Array,
    light_time: Array,
    meeting_time: Array,
    closing_speed: Array,
    off_centre: Array,
    second_diameter: Array,
    density: Array,
    surface_tension: Array,
) -> Sheet:
    """Return the sheet's age, radius and rim speed at the light, and its life.

    R = R0 (1 + s √We a (1 - (√3/2) a)²) with a = age/τ, R0 = D/2, We = ρ U² D (1 - B²)/σ and
    τ = √(ρ D³/(6 σ)); it is gone at a = 2/√3. Viscosity, gravity and the jet's width are
    neglected. Theory by analogy: no measurement of a drop on a rising jet was found.

    Parameters
    ----------
    sheet_spread_scale : array (s, n) [1]
        Multiplies the spreading.
    light_time : array (s, n) [s]
    meeting_time : array (s, n) [s]
    closing_speed : array (s, n) [m/s]
    off_centre : array (s, n) [1]
    second_diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    surface_tension : array (s, n) [N/m]

    Returns
    -------
    age : array (s, n) [s]
        Light minus meeting, negative before it; NaN where either did not happen.
    sheet_radius : array (s, n) [m]
        The drop's own radius before the meeting and after the sheet is gone.
    rim_speed : array (s, n) [m/s]
        |dR/dt|.
    sheet_life : array (s, n) [s]
        From the meeting until it is gone, 2/√3 τ; what tears it before is neglected.

    References
    ----------
    Villermaux & Bossa 2011, J. Fluid Mech. 668, 412 (from memory); it agrees with a sheet that
    keeps its mass and gets half the relative kinetic energy, the share Wildeman et al. 2016
    (J. Fluid Mech. 805, 636) found for impact with free slip.
    """
    age = light_time - meeting_time
    inertia = density / surface_tension * second_diameter
    pace = second_diameter * np.sqrt(inertia * (1.0 / 6.0))
    weber = inertia * closing_speed**2 * (1.0 - np.minimum(off_centre, 1.0) ** 2)
    radius = 0.5 * second_diameter
    reach = sheet_spread_scale * radius * np.sqrt(weber)
    share = np.clip(age / pace, 0.0, GONE)
    left = 1.0 - HALF_ROOT_THREE * share
    drawn = reach * left
    return Sheet(
        age=age,
        sheet_radius=radius + drawn * share * left,
        rim_speed=np.abs(drawn * (1.0 - 3.0 * HALF_ROOT_THREE * share)) / pace,
        sheet_life=GONE * pace,
    )


STAGE = Stage(name="sheet", declares=DECLARES, work=sheet)
