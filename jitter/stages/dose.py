"""The dose: how much liquid the valve lets go for each drop, at the nominal head."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Level, Mark, Quantity, Spread, sd, within
from jitter.stage import Adapted, Stage
from jitter.stages.drag import GRAVITY

SOLENOID_SCATTER = Basis(
    Mark.PUBLISHED,
    "solenoid dispensers 1.6 % (water), 4.5 % (66 % glycerol): Bammesberger et al. 2013, "
    "Micromachines 4, 9; below 3 % with feedback: Liu et al. 2013",
)
SMALLEST = np.pi / 6.0 * 0.5e-3**3
LARGEST = np.pi / 6.0 * 9e-3**3
USUAL = np.pi / 6.0 * 4.5e-3**3
OPENINGS = ("valve.first_opening", "valve.second_opening")
BALANCE = 1e-5
"""Half width of a kitchen balance's error [kg]."""
DROP_SCATTER = 0.015
"""Standard deviation of a drop's volume or mass from drop to drop, relative."""
WEIGHED = Basis(
    Mark.DERIVED, "a balance that shows 0.01 g, and drops that scatter by 1.5 % over √N of them"
)
_SUBSCRIPT = {"first": "₁", "second": "₂"}


def _volume(which: str) -> Quantity:
    return Quantity(
        key=f"valve.{which}_volume",
        meaning=f"volume of the {which} drop",
        symbol=f"V{_SUBSCRIPT[which]}",
        unit="m3",
        nominal=USUAL,
        lower=SMALLEST,
        upper=LARGEST,
        setup=sd(0.03, relative=True),
        shot=sd(DROP_SCATTER, relative=True),
        basis=Basis(Mark.DERIVED, "a sphere of 4.5 mm"),
        setup_basis=SOLENOID_SCATTER,
        shot_basis=SOLENOID_SCATTER,
        together="valve.volume",
        diameter_key=f"valve.{which}_diameter",
    )


def _mass(which: str) -> Quantity:
    return Quantity(
        key=f"valve.{which}_mass",
        meaning=f"mass of valve.weighed_drops drops like the {which} one, weighed together",
        symbol=f"m{_SUBSCRIPT[which]}",
        unit="kg",
        nominal=None,
        lower=1e-7,
        upper=10.0,
        setup=within(BALANCE),
        shot=sd(DROP_SCATTER, relative=True),
        basis=Basis(Mark.ASSUMED),
        setup_basis=Basis(Mark.COMMON, "a balance that shows 0.01 g, tare and reading together"),
        shot_basis=SOLENOID_SCATTER,
        together="valve.mass",
        instead=(f"valve.{which}_volume",),
    )


def _opening(which: str) -> Quantity:
    return Quantity(
        key=f"valve.{which}_opening",
        meaning=f"time for which the valve is held open for the {which} drop",
        symbol=f"t{_SUBSCRIPT[which]}",
        unit="s",
        nominal=None,
        lower=1e-4,
        upper=2.0,
        shot=sd(0.0001),
        basis=Basis(Mark.ASSUMED),
        shot_basis=Basis(Mark.ASSUMED, "how sharply a coil lets go"),
        together="valve.opening",
        instead=(f"valve.{which}_volume", f"valve.{which}_mass"),
    )


DECLARES = (
    _volume("first"),
    _volume("second"),
    _mass("first"),
    _mass("second"),
    Quantity(
        key="valve.weighed_drops",
        meaning="number of drops in a weighing",
        symbol="N_w",
        unit="1",
        nominal=100.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        whole=True,
        basis=Basis(Mark.COMMON, "enough to weigh on a kitchen balance"),
        only_with=("valve.first_mass", "valve.second_mass"),
    ),
    _opening("first"),
    _opening("second"),
    Quantity(
        key="valve.dead_time",
        meaning="part of the open time in which nothing flows",
        symbol="t_x",
        unit="s",
        nominal=0.002,
        lower=-0.05,
        upper=0.2,
        setup=sd(0.001),
        basis=Basis(Mark.ASSUMED, "opens a little more slowly than it closes"),
        only_with=OPENINGS,
    ),
    Quantity(
        key="valve.flow",
        meaning="flow through the open valve at the nominal head, if measured",
        symbol="Q",
        unit="m3/s",
        nominal=None,
        lower=1e-9,
        upper=1e-4,
        setup=sd(0.02, relative=True),
        shot=sd(DROP_SCATTER, relative=True),
        per_drop=True,
        basis=Basis(Mark.ASSUMED),
        setup_basis=Basis(Mark.ASSUMED, "caught for ten seconds and weighed"),
        shot_basis=SOLENOID_SCATTER,
        instead=("valve.orifice", "valve.discharge"),
        only_with=OPENINGS,
    ),
    Quantity(
        key="valve.orifice",
        meaning="width of the valve's narrowest passage",
        symbol="d_o",
        unit="m",
        nominal=0.0012,
        lower=5e-5,
        upper=0.01,
        basis=Basis(Mark.ASSUMED, "a small valve for liquids"),
        only_with=OPENINGS,
    ),
    Quantity(
        key="valve.discharge",
        meaning="discharge coefficient of that passage",
        symbol="C_d",
        unit="1",
        nominal=0.62,
        lower=0.05,
        upper=1.0,
        setup=sd(0.05),
        shot=sd(DROP_SCATTER, relative=True),
        per_drop=True,
        basis=Basis(
            Mark.PUBLISHED,
            "sharp edge 0.62, short tube 0.82: Unwin 1911, Hydraulics, Encyclopaedia Britannica "
            "14, articles 17 and 49",
        ),
        setup_basis=Basis(Mark.ASSUMED, "valves are no clean orifices: catch and weigh instead"),
        shot_basis=SOLENOID_SCATTER,
        only_with=OPENINGS,
    ),
)


class Dose(NamedTuple):
    """The volume of each drop at the nominal head."""

    first_dose: Array
    second_dose: Array


def orifice_flow(*, orifice: Array, discharge: Array, head: float) -> Array:
    """Return the flow through an orifice under a head of liquid [m3/s].

    Q = C_d (π/4) d² √(2 g h). Holds while inertia rules the flow, at Reynolds numbers d √(2 g h)/ν
    of some hundreds and more; below, C_d falls with the Reynolds number, which is neglected.

    Parameters
    ----------
    orifice : array (s, n) [m]
    discharge : array (2, s, n) [1]
    head : float [m]

    References
    ----------
    Unwin 1911, Hydraulics, Encyclopaedia Britannica 14, articles 17 to 20.

    Examples
    --------
    >>> q = orifice_flow(orifice=np.array(0.001), discharge=np.array(0.62), head=0.150)
    >>> round(1e6 * float(q), 3)  # mL/s
    0.835
    """
    flow: Array = discharge * (0.25 * np.pi) * orifice**2 * np.sqrt(2.0 * GRAVITY * head)
    return flow


def dose(
    *,
    valve_first_volume: Array | None,
    valve_second_volume: Array | None,
    valve_first_mass: Array | None,
    valve_second_mass: Array | None,
    valve_weighed_drops: float | None,
    valve_first_opening: Array | None,
    valve_second_opening: Array | None,
    valve_dead_time: Array | None,
    valve_flow: Array | None,
    valve_orifice: Array | None,
    valve_discharge: Array | None,
    reservoir_head_nominal: float,
    density: Array,
) -> Dose:
    """Return the volume of each drop at the nominal head, however it is stated.

    As a volume; by weighing, V = m/(N ρ); or by the open time,
    V = Q (t - t_x), with the flow measured or after the orifice law. That drops pinch off only
    in certain sizes is neglected.

    Parameters
    ----------
    valve_first_volume : array (s, n) [m3]
        None where the first drop is stated otherwise.
    valve_second_volume : array (s, n) [m3]
        The same for the second.
    valve_first_mass : array (s, n) [kg]
        Mass of `valve_weighed_drops` drops, or None.
    valve_second_mass : array (s, n) [kg]
        The same for the second.
    valve_weighed_drops : float [1]
        Drops in the weighing, or None.
    valve_first_opening : array (s, n) [s]
        Time for which the valve is open, or None.
    valve_second_opening : array (s, n) [s]
        The same for the second.
    valve_dead_time : array (s, n) [s]
        Part of it in which nothing flows, or None.
    valve_flow : array (2, s, n) [m3/s]
        Flow at the nominal head, or None for the orifice law.
    valve_orifice : array (s, n) [m]
        Or None.
    valve_discharge : array (2, s, n) [1]
        Or None.
    reservoir_head_nominal : float [m]
    density : array (s, n) [kg/m3]

    Returns
    -------
    first_dose : array (s, n) [m3]
        Held between the spheres of 0.5 and 9 mm where a weighing or an open time leads outside.
    second_dose : array (s, n) [m3]

    References
    ----------
    Orifice law: Unwin 1911, Hydraulics, Encyclopaedia Britannica 14, articles 17 to 20; the rest
    closed form.
    """
    flow = valve_flow
    if flow is None and valve_orifice is not None and valve_discharge is not None:
        flow = orifice_flow(
            orifice=valve_orifice, discharge=valve_discharge, head=reservoir_head_nominal
        )
    ways = (
        (valve_first_volume, valve_first_mass, valve_first_opening),
        (valve_second_volume, valve_second_mass, valve_second_opening),
    )
    doses = []
    for drop, (volume, mass, opening) in enumerate(ways):
        if opening is not None and flow is not None and valve_dead_time is not None:
            poured = flow[drop] * (opening - valve_dead_time)
            doses.append(np.minimum(np.maximum(poured, SMALLEST), LARGEST))
        elif mass is not None and valve_weighed_drops is not None:
            weighed = mass / (valve_weighed_drops * density)
            doses.append(np.minimum(np.maximum(weighed, SMALLEST), LARGEST))
        elif volume is not None:
            doses.append(volume)
        else:
            raise ValueError("a drop needs a volume, a mass or an open time")
    return Dose(*doses)


def dose_reach(reach: Mapping[str, Any]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the smallest and the largest dose of each drop that draws can lead to [m3].

    Range, neglect and source are those of `dose`.

    Parameters
    ----------
    reach
        For each argument of `dose` the smallest and largest value, or None; for ``density`` too.
    """
    falling = {"valve_dead_time", "density"}
    per_drop = {"valve_flow", "valve_discharge"}

    def end(side: int) -> Dose:
        arguments: dict[str, Any] = {}
        for name in STAGE.needs:
            given = reach[name]
            if isinstance(given, tuple):
                given = np.asarray(given[1 - side if name in falling else side])
                given = np.stack([given, given]) if name in per_drop else given
            arguments[name] = given
        arguments["valve_weighed_drops"] = reach.get("valve_weighed_drops_nominal")
        return dose(**arguments)

    low, high = end(0), end(1)
    return (
        (float(low.first_dose), float(high.first_dose)),
        (float(low.second_dose), float(high.second_dose)),
    )


def doubt_weighing(nominals: Mapping[str, Any]) -> Adapted:
    """Return the set-up spread of a weighed mass: the balance's error and the drops' own scatter.

    u² = a²/3 + (s m/√N)², a being the balance's half width and s the declared scatter from drop to
    drop; that the user may know another scatter is neglected. From 1 drop up.

    Parameters
    ----------
    nominals
        Of every value, by argument; masses in [kg].

    References
    ----------
    JCGM 100:2008, 4.2.3 (mean of N), 4.3.7 (half width) and equation 10.
    """
    spreads: dict[tuple[str, Level], tuple[Spread, Basis]] = {}
    drops = nominals["valve_weighed_drops"]
    for which in ("first", "second"):
        mass = nominals[f"valve_{which}_mass"]
        if mass is not None and drops is not None:
            scatter = DROP_SCATTER * mass / math.sqrt(drops)
            size = math.hypot(BALANCE / math.sqrt(3.0), scatter)
            spreads[f"valve.{which}_mass", Level.SETUP] = (sd(size), WEIGHED)
    return spreads


STAGE = Stage(name="dose", declares=DECLARES, work=dose, adapt=doubt_weighing)
