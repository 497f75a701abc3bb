"""The sensor: an optical beam that a falling drop breaks, which starts the timer."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.quantities import Basis, Choice, Kind, Mark, Quantity, sd, within
from jitter.stage import Stage
from jitter.stages.fall import Fall, fall_duration
from jitter.stages.wobble import ROUNDS, Wobble, stretch

DECLARES = (
    Choice(
        key="timer.start",
        meaning="what starts the flash timer",
        options=("first drop", "second drop", "valve"),
        nominal="first drop",
        basis=Basis(Mark.COMMON, "the first drop through the beam"),
    ),
    Quantity(
        key="sensor.height",
        meaning="height of the sensor's beam above the surface",
        symbol="z_s",
        unit="m",
        nominal=0.483,
        lower=0.001,
        upper=5.0,
        setup=within(0.001),
        basis=Basis(Mark.COMMON, "19 in above the dish"),
        setup_basis=Basis(Mark.COMMON, "a ruler"),
    ),
    Quantity(
        key="sensor.offset",
        meaning="how far the beam passes beside the fall line",
        symbol="x_s",
        unit="m",
        nominal=0.0,
        lower=-0.02,
        upper=0.02,
        setup=sd(0.0005),
        basis=Basis(Mark.ASSUMED, "aimed by eye"),
    ),
    Quantity(
        key="sensor.width",
        meaning="width of the beam",
        symbol="w_s",
        unit="m",
        nominal=0.001,
        lower=1e-5,
        upper=0.02,
        basis=Basis(Mark.ASSUMED, "a slit or a small lens"),
    ),
    Quantity(
        key="sensor.response",
        meaning="time from the broken beam to the sensor's signal",
        symbol="t_s",
        unit="s",
        nominal=20e-6,
        lower=0.0,
        upper=0.1,
        shot=sd(10e-6),
        basis=Basis(Mark.ASSUMED, "phototransistors take 1 to 1000 µs, depending on the load"),
    ),
    Quantity(
        key="sensor.miss_chance",
        meaning="chance that the sensor misses a drop it should see",
        symbol="p_s",
        unit="1",
        nominal=0.01,
        lower=0.0,
        upper=1.0,
        kind=Kind.CHANCE,
        basis=Basis(Mark.ASSUMED),
    ),
)


class Beam(NamedTuple):
    """The start signal."""

    start_time: Array


def beam(
    *,
    timer_start: str,
    sensor_height: Array,
    sensor_offset: Array,
    sensor_response: Array,
    sensor_miss_chance: Flags,
    valve_nozzle_height: Array,
    valve_scatter: Array,
    first_diameter: Array,
    second_diameter: Array,
    first_fall: Fall,
    second_fall: Fall,
    first_wobble: Wobble | None,
    second_wobble: Wobble | None,
    first_release: Array,
    second_release: Array,
) -> Beam:
    """Return when the timer starts, counted from the first valve command.

    The drop breaks the beam when its edge does: its centre then stands √(R² - x²) above the
    beam, x being the sideways distance between beam and drop, so a drop beside the beam's middle
    is seen late and never early. A drop that oscillates is cut where it is as tall as it is then.
    Valid for a beam narrow against the drop; tilt is neglected.

    Parameters
    ----------
    timer_start : str
        "first drop", "second drop" or "valve"; with the second, the first crossing is ignored.
    sensor_height : array (s, n) [m]
        Beam above the datum.
    sensor_offset : array (s, n) [m]
        Beam beside the fall line, across the beam.
    sensor_response : array (s, n) [s]
        Broken beam to signal.
    sensor_miss_chance : array (s, n) of bool
        Whether the sensor missed.
    valve_nozzle_height : array (s, n) [m]
        Nozzle above the datum.
    valve_scatter : array (2, 2, s, n) [m]
        Sideways landing place of each drop; on the way a drop is off in proportion to the
        distance fallen.
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    first_fall
    second_fall
    first_wobble
        None for round drops.
    second_wobble
    first_release : array (s, n) [s]
    second_release : array (s, n) [s]

    Returns
    -------
    start_time : array (s, n) [s]
        NaN where the drop passed unseen.

    References
    ----------
    Closed form: the chord of a circle; of a spheroid of the same volume where the drop oscillates.
    """
    if timer_start == "valve":
        return Beam(start_time=np.zeros((1, 1)))
    if timer_start == "first drop":
        drop, diameter, fall, release = 0, first_diameter, first_fall, first_release
        wobble = first_wobble
    else:
        drop, diameter, fall, release = 1, second_diameter, second_fall, second_release
        wobble = second_wobble
    fallen = valve_nozzle_height - sensor_height
    beside = valve_scatter[drop, 0] * (fallen / valve_nozzle_height) + sensor_offset
    above_squared = 0.25 * diameter**2 - beside**2
    taken = _taken(fall, fallen, above_squared)
    for _ in range(ROUNDS if wobble is not None else 0):
        tall = stretch(wobble, taken)
        # A spheroid of half height R s and half width R/√s, cut at the beam.
        above_squared = tall**2 * (0.25 * diameter**2 - tall * beside**2)
        taken = _taken(fall, fallen, above_squared)
    seen = (above_squared > 0.0) & ~sensor_miss_chance
    return Beam(start_time=np.where(seen, release + taken + sensor_response, np.nan))


def _taken(fall: Fall, fallen: Array, above_squared: Array) -> Array:
    """Return the time until a drop's centre is so far above the beam [s]."""
    above = np.sqrt(np.maximum(above_squared, 0.0))
    return fall_duration(fall, np.maximum(fallen - above, 1e-6))


STAGE = Stage(name="sensor", declares=DECLARES, work=beam)
