"""The flash: when its light falls, and for how long."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.quantities import (
    Basis,
    Choice,
    Curve,
    Kind,
    Level,
    Mark,
    Quantity,
    Shape,
    Spread,
    Variants,
    sd,
    within,
)
from jitter.stage import Adapted, Stage
from jitter.stages.pulse import KINDS, USUAL_HALF, on_table, pulse

TABLED = Spread(Shape.LOGNORMAL, 0.10)
TABLED_BASIS = Basis(Mark.ASSUMED, "how well a table of one's own holds")


def _table(which: str, name: str, instead: tuple[str, ...]) -> Curve:
    return Curve(
        key=f"flash.{which}_durations",
        meaning=f"table of one's own durations {name} by power",
        symbol=name,
        columns=("power", "duration"),
        units=("1", "s"),
        lower=(1.0 / 4096.0, 1e-7),
        upper=(1.0, 1.0),
        basis=Basis(Mark.DERIVED, "the curve of the flash's kind"),
        instead=instead,
    )


DECLARES = (
    Choice(
        key="flash.kind",
        meaning="how the flash is dimmed",
        options=KINDS,
        nominal="quenched",
        basis=Basis(Mark.COMMON, "small flashes cut their light off"),
    ),
    Choice(
        key="flash.link",
        meaning="what carries the command to the flash",
        options=("wire", "optical slave", "radio"),
        nominal="wire",
        basis=Basis(Mark.COMMON, "a sync cable"),
    ),
    Quantity(
        key="flash.power",
        meaning="share of the flash's full energy",
        symbol="p",
        unit="1",
        nominal=1.0 / 64.0,
        lower=1.0 / 1024.0,
        upper=1.0,
        basis=Basis(Mark.COMMON, "short light from a small unit"),
        variants=Variants(
            "flash.kind",
            {
                "full discharge": {
                    "nominal": 1.0,
                    "basis": Basis(Mark.COMMON, "it empties its capacitor each time"),
                }
            },
        ),
    ),
    Quantity(
        key="flash.lowest_power",
        meaning="lowest power that the flash can be set to",
        symbol="p_l",
        unit="1",
        nominal=None,
        sample=1.0 / 128.0,
        lower=1.0 / 4096.0,
        upper=1.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "1/128 where a question needs it"),
    ),
    Quantity(
        key="flash.power_step",
        meaning="step in which the power is set",
        symbol="Δp",
        unit="stop",
        nominal=1.0,
        lower=0.1,
        upper=2.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "whole stops; write 1/3 stop where the flash has thirds"),
    ),
    Quantity(
        key="flash.count",
        meaning="equal flashes fired together at the same distance",
        symbol="k",
        unit="1",
        nominal=None,
        sample=2.0,
        lower=1.0,
        upper=64.0,
        kind=Kind.SETTING,
        whole=True,
        basis=Basis(Mark.COMMON, "a single one"),
    ),
    Quantity(
        key="flash.stagger",
        meaning="time from the first of several flashes to the last",
        symbol="Δ_f",
        unit="s",
        nominal=5e-6,
        lower=0.0,
        upper=0.1,
        setup=within(5e-6),
        basis=Basis(Mark.ASSUMED, "units of one make on one cable"),
        setup_basis=Basis(Mark.ASSUMED, "from none to twice as long"),
        only_with=("flash.count",),
        variants=Variants(
            "flash.link",
            {
                "optical slave": {
                    "nominal": 30e-6,
                    "setup": within(30e-6),
                    "basis": Basis(Mark.ASSUMED, "slaves see the master's light unequally"),
                    "setup_basis": Basis(Mark.ASSUMED, "from none to twice as long"),
                },
                "radio": {
                    "nominal": 100e-6,
                    "setup": within(100e-6),
                    "basis": Basis(Mark.ASSUMED, "receivers that ask in rhythms of their own"),
                    "setup_basis": Basis(Mark.ASSUMED, "from none to twice as long"),
                },
            },
        ),
    ),
    Quantity(
        key="flash.full_duration",
        meaning="duration t0.5 at full power",
        symbol="t_0.5",
        unit="s",
        nominal=USUAL_HALF,
        lower=1e-7,
        upper=0.1,
        basis=Basis(Mark.ASSUMED, "as long as a small quenched flash at full power"),
        only_with=("flash.kind=full discharge", "flash.kind=voltage-controlled"),
    ),
    _table("half", "t0.5", ("flash.full_duration",)),
    _table("tenth", "t0.1", ("flash.full_duration", "flash.half_durations")),
    Quantity(
        key="flash.duration_scale",
        meaning="how long the unit's light lasts against the curve or the table",
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
        basis=Basis(Mark.ASSUMED, "a sync cable"),
        shot_basis=Basis(Mark.ASSUMED, "a sync cable"),
        variants=Variants(
            "flash.link",
            {
                "optical slave": {
                    "nominal": 90e-6,
                    "setup": Spread(Shape.RECTANGULAR, 30e-6),
                    "shot": sd(8e-6),
                    "basis": Basis(Mark.ASSUMED, "65 to 120 µs, by the master's light"),
                    "setup_basis": Basis(Mark.ASSUMED, "distance and light of the master"),
                    "shot_basis": Basis(Mark.ASSUMED, "how steeply the master's light rises"),
                },
                "radio": {
                    "nominal": 1e-3,
                    "setup": Spread(Shape.RECTANGULAR, 0.7e-3),
                    "shot": sd(50e-6),
                    "basis": Basis(Mark.ASSUMED, "0.3 to 2 ms, by the make"),
                    "setup_basis": Basis(Mark.ASSUMED, "the make: measure yours once"),
                    "shot_basis": Basis(Mark.ASSUMED, "a radio's own rhythm of asking"),
                },
            },
        ),
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
    Quantity(
        key="session.cadence",
        meaning="time from one frame to the next",
        symbol="T_f",
        unit="s",
        nominal=15.0,
        lower=0.1,
        upper=86400.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "time for the surface to calm"),
    ),
)


class Flash(NamedTuple):
    """The light."""

    flash_time: Array
    flash_half_duration: Array
    flash_duration: Array
    flash_gap: Array
    unlit: Flags


def flash(
    *,
    flash_command: Array,
    flash_kind: str,
    flash_power: Array,
    flash_full_duration: Array | None,
    flash_half_durations: tuple[tuple[float, float], ...] | None,
    flash_tenth_durations: tuple[tuple[float, float], ...] | None,
    flash_duration_scale: Array,
    flash_delay: Array,
    flash_count: float | None,
    flash_stagger: Array | None,
    flash_dark_chance: Flags,
    flash_full_recycle: Array,
    session_cadence: float,
) -> Flash:
    """Return when the light falls, how long it lasts and whether it fails.

    The picture's moment is the centroid of the pulse. Of several flashes half the light comes with
    the first and half with the last, the worst that so many units can do: their centroid is the
    middle. A table of durations scales the pulse of
    the flash's kind, shape and centroid with it. A flash that is asked again before
    `flash_full_recycle` times the power has passed stays dark; that a flash not quite recharged
    may fire weakly is neglected. Powers from 1/1024.

    Parameters
    ----------
    flash_command : array (s, n) [s]
        NaN where there is none.
    flash_kind : str
        "quenched", "full discharge" or "voltage-controlled".
    flash_power : array (s, n) [1]
        Share of the full energy.
    flash_full_duration : array (s, n) [s]
        t0.5 at full power, or None where the kind's curve or a table says it.
    flash_half_durations : pairs [1, s]
        Power and t0.5, or None.
    flash_tenth_durations : pairs [1, s]
        Power and t0.1, or None.
    flash_duration_scale : array (s, n) [1]
        Scales every duration of the pulse.
    flash_delay : array (s, n) [s]
        Command to light.
    flash_count : float [1]
        None for one.
    flash_stagger : array (s, n) [s]
        From the first of several to the last; None for one.
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
    flash_half_duration : array (s, n) [s]
        t0.5 of each flash.
    flash_duration : array (s, n) [s]
        t0.1 of each flash.
    flash_gap : array (s, n) [s]
        From the first flash's light to the last one's; 0 for one.
    unlit : array (s, n) of bool
        Whether it failed or had not recharged.

    References
    ----------
    Those of `jitter.stages.pulse`.
    """
    shape = pulse(flash_kind, flash_power, flash_full_duration)
    if flash_half_durations is not None:
        shape = shape.scaled(on_table(flash_power, flash_half_durations) / shape.half)
    elif flash_tenth_durations is not None:
        shape = shape.scaled(on_table(flash_power, flash_tenth_durations) / shape.tenth)
    alone = flash_stagger is None or flash_count is None or flash_count == 1.0
    gap = np.zeros((1, 1)) if alone else np.asarray(flash_stagger)
    centroid = shape.centroid * flash_duration_scale
    light = flash_command + flash_delay + (centroid if alone else centroid + 0.5 * gap)
    return Flash(
        flash_time=light,
        flash_half_duration=shape.half * flash_duration_scale,
        flash_duration=shape.tenth * flash_duration_scale,
        flash_gap=gap,
        unlit=flash_dark_chance | (session_cadence < flash_full_recycle * flash_power),
    )


def trust_tables(nominals: Mapping[str, Any]) -> Adapted:
    """Return a smaller set-up spread of the duration [1] where the user gives a table of it.

    Assumed; how well a table holds from unit to unit within its range is neglected.

    Parameters
    ----------
    nominals
        Of every value, by argument.
    """
    if all(nominals[f"flash_{which}_durations"] is None for which in ("half", "tenth")):
        return {}
    return {("flash.duration_scale", Level.SETUP): (TABLED, TABLED_BASIS)}


STAGE = Stage(name="flash", declares=DECLARES, work=flash, adapt=trust_tables)
