"""The timer: from the start signal to the flash command."""

from __future__ import annotations

from typing import NamedTuple

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, Variants, within
from jitter.stage import Stage

DECLARES = (
    Quantity(
        key="timer.delay",
        meaning="time set from the start signal to the flash",
        symbol="t_d",
        unit="s",
        nominal=0.294,
        lower=0.0,
        upper=60.0,
        basis=Basis(Mark.DERIVED, "shows the sheet 6 ms after the meeting on the default rig"),
        variants=Variants(
            "timer.start", {"second drop": {"nominal": 0.195}, "valve": {"nominal": 0.457}}
        ),
    ),
    Quantity(
        key="timer.step",
        meaning="step of the timer's clock",
        symbol="q",
        unit="s",
        nominal=4e-6,
        lower=0.0,
        upper=0.1,
        kind=Kind.TICK,
        basis=Basis(Mark.PUBLISHED, "microsecond clock of a common 8-bit board"),
    ),
    Quantity(
        key="timer.clock_error",
        meaning="relative error of the timer's clock",
        symbol="e_c",
        unit="1",
        nominal=0.0,
        lower=-0.1,
        upper=0.1,
        setup=within(0.0005),
        basis=Basis(Mark.ASSUMED, "ceramic resonator 0.005, crystal 0.00005"),
    ),
)


class Timer(NamedTuple):
    """The flash command."""

    flash_command: Array


def timer(
    *,
    start_time: Array,
    timer_delay: Array,
    delay_correction: Array,
    timer_step: Array,
    timer_clock_error: Array,
) -> Timer:
    """Return when the flash is commanded, counted from the first valve command.

    The clock's error is the same all the session long; its warming up is neglected.

    Parameters
    ----------
    start_time : array (s, n) [s]
        NaN where the sensor saw nothing.
    timer_delay : array (s, n) [s]
        Delay as set by ruler and reckoning.
    delay_correction : array (s, 1) [s]
        Change of the setting by trimming.
    timer_step : array (s, n) [s]
        Wait for the clock's next tick, uniform from 0 to its step.
    timer_clock_error : array (s, n) [1]
        Scales the delay.

    Returns
    -------
    flash_command : array (s, n) [s]
        NaN where there is no start.

    References
    ----------
    Closed form: sums of times.
    """
    delay = (timer_delay + delay_correction) * (1.0 + timer_clock_error)
    return Timer(flash_command=start_time + delay + timer_step)


STAGE = Stage(name="timer", declares=DECLARES, work=timer)
