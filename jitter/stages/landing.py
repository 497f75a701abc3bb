"""The liquid in the dish: where its surface is, and when the drops reach it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, sd, within
from jitter.stage import Stage
from jitter.stages.fall import Fall, fall_arrival, fall_duration
from jitter.stages.wobble import ROUNDS, Wobble, stretch

DECLARES = (
    Quantity(
        key="pool.level",
        meaning="surface above the level the rig was measured from",
        symbol="z_p",
        unit="m",
        nominal=0.0,
        lower=-0.1,
        upper=0.1,
        setup=within(0.0005),
        shot=sd(0.0001),
        basis=Basis(Mark.ASSUMED, "the rig is measured from the surface"),
        shot_basis=Basis(Mark.ASSUMED, "ripples"),
    ),
    Quantity(
        key="pool.level_drift",
        meaning="rise of the surface with each frame",
        symbol="dz_p",
        unit="m",
        nominal=0.0,
        lower=-0.01,
        upper=0.01,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "a dish filled to its rim"),
    ),
    Quantity(
        key="pool.width",
        meaning="inner width of a round dish that is not full and rises with every drop",
        symbol="d_p",
        unit="m",
        nominal=None,
        lower=0.02,
        upper=5.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "a dish filled to its rim does not rise"),
        instead=("pool.level_drift",),
    ),
    Quantity(
        key="pool.depth",
        meaning="depth of the liquid in the dish",
        symbol="h_p",
        unit="m",
        nominal=0.040,
        lower=0.0005,
        upper=2.0,
        basis=Basis(Mark.ASSUMED, "a deep dish"),
    ),
)


class Landing(NamedTuple):
    """The surface and the drops' arrival at it."""

    surface: Array
    first_landing: Array
    impact_speed: Array
    second_landing: Array
    second_impact_speed: Array


def landing(
    *,
    pool_level: Array,
    pool_level_drift: float | None,
    pool_width: float | None,
    first_dose_nominal: float,
    second_dose_nominal: float,
    frame_number: Array,
    valve_nozzle_height: Array,
    first_diameter: Array,
    second_diameter: Array,
    first_fall: Fall,
    second_fall: Fall,
    first_wobble: Wobble | None,
    second_wobble: Wobble | None,
    first_release: Array,
    second_release: Array,
) -> Landing:
    """Return when the lower edge of each drop would reach the undisturbed surface.

    Waves left over from the frame before, what splashes out of the dish, and that the drops of an
    open reservoir shrink while they fill it, are neglected.

    Parameters
    ----------
    pool_level : array (s, n) [m]
        Surface above the datum at the session's start.
    pool_level_drift : float [m]
        Rise with each frame, or None where the dish's width is given.
    pool_width : float [m]
        Inner width of a round dish that keeps every drop, or None.
    first_dose_nominal : float [m3]
    second_dose_nominal : float [m3]
    frame_number : array (1, n) [1]
        Frames shot before this one.
    valve_nozzle_height : array (s, n) [m]
        Centre of the drop at release, above the datum.
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
    surface : array (s, n) [m]
    first_landing : array (s, n) [s]
    impact_speed : array (s, n) [m/s]
        Of the first drop.
    second_landing : array (s, n) [s]
        Of the second, were there no jet.
    second_impact_speed : array (s, n) [m/s]

    References
    ----------
    Closed form: the fall over the nozzle's height less the drop's half height; volume over area.
    """
    surface, rise = pool_level, pool_level_drift or 0.0
    if pool_width is not None:
        rise = (first_dose_nominal + second_dose_nominal) / (0.25 * np.pi * pool_width**2)
    if rise != 0.0:
        surface = pool_level + rise * frame_number
    drop_height = valve_nozzle_height - surface

    def arrival(fall: Fall, diameter: Array, wobble: Wobble | None) -> tuple[Array, Array]:
        """Return the time until a drop's lower edge is at the surface [s], and its speed [m/s]."""
        radius = 0.5 * diameter
        distance = np.maximum(drop_height - radius, 1e-6)
        for _ in range(ROUNDS if wobble is not None else 0):
            half = radius * stretch(wobble, fall_duration(fall, distance))
            distance = np.maximum(drop_height - half, 1e-6)
        return fall_arrival(fall, distance)

    first_taken, first_speed = arrival(first_fall, first_diameter, first_wobble)
    second_taken, second_speed = arrival(second_fall, second_diameter, second_wobble)
    return Landing(
        surface=surface,
        first_landing=first_release + first_taken,
        impact_speed=first_speed,
        second_landing=second_release + second_taken,
        second_impact_speed=second_speed,
    )


STAGE = Stage(name="landing", declares=DECLARES, work=landing)
