"""The fall: when a drop has fallen a distance, and where it is after a time.

A drop let go at some speed falls like one that started from rest a little higher and earlier;
so one function is enough: the time T from rest by the distance Z. Free fall has T = √(2 Z), so it
is told by r = √(2 Z), of which it is a smooth polynomial, as of the two numbers of
`jitter.stages.drag`, fitted to the integrated equation when a study is loaded and checked against
it. When a drop arrives is told at once; where it is at a time takes a step of Newton's.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.stage import Stage
from jitter.stages.drag import FallUnits
from jitter.stages.fall_fit import FallTable


class Fall(NamedTuple):
    """The fall of one drop in each shot.

    Attributes
    ----------
    half_length, time, pace
        Half the unit of length [m], those of time [s] and speed [m/s].
    size
        a, the place of ln A in its range, from -1 to 1.
    powers : p arrays (s, n) [1]
        Coefficients of r x^p in the time from rest.
    table
        What they come from.
    start
        Fall time from rest at which the drop has its release speed [fall units].
    square
        r² by then, twice the distance fallen [fall units].
    """

    half_length: Array
    time: Array
    pace: Array
    size: Array
    powers: tuple[Array, ...]
    table: FallTable
    start: Array
    square: Array


class Falls(NamedTuple):
    """The falls of the two drops."""

    first_fall: Fall
    second_fall: Fall


def _polynomial(powers: Sequence[Array] | Array, x: Array) -> Array:
    """Return the sum of c_p x^p by Horner's scheme."""
    value: Array = powers[-1] * x
    for power in powers[-2:0:-1]:
        value += power
        value *= x
    value += powers[0]
    return value


def _polynomial_and_slope(powers: Sequence[Array], x: Array) -> tuple[Array, Array]:
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


def _turn(fall: Fall, root: Array) -> Array:
    """Return x + 1, r in halves of the fit's reach."""
    return (2.0 / fall.table.reach) * root


def _time(fall: Fall, root: Array) -> Array:
    """Return the fall time from rest at r [fall units]."""
    return root * _polynomial(fall.powers, _turn(fall, root) - 1.0)


def _time_and_slope(fall: Fall, root: Array) -> tuple[Array, Array]:
    """Return the fall time from rest at r, and its derivative by r [fall units]."""
    turn = _turn(fall, root)
    ratio, slope = _polynomial_and_slope(fall.powers, turn - 1.0)
    slope *= turn
    slope += ratio
    ratio *= root
    return ratio, slope


def _root_at(fall: Fall, elapsed: Array) -> tuple[Array, Array]:
    """Return r a time after release, and dT/dr there but for the last step [fall units]."""
    moment = np.maximum(elapsed, 0.0) / fall.time + fall.start
    constant, linear, square, tilt = fall.table.guess
    root: Array = moment * (constant + moment * (linear + square * moment + tilt * fall.size))
    for _ in range(fall.table.search_steps):
        reached, slope = _time_and_slope(fall, root)
        root += (moment - reached) / slope
    return root, slope


def _root_after(fall: Fall, distance: Array) -> Array:
    """Return r after a distance [fall units]."""
    return np.sqrt(distance / fall.half_length + fall.square)


def fall_state(fall: Fall, elapsed: Array) -> tuple[Array, Array]:
    """Return how far a drop has fallen and how fast it falls, to 1 part in 10^5 of its speed.

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
    root, slope = _root_at(fall, elapsed)
    return (root * root - fall.square) * fall.half_length, root / slope * fall.pace


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
    return (_time(fall, _root_after(fall, distance)) - fall.start) * fall.time


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
    root = _root_after(fall, distance)
    moment, slope = _time_and_slope(fall, root)
    return (moment - fall.start) * fall.time, root / slope * fall.pace


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
        every = part if part.shape == shots.shape else np.broadcast_to(part, shots.shape)
        return every.reshape(-1).take(places)

    return Fall(
        half_length=those(fall.half_length),
        time=those(fall.time),
        pace=those(fall.pace),
        size=those(fall.size),
        powers=tuple(those(power) for power in fall.powers),
        table=fall.table,
        start=those(fall.start),
        square=those(fall.square),
    )


def at_rest(*, table: FallTable, units: FallUnits) -> Fall:
    """Return the fall of a drop let go at rest in each shot.

    Range, neglect and source are those of `jitter.stages.from_rest.falls_from_rest`.

    Parameters
    ----------
    table
        The fitted polynomial.
    units
        The numbers and units of the drop's fall.

    Returns
    -------
    Fall
        Its lengths in [m], its times in [s].
    """
    a = (np.log(units.archimedes) - table.archimedes[0]) * (1.0 / table.archimedes[1])
    b = (units.morton - table.morton[0]) / table.morton[1]
    return Fall(
        half_length=0.5 * units.length,
        time=units.time,
        pace=units.length / units.time,
        size=a,
        powers=_powers(table, a, b),
        table=table,
        start=np.zeros(()),
        square=np.zeros(()),
    )


def _powers(table: FallTable, a: Array, b: Array) -> tuple[Array, ...]:
    """Return the coefficients of r x^p, each worked to the degree in a that it has."""
    # The size enters by a alone, so the polynomials in b are few.
    by_size = _polynomial(table.coefficients.T[..., None, None], b)
    # One after the other: what is worked in place stays in the cache.
    return tuple(
        _polynomial(by_size[: bend + 1, power], a) if bend else by_size[0, power]
        for power, bend in enumerate(table.bends)
    )


def let_go(from_rest: Fall, *, release_speed: Array) -> Fall:
    """Return the fall of a drop let go at some speed in each shot.

    Range, neglect and source are those of `falls`.

    Parameters
    ----------
    from_rest
        How it falls from rest, from `at_rest`.
    release_speed : array (s, n) [m/s]
        Speed as it pinches off.
    """
    target = release_speed / from_rest.pace
    linear, square, tilt = from_rest.table.release_guess
    root = target * (1.0 + target * (linear + tilt * from_rest.size + square * target))
    for _ in range(from_rest.table.release_steps):
        _, slope = _time_and_slope(from_rest, root)
        root = target * slope
    return from_rest._replace(start=_time(from_rest, root), square=root * root)


def falls(*, first_from_rest: Fall, second_from_rest: Fall, valve_release_speed: Array) -> Falls:
    """Return the falls of the two drops, each let go at its own speed.

    Drops of 0.5 to 9 mm, let go at up to 1.5 m/s, over falls of a few centimetres to 5 m; above
    about 7 mm drops break up. Wind, the first drop's wake, what its oscillation does to a drop's
    drag, and the air's compressibility are neglected.

    Parameters
    ----------
    first_from_rest
    second_from_rest
    valve_release_speed : array (2, s, n) [m/s]
        Speed of each drop as it pinches off.

    Returns
    -------
    first_fall
    second_fall

    References
    ----------
    Those of `jitter.stages.drag`; fitted to the integrated equation, with the error that stands in
    the table.
    """
    return Falls(
        first_fall=let_go(first_from_rest, release_speed=valve_release_speed[0]),
        second_fall=let_go(second_from_rest, release_speed=valve_release_speed[1]),
    )


STAGE = Stage(name="fall", work=falls)
