"""What a frame of the independent simulation is called, and what can be measured in it.

Nothing is imported from the package. The words are told from what is seen, one question after the
other: is there light, have drop and jet met, what is wrong with the sheet, what stands there else.
SI units; (memory): not read in the source.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.independent_fall import Fall, Swing
from tests.independent_rig import Array, Values

Flags = NDArray[np.bool_]
CALLED = {"early": "umbrella early", "late": "umbrella late"}
"""Where the word for a sheet is not the fault's own."""
FEWEST_STOPS = -4
LEAST_WEBER = 60
LEAST_SPREAD = 1.5


class Drop(NamedTuple):
    """A drop on its way, and how far the surface is below the nozzle."""

    fall: Fall
    swing: Swing | None
    release: Array
    landing: Array
    depth: Array

    def above(self, moment: Array) -> Array:
        """Return how far its lower edge is above the surface; NaN where it is not in the air."""
        since = np.nan_to_num(moment - self.release)
        since = np.clip(since, 0, self.landing - self.release)
        speed = self.fall.speed_after(since, distance=False)
        half = self.fall.diameter / 2 if self.swing is None else self.swing.height(since)
        flying = (moment > self.release) & (moment < self.landing)
        return np.where(flying, self.depth - half - self.fall.reach(speed)[1], np.nan)


class Jet(NamedTuple):
    """When the jet emerges and peaks, and how high."""

    emerges: Array
    peaks: Array
    top: Array

    def tip(self, moment: Array) -> Array:
        """Return how high its tip is; NaN where there is none."""
        share = (moment - self.emerges) / (self.peaks - self.emerges)
        return np.where((share >= 0) & (share <= 2), self.top * share * (2 - share), np.nan)


class Spread(NamedTuple):
    """The sheet: the drop's diameter, the meeting's Weber number, the radius, and if it lives."""

    size: Array
    weber: Array
    radius: Array
    alive: Flags


def spread(q: Values, fall: Fall, closing: Array, off_centre: Array, age: Array) -> Spread:
    """Return how far the sheet has spread (Villermaux & Bossa 2011, memory).

    Time is counted in the life of the sheet here: it grows for a third of it, and is gone.
    """
    size = fall.diameter
    weber = fall.density * closing**2 * size / fall.surface_tension
    square = weber * np.maximum(1 - off_centre**2, 0)
    life = 2 / math.sqrt(3) * np.sqrt(fall.density * size**3 / (6 * fall.surface_tension))
    lived = age / life
    share = np.clip(np.nan_to_num(lived), 0, 1)
    grown = 2 / math.sqrt(3) * share * (1 - share) ** 2
    radius = size / 2 * (1 + q["sheet_spread_scale"] * np.sqrt(square) * grown)
    return Spread(size, weber, radius, (lived >= 0) & (lived < 1))


def look(
    q: Values, drops: tuple[Drop, Drop], jet: Jet, sheet: Spread, taken: dict[str, Any]
) -> dict[str, Any]:
    """Return the word for every frame, and what can be measured in it.

    Parameters
    ----------
    q : dict
        Values.
    drops, jet, sheet
        What may stand in the frame.
    taken : dict
        The picture: moment and strength of the light, age, double edges, what is wrong with it.
    """
    fault, age = taken["fault"], taken["age"]
    lit = np.isfinite(taken["light_time"]) & (np.log2(taken["exposure"]) >= FEWEST_STOPS)
    before = lit & ~(age >= 0)
    opened, without = lit & sheet.alive, lit & ~sheet.alive
    high = q["camera_frame_height"] if "camera_frame_height" in q else q["camera_frame_width"] / 1.5
    shown = high * (1 - q["camera_surface_place"]) / taken["magnification"]
    lows = [drop.above(taken["light_time"]) for drop in drops]
    # Of two drops in the frame the lower one; a second drop that has met the jet is none any more.
    low = np.fmin(*(np.where(before & (low < shown), low, np.nan) for low in lows))
    # What the meeting does to the jet is neglected: it falls back when the sheet is gone.
    tip = np.where(without, jet.tip(taken["light_time"]), np.nan)
    flying, standing = np.isfinite(low), np.isfinite(tip)
    small = (fault == "early") & (2 * sheet.radius < LEAST_SPREAD * sheet.size)
    doubled = (fault == "smeared") & (taken["edge_gap"] > q["keeper_blur"])
    sheets: list[tuple[Flags, Any]] = [
        (small | (sheet.weber < LEAST_WEBER), "merged without a sheet"),
        (doubled, "two images"),
        *((fault == name, CALLED.get(name, name)) for name in np.unique(fault)),
    ]
    asked = [(fault == "keeper", "keeper"), (~lit, "dark")]
    asked += [(opened & there, word) for there, word in sheets]
    asked += [
        (flying & standing, "drop above the column"),
        (flying, "one drop in the air"),
        (standing, "column only"),
    ]
    cases, words = zip(*asked, strict=True)
    across = q["valve_scatter"][0, 1] - q["valve_scatter"][0, 0] - q["jet_lean"][0]
    return {
        "look": np.select(list(np.broadcast_arrays(*cases)), words, default="nothing there"),
        "drop_height": low,
        "tip_height": tip,
        "gap": low - tip,
        "sheet_width": np.where(opened, 2 * sheet.radius, np.nan),
        "side": np.where(opened | (flying & standing), across, np.nan),
        "meeting_height": np.where(opened, jet.tip(taken["meeting_time"]), np.nan),
    }
