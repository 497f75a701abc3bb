"""The fall: where a drop is after a time, and when it has fallen a distance.

A drop let go at some speed falls like one that started from rest a little higher and earlier;
so one function of time is enough: the distance from rest. It is a smooth polynomial in the time
and in the two numbers of `jitter.stages.drag`, fitted to the integrated equation when a study is
loaded and checked against it between the nodes of the fit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.stage import Stage
from jitter.stages.drag import FallUnits, fall_units
from jitter.stages.fall_table import FallTable, prepare_fall


class Fall(NamedTuple):
    """The fall of one drop in each shot.

    Attributes
    ----------
    length, time, pace
        Units of the fall [m], [s], [m/s].
    powers : array (p, s, n) [1]
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
    pace: Array
    powers: Array
    table: FallTable
    tilt: Array
    start: Array
    way: Array


class Falls(NamedTuple):
    """The falls of the two drops."""

    first_fall: Fall
    second_fall: Fall


def _polynomial(powers: Array, x: Array) -> Array:
    """Return the sum of c_p x^p by Horner's scheme."""
    value: Array = powers[-1] * x
    for power in powers[-2:0:-1]:
        value += power
        value *= x
    value += powers[0]
    return value


def _polynomial_and_slope(powers: Array, x: Array) -> tuple[Array, Array]:
    """Return the same sum and its derivative by x; the derivative stays a power behind."""
    slope: Array = powers[-1] * x
    value = slope + powers[-2]
    slope += value
    for power in powers[-3:0:-1]:
        value *= x
        value += power
        slope *= x
        slope += value
    value *= x
    value += powers[0]
    return value, slope


def _turn(fall: Fall, moment: Array) -> Array:
    """Return x + 1, the moment in halves of the fit's duration."""
    return (2.0 / fall.table.duration) * moment


def _way(fall: Fall, moment: Array) -> Array:
    """Return the distance from rest [fall units]."""
    return 0.5 * moment * moment * _polynomial(fall.powers, _turn(fall, moment) - 1.0)


def _shares(fall: Fall, moment: Array) -> tuple[Array, Array]:
    """Return what drag leaves of the distance ½ T² and of the speed T of a fall from rest [1]."""
    turn = _turn(fall, moment)
    of_distance, of_speed = _polynomial_and_slope(fall.powers, turn - 1.0)
    of_speed *= turn
    of_speed *= 0.5
    of_speed += of_distance
    return of_distance, of_speed


def _gain(fall: Fall, moment: Array) -> Array:
    """Return the acceleration [fall units]."""
    turn = _turn(fall, moment)
    orders = np.arange(1, len(fall.powers))[:, None, None]
    slope, bend = _polynomial_and_slope(orders * fall.powers[1:], turn - 1.0)
    return _polynomial(fall.powers, turn - 1.0) + turn * (2.0 * slope + turn * bend)


def _from_rest(fall: Fall, elapsed: Array) -> Array:
    """Return the fall time from rest at a time after release [fall units]."""
    return np.maximum(elapsed, 0.0) / fall.time + fall.start


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
    moment = _from_rest(fall, elapsed)
    of_distance, of_speed = _shares(fall, moment)
    distance = 0.5 * moment * moment * of_distance
    return (distance - fall.way) * fall.length, moment * of_speed * fall.pace


def fall_distance(fall: Fall, elapsed: Array) -> Array:
    """Return how far a drop has fallen [m]; range, neglect and source are those of `falls`."""
    return (_way(fall, _from_rest(fall, elapsed)) - fall.way) * fall.length


def fall_speed(fall: Fall, elapsed: Array) -> Array:
    """Return how fast a drop falls [m/s]; range, neglect and source are those of `falls`."""
    return fall_state(fall, elapsed)[1]


def _arrival(fall: Fall, distance: Array) -> Array:
    """Return the fall time from rest at which a drop has fallen a distance [fall units]."""
    target = distance / fall.length + fall.way
    constant, _, square, _ = fall.table.guess
    moment: Array = np.sqrt(2.0 * target) * (constant + target * (fall.tilt + square * target))
    for _ in range(fall.table.search_steps):
        of_distance, of_speed = _shares(fall, moment)
        moment -= (0.5 * moment * moment * of_distance - target) / (moment * of_speed)
    return moment


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
    return (_arrival(fall, distance) - fall.start) * fall.time


def fall_arrival(fall: Fall, distance: Array) -> tuple[Array, Array]:
    """Return the time a drop takes to fall a distance, and how fast it then falls.

    The same as `fall_duration` and `fall_speed` after one another, at less work; range, neglect
    and source are those of `falls`.

    Parameters
    ----------
    fall
        The drop's fall.
    distance : array (s, n) [m]
        Distance below the nozzle, above 0.

    Returns
    -------
    duration : array (s, n) [s]
    speed : array (s, n) [m/s]
    """
    moment = _arrival(fall, distance)
    _, of_speed = _shares(fall, moment)
    speed = moment * of_speed * fall.pace
    return (moment - fall.start) * fall.time, speed


def fall_of(fall: Fall, shots: Flags) -> Fall:
    """Return the fall of some of the shots only, in a row.

    Range, neglect and source are those of `falls`.

    Parameters
    ----------
    fall
        The drop's fall.
    shots : array (s, n) of bool
        Which.

    Returns
    -------
    Fall
        Of arrays (k,), lengths still in [m] and times in [s].
    """
    places = np.flatnonzero(shots)

    def those(part: Array) -> Array:
        shape = (*part.shape[:-2], *shots.shape)
        every = part if part.shape == shape else np.broadcast_to(part, shape)
        return every.reshape(*shape[:-2], -1).take(places, axis=-1)

    return Fall(
        length=those(fall.length),
        time=those(fall.time),
        pace=those(fall.pace),
        powers=those(fall.powers),
        table=fall.table,
        tilt=those(fall.tilt),
        start=those(fall.start),
        way=those(fall.way),
    )


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
    pace = units.length / units.time
    a = (np.log(units.archimedes) - table.archimedes[0]) * (1.0 / table.archimedes[1])
    m = (units.morton - table.morton[0]) / table.morton[1]
    # The size enters by a alone, so the polynomials in m are few.
    by_size = _polynomial(table.coefficients.T[..., None, None], m)
    from_rest = Fall(
        length=units.length,
        time=units.time,
        pace=pace,
        powers=_polynomial(by_size, a),
        table=table,
        tilt=table.guess[1] + table.guess[3] * a,
        start=np.zeros(()),
        way=np.zeros(()),
    )
    target = release_speed / pace
    linear, square, tilt = table.release_guess
    start = target * (1.0 + target * (linear + tilt * a + square * target))
    for _ in range(table.release_steps):
        _, of_speed = _shares(from_rest, start)
        start = start + (target - start * of_speed) / _gain(from_rest, start)
    return from_rest._replace(start=start, way=_way(from_rest, start))


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
