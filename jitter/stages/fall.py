"""The fall: where a drop is after a time, and when it has fallen a distance.

A drop let go at some speed falls like one that started from rest a little higher and earlier;
so one function of time is enough: the distance from rest. It is a smooth polynomial in the time
and in the two numbers of `jitter.stages.drag`, fitted to the integrated equation when a study is
loaded and checked against it between the nodes of the fit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stage import Stage
from jitter.stages.drag import FallUnits, fall_units
from jitter.stages.fall_table import FallTable, prepare_fall


class Fall(NamedTuple):
    """The fall of one drop in each shot.

    Attributes
    ----------
    length, time
        Units of the fall [m], [s].
    powers : tuple of array (s, n) [1]
        Coefficients of ½ T² x^p.
    table
        What they come from.
    tilt
        g1 + g3 a of the table's guess.
    start
        Fall time from rest at which the drop has its release speed [fall units].
    way
        Distance fallen by then [fall units].
    """

    length: Array
    time: Array
    powers: tuple[Array, ...]
    table: FallTable
    tilt: Array
    start: Array
    way: Array


class Falls(NamedTuple):
    """The falls of the two drops."""

    first_fall: Fall
    second_fall: Fall


def _motion(fall: Fall, moment: Array, *, orders: int) -> list[Array]:
    """Return distance from rest, speed and acceleration [fall units], as many as asked for."""
    pace = 2.0 / fall.table.duration
    x = pace * moment - 1.0
    value = np.array(np.broadcast_to(fall.powers[-1], x.shape))
    slope = np.zeros(x.shape)
    bend = np.zeros(x.shape)
    # Horner's scheme for the polynomial and, with it, for its derivatives as far as needed.
    for power in fall.powers[-2::-1]:
        if orders > 2:
            bend *= x
            bend += slope
        if orders > 1:
            slope *= x
            slope += value
        value *= x
        value += power
    found = [0.5 * moment * moment * value]
    if orders > 1:
        turned = pace * moment * slope
        found.append(moment * (value + 0.5 * turned))
        if orders > 2:
            found.append(value + 2.0 * turned + (pace * moment) ** 2 * bend)
    return found


def fall_state(fall: Fall, elapsed: Array) -> tuple[Array, Array]:
    """Return how far a drop has fallen and how fast it falls.

    Range, neglect and source are those of `falls`.

    Parameters
    ----------
    fall
        The drop's fall.
    elapsed : array (s, n) [s]
        Time since release; before it the drop hangs at the nozzle, with its release speed.

    Returns
    -------
    distance : array (s, n) [m]
    speed : array (s, n) [m/s]
    """
    moment = np.maximum(elapsed, 0.0) / fall.time + fall.start
    distance, speed = _motion(fall, moment, orders=2)
    return (distance - fall.way) * fall.length, speed * (fall.length / fall.time)


def fall_distance(fall: Fall, elapsed: Array) -> Array:
    """Return how far a drop has fallen [m]; range, neglect and source are those of `falls`."""
    return fall_state(fall, elapsed)[0]


def fall_speed(fall: Fall, elapsed: Array) -> Array:
    """Return how fast a drop falls [m/s]; range, neglect and source are those of `falls`."""
    return fall_state(fall, elapsed)[1]


def fall_duration(fall: Fall, distance: Array) -> Array:
    """Return the time a drop takes to fall a distance, good to 1 microsecond.

    Range, neglect and source are those of `falls`.

    Parameters
    ----------
    fall
        The drop's fall.
    distance : array (s, n) [m]
        Distance below the nozzle, above 0.

    Returns
    -------
    array (s, n) [s]
    """
    target = distance / fall.length + fall.way
    constant, _, square, _ = fall.table.guess
    moment: Array = np.sqrt(2.0 * target) * (constant + target * (fall.tilt + square * target))
    for _ in range(fall.table.search_steps):
        fallen, speed = _motion(fall, moment, orders=2)
        moment -= (fallen - target) / speed
    return (moment - fall.start) * fall.time


def fall(*, table: FallTable, units: FallUnits, release_speed: Array) -> Fall:
    """Return the fall of a drop in each shot.

    Range, neglect and source are those of `falls`.

    Parameters
    ----------
    table
        The fitted polynomial.
    units
        The numbers and units of the drop's fall.
    release_speed : array (s, n) [m/s]
        Speed as it pinches off.

    Returns
    -------
    Fall
    """
    a = (np.log(units.archimedes) - table.archimedes[0]) / table.archimedes[1]
    m = (units.morton - table.morton[0]) / table.morton[1]
    planes = np.polynomial.polynomial.polyval(m, np.moveaxis(table.coefficients, -1, 0))
    powers = []
    for rows in planes:
        value = rows[-1] * a + rows[-2]
        for row in rows[-3::-1]:
            value *= a
            value += row
        powers.append(value)
    from_rest = Fall(
        length=units.length,
        time=units.time,
        powers=tuple(powers),
        table=table,
        tilt=table.guess[1] + table.guess[3] * a,
        start=np.zeros(()),
        way=np.zeros(()),
    )
    target = release_speed * (units.time / units.length)
    linear, square, tilt = table.release_guess
    start = target * (1.0 + target * (linear + tilt * a + square * target))
    for _ in range(table.release_steps):
        _, speed, gain = _motion(from_rest, start, orders=3)
        start = start + (target - speed) / gain
    return from_rest._replace(start=start, way=_motion(from_rest, start, orders=1)[0])


def falls(
    *,
    first_diameter: Array,
    second_diameter: Array,
    valve_release_speed: Array,
    density: Array,
    surface_tension: Array,
    air_density: Array,
    air_viscosity: Array,
    fall_table: tuple[FallTable, FallTable],
) -> Falls:
    """Return the falls of the two drops.

    Drops of 0.5 to 9 mm, let go at up to 1.5 m/s, over falls of a few centimetres to 5 m; above
    about 7 mm drops break up. Wind, the first drop's wake, what its oscillation does to a drop's
    drag, and the air's compressibility are neglected.

    Parameters
    ----------
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    valve_release_speed : array (2, s, n) [m/s]
        Speed of each drop as it pinches off.
    density : array (s, n) [kg/m3]
    surface_tension : array (s, n) [N/m]
    air_density : array (s, n) [kg/m3]
    air_viscosity : array (s, n) [Pa s]
    fall_table
        The fitted polynomial of each drop.

    Returns
    -------
    first_fall
    second_fall

    References
    ----------
    Those of `jitter.stages.drag`; fitted to the integrated equation, with the error that stands in
    the table.
    """
    made = []
    for drop, diameter in enumerate((first_diameter, second_diameter)):
        units = fall_units(
            diameter=diameter,
            density=density,
            surface_tension=surface_tension,
            air_density=air_density,
            air_viscosity=air_viscosity,
        )
        made.append(
            fall(table=fall_table[drop], units=units, release_speed=valve_release_speed[drop])
        )
    return Falls(*made)


STAGE = Stage(name="fall", work=falls, prepare=prepare_fall, table="fall_table")
