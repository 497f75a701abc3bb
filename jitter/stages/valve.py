"""The valve: when, how fast and how straight each drop leaves it."""

from __future__ import annotations

from typing import NamedTuple

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, sd, within
from jitter.stage import Stage

DECLARES = (
    Quantity(
        key="valve.nozzle_height",
        meaning="height of the nozzle above the surface",
        symbol="z₀",
        unit="m",
        nominal=0.610,
        lower=0.02,
        upper=5.0,
        setup=within(0.002),
        basis=Basis(Mark.COMMON, "24 in above the dish"),
        setup_basis=Basis(Mark.COMMON, "a ruler"),
    ),
    Quantity(
        key="valve.latency",
        meaning="time from the command (to close, where an open time is given) to pinch-off",
        symbol="t_v",
        unit="s",
        nominal=0.008,
        lower=0.0,
        upper=0.5,
        setup=sd(0.001),
        shot=sd(0.0003),
        per_drop=True,
        basis=Basis(Mark.ASSUMED, "small direct-acting valves take 1 to 27 ms"),
    ),
    Quantity(
        key="valve.release_speed",
        meaning="speed of the drop as it pinches off",
        symbol="v₀",
        unit="m/s",
        nominal=0.05,
        lower=0.0,
        upper=1.5,
        setup=sd(0.02),
        shot=sd(0.02),
        per_drop=True,
        basis=Basis(
            Mark.ASSUMED,
            "nobody has published it for such valves; a short pulse under head can reach 1 m/s",
        ),
    ),
    Quantity(
        key="valve.scatter",
        meaning="sideways landing error, each direction",
        symbol="x, y",
        unit="m",
        nominal=0.0,
        lower=-0.2,
        upper=0.2,
        kind=Kind.ERROR,
        shot=sd(0.0004),
        per_drop=True,
        per_axis=True,
        basis=Basis(Mark.DERIVED, "the fall line is where drops land on average"),
        shot_basis=Basis(
            Mark.DERIVED,
            "from a 70 mm circle of needle drops in a tower, Chowdhury et al. 2016, Atmos. Res. "
            "168, 158; range 0.2 to 1.5 mm",
        ),
    ),
    Quantity(
        key="valve.interval",
        meaning="time from the first drop's command to the second's",
        symbol="Δt",
        unit="s",
        nominal=0.099,
        lower=0.0,
        upper=5.0,
        basis=Basis(Mark.DERIVED, "lands the second drop near the jet's top on the default rig"),
    ),
)


class Release(NamedTuple):
    """When each drop is let go, counted from the first command."""

    first_release: Array
    second_release: Array


def release(
    *,
    valve_latency: Array,
    valve_interval: Array,
    valve_first_opening: Array | None,
    valve_second_opening: Array | None,
    timer_clock_error: Array,
) -> Release:
    """Return when each drop is let go, counted from the first valve command.

    Where open times are given a drop pinches off the latency after its valve is told to close.
    The second drop's hold-up by the first is neglected.

    Parameters
    ----------
    valve_latency : array (2, s, n) [s]
        Command, to close where an open time is given, to pinch-off, for each drop.
    valve_interval : array (s, n) [s]
        First command to second, as set on the timer.
    valve_first_opening : array (s, n) [s]
        Time for which the valve is open, or None.
    valve_second_opening : array (s, n) [s]
        The same for the second.
    timer_clock_error : array (s, n) [1]
        Relative error of the timer's clock.

    Returns
    -------
    first_release : array (s, n) [s]
    second_release : array (s, n) [s]

    References
    ----------
    Closed form: sums of times.
    """
    second_command = valve_interval * (1.0 + timer_clock_error)
    first, second = valve_latency[0], second_command + valve_latency[1]
    if valve_first_opening is not None:
        first = first + valve_first_opening
    if valve_second_opening is not None:
        second = second + valve_second_opening
    return Release(first_release=first, second_release=second)


STAGE = Stage(name="release", declares=DECLARES, work=release)
