"""How large the drops of the independent simulation are, as the bottle empties into the dish.

Nothing is imported from the package. SI units.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tests.independent_liquids import GRAVITY
from tests.independent_rig import Array, Values


class Drops(NamedTuple):
    """Diameters of both drops, and how far the dish has risen by the frame."""

    diameter: Array
    risen: Array


def doses(q: Values, density: Array, nominal_head: float) -> Array:
    """Return the volumes at the nominal head, as a rig states them: open times, masses, volumes."""
    if "valve_opening" in q:
        # What leaves a hole has the speed of a free fall from the liquid's top.
        speed = GRAVITY * np.sqrt(2 * nominal_head / GRAVITY)
        hole = np.pi * (q["valve_orifice"] / 2) ** 2
        flow = q["valve_flow"] if "valve_flow" in q else hole * speed * q["valve_discharge"]
        return np.asarray((q["valve_opening"] - q["valve_dead_time"]) * flow)
    if "valve_mass" in q:
        return np.asarray(q["valve_mass"] / density / q["valve_weighed_drops"])
    return q["valve_volume"]


def drip(
    dose: Array, q: Values, frames: Array, nominal_head: float, *, constant_head: bool
) -> Drops:
    """Let the level in the reservoir fall, and that in the dish rise, drop by drop.

    The levels go by the mean drop of a set-up; what a single drop strays from it is forgotten.

    Parameters
    ----------
    dose : array (2, s, n)
        Volumes at the nominal head.
    q
        Values.
    frames : array (n,)
        Frames shot before each shot.
    nominal_head : float
        For which the doses hold.
    constant_head : bool
        Whether an air tube keeps it.
    """
    dose = np.broadcast_to(dose, (2, dose.shape[-2], len(frames)))
    usual = dose.mean(axis=-1, keepdims=True)
    head = np.broadcast_to(q["reservoir_head"].mean(axis=-1, keepdims=True), usual[0].shape)
    bottle = np.pi * q["reservoir_bore"].mean(axis=-1, keepdims=True) ** 2 / 4
    flow, poured = np.empty_like(dose), np.zeros(dose[0].shape)
    total = np.zeros_like(head)
    for frame in range(int(frames.max()) + 1):
        seen = frames == frame
        poured[:, seen] = total
        for drop in range(2):
            # Torricelli: what a valve lets through goes with the root of the head.
            pace = np.sqrt(head / nominal_head)
            flow[drop][:, seen] = pace
            total = total + usual[drop] * pace
            if not constant_head:
                head = head - usual[drop] * pace / bottle
    risen = q["pool_level_drift"] * frames
    if "pool_width" in q:
        risen = poured / (np.pi * q["pool_width"] ** 2 / 4)
    return Drops(np.cbrt(6 / np.pi * dose * flow), risen)
