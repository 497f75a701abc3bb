"""The flash: when its light falls, and for how long."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.quantities import Basis, Kind, Mark, Quantity, Shape, Spread, sd
from jitter.stage import Stage

DECAY = 1262.4e-6
SWITCH_OFF = 13.22e-6

DECLARES = (
    Quantity(
        key="flash.power",
        meaning="share of the flash's full energy",
        symbol="p",
        unit="1",
        nominal=1.0 / 64.0,
        lower=1.0 / 1024.0,
        upper=1.0,
        basis=Basis(Mark.COMMON, "short light from a small unit"),
    ),
    Quantity(
        key="flash.duration_scale",
        meaning="how long the unit's light lasts against the curve",
        symbol="s_f",
        unit="1",
        nominal=1.0,
        lower=0.05,
        upper=20.0,
        setup=Spread(Shape.LOGNORMAL, 0.35),
        shot=sd(0.02, relative=True),
        basis=Basis(Mark.DERIVED, "fit within 7.3 % to one published eight-step table"),
        setup_basis=Basis(Mark.DERIVED, "scatter between published units"),
    ),
    Quantity(
        key="flash.energy",
        meaning="light energy against what the power setting promises",
        symbol="E",
        unit="1",
        nominal=1.0,
        lower=0.01,
        upper=100.0,
        shot=sd(0.02, relative=True),
        basis=Basis(Mark.ASSUMED, "the exposure was set by trial"),
    ),
    Quantity(
        key="flash.delay",
        meaning="time from the flash command to the light",
        symbol="t_f",
        unit="s",
        nominal=30e-6,
        lower=0.0,
        upper=0.5,
        shot=sd(5e-6),
        basis=Basis(Mark.ASSUMED, "wire; an optical slave takes 65 to 120 µs, radio 0.3 to 2 ms"),
    ),
    Quantity(
        key="flash.dark_chance",
        meaning="chance that the flash does not fire",
        symbol="p_f",
        unit="1",
        nominal=0.005,
        lower=0.0,
        upper=1.0,
        kind=Kind.CHANCE,
        basis=Basis(Mark.ASSUMED),
    ),
    Quantity(
        key="flash.full_recycle",
        meaning="time to recharge after a full-power flash",
        symbol="t_r",
        unit="s",
        nominal=3.0,
        lower=0.0,
        upper=600.0,
        basis=Basis(Mark.ASSUMED, "a small battery unit"),
    ),
)


class Pulse(NamedTuple):
    """A flash pulse: a decay of the light, cut off to give the power asked for."""

    centroid: Array
    half: Array
    tenth: Array


def pulse(power: Array) -> Pulse:
    """Return the centroid and the durations t0.5 and t0.1 of a quenched flash [s].

    A cut exponential of decay time 1262.4 µs, whose cut takes 13.22 µs to take effect.

    Parameters
    ----------
    power
        Share of the full energy [1], above 0 and up to 1; 1 is the uncut decay.

    References
    ----------
    Our fit within 7.3 % to one published eight-step table. Definitions of t0.5 and t0.1:
    ISO 2827:1988 (read second-hand).

    Examples
    --------
    >>> uncut = pulse(np.array(1.0))
    >>> round(float((uncut.tenth - SWITCH_OFF) / (uncut.half - SWITCH_OFF)), 4)  # log2(10)
    3.3219
    """
    # An uncut flash never ends; after forty decays double precision sees no more light.
    with np.errstate(divide="ignore"):
        cut = np.minimum(-np.log1p(-power), 40.0)
    left = cut * np.exp(-cut) / -np.expm1(-cut)
    return Pulse(
        centroid=DECAY * (1.0 - left),
        half=SWITCH_OFF + DECAY * np.minimum(cut, np.log(2.0)),
        tenth=SWITCH_OFF + DECAY * np.minimum(cut, np.log(10.0)),
    )


class Flash(NamedTuple):
    """The light."""

    flash_time: Array
    flash_duration: Array
    unlit: Flags


def flash(
    *,
    flash_command: Array,
    flash_power: Array,
    flash_duration_scale: Array,
    flash_delay: Array,
    flash_dark_chance: Flags,
    flash_full_recycle: Array,
    session_cadence: float,
) -> Flash:
    """Return when the light falls, how long it lasts and whether it fails.

    The picture's moment is the centroid of the pulse. A flash that is asked again before
    `flash_full_recycle` times the power has passed stays dark.

    Parameters
    ----------
    flash_command : array (s, n) [s]
        NaN where there is none.
    flash_power : array (s, n) [1]
        Share of the full energy.
    flash_duration_scale : array (s, n) [1]
        Scales every duration of the pulse.
    flash_delay : array (s, n) [s]
        Command to light.
    flash_dark_chance : array (s, n) of bool
        Whether the flash failed to fire.
    flash_full_recycle : array (s, n) [s]
        Time to recharge after full power.
    session_cadence : float [s]
        Frame to frame.

    Returns
    -------
    flash_time : array (s, n) [s]
        Centroid of the light, counted from the first valve command.
    flash_duration : array (s, n) [s]
        t0.1.
    unlit : array (s, n) of bool
        Whether it failed or had not recharged.
    """
    shape = pulse(flash_power)
    return Flash(
        flash_time=flash_command + flash_delay + shape.centroid * flash_duration_scale,
        flash_duration=shape.tenth * flash_duration_scale,
        unlit=flash_dark_chance | (session_cadence < flash_full_recycle * flash_power),
    )


STAGE = Stage(name="flash", declares=DECLARES, work=flash)
