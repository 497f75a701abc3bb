"""The meeting: when, how fast and how squarely the second drop strikes the jet's tip."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.stage import Stage
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import Fall, fall_state
from jitter.stages.wobble import ROUNDS, Wobble, stretch


class Meeting(NamedTuple):
    """The meeting of drop and jet."""

    jet_stands: Flags
    off_centre: Array
    meeting_time: Array
    closing_speed: Array


def meeting(
    *,
    surface: Array,
    valve_nozzle_height: Array,
    valve_scatter: Array,
    jet_lean: Array,
    jet_head_ratio: Array,
    first_diameter: Array,
    second_diameter: Array,
    second_fall: Fall,
    second_wobble: Wobble | None,
    second_release: Array,
    second_landing: Array,
    second_impact_speed: Array,
    jet_emerges: Array,
    jet_peaks: Array,
    jet_gone: Array,
    jet_top: Array,
) -> Meeting:
    """Return when the second drop's lower edge is at the jet's tip, and how they strike.

    The jet stands if the drop would reach the undisturbed surface after it emerges and before it
    is gone. The time is found from the landing backwards: a parabola for the drop meets the
    parabola of the tip in closed form, and one step of Newton's puts the drop's true fall in, some
    more its true shape where it oscillates.
    The jet's shape below its tip and the wind before the drop are neglected.

    Parameters
    ----------
    surface : array (s, n) [m]
    valve_nozzle_height : array (s, n) [m]
    valve_scatter : array (2, 2, s, n) [m]
        Landing places (x, y) of the two drops.
    jet_lean : array (2, s, n) [m]
        Sideways error (x, y) of the tip from the place where the first drop landed.
    jet_head_ratio : array (s, n) [1]
        Width of the jet's head over the first drop's diameter.
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    second_fall
    second_wobble
        None for round drops.
    second_release : array (s, n) [s]
    second_landing : array (s, n) [s]
    second_impact_speed : array (s, n) [m/s]
    jet_emerges : array (s, n) [s]
    jet_peaks : array (s, n) [s]
    jet_gone : array (s, n) [s]
    jet_top : array (s, n) [m]

    Returns
    -------
    jet_stands : array (s, n) of bool
        Whether the drop arrives while there is a jet.
    off_centre : array (s, n) [1]
        B, twice the sideways distance over the sum of the diameters; from 1 on the drop passes
        aside.
    meeting_time : array (s, n) [s]
        NaN where they do not meet.
    closing_speed : array (s, n) [m/s]
        Of drop and tip towards each other.

    References
    ----------
    Closed form: where the drop's lower edge and the tip's parabola of `jitter.stages.jet` meet.
    """
    across = valve_scatter[1, 0] - valve_scatter[0, 0] - jet_lean[0]
    along = valve_scatter[1, 1] - valve_scatter[0, 1] - jet_lean[1]
    radius = 0.5 * second_diameter
    off_centre = np.sqrt(across**2 + along**2) / (radius + (0.5 * jet_head_ratio) * first_diameter)

    stands = (second_landing > jet_emerges) & (second_landing <= jet_gone)
    half_life = jet_peaks - jet_emerges
    bend = jet_top / half_life**2
    past_peak = second_landing - jet_peaks
    slowing = bend * past_peak
    # Heights above the surface, a time u before the landing: drop v u - g u²/2, tip
    # H - bend (past_peak - u)². Their first contact is the root nearest the landing.
    constant = slowing * past_peak - jet_top
    half_linear = 0.5 * second_impact_speed - slowing
    square = bend - 0.5 * GRAVITY
    discriminant = np.maximum(half_linear**2 - square * constant, 0.0)
    # Where no jet stands these mean nothing, and the sum may vanish.
    rate = np.maximum(half_linear + np.sqrt(discriminant), 1e-9)
    time = second_landing + np.where(stands, constant / rate, 0.0)

    for _ in range(ROUNDS if second_wobble is not None else 1):
        elapsed = time - second_release
        half = radius * stretch(second_wobble, elapsed)
        from_peak = time - jet_peaks
        slowing = bend * from_peak
        fallen, speed = fall_state(second_fall, elapsed)
        closing = speed - 2.0 * slowing
        gap = valve_nozzle_height - surface - half - fallen - jet_top + slowing * from_peak
        # Where no jet stands there is nothing to find.
        time = time + np.where(stands, gap / closing, 0.0)
    met = stands & (off_centre < 1.0)
    return Meeting(
        jet_stands=stands,
        off_centre=off_centre,
        meeting_time=np.where(met, time, np.nan),
        closing_speed=closing,
    )


STAGE = Stage(name="meeting", work=meeting)
