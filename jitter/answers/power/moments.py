"""What the light sees: how fast things move at its moment, how they blur, when its middle comes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.what_ifs import again
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stage import Events
from jitter.stages.camera import MOTION_WEIGHT, PAIR_WEIGHT
from jitter.stages.fall import fall_speed
from jitter.study.study import Study
from jitter.trial import Road, fire, single

ENDS = (0.1, 0.5, 0.9)
SETUPS, SHOTS = 2048, 4
"""Size of the sample that the bands come from."""


@dataclass(frozen=True)
class Speeds:
    """How fast things move across the view in the shot in which nothing strays [m/s].

    Attributes
    ----------
    rim
        The sheet's rim at the light; NaN where the light finds no sheet.
    drop
        The second drop as it meets the jet, or at the light where that comes before.
    tip
        The jet's tip at the light if no drop had met it; NaN where it does not stand.
    """

    rim: float
    drop: float
    tip: float


@dataclass(frozen=True)
class Band:
    """What 10, 50 and 90 in 100 stay below; NaN where there is nothing.

    Attributes
    ----------
    low, middle, high
        In SI.
    """

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Bands:
    """How the light strays over units and shots.

    Attributes
    ----------
    half, tenth
        t0.5 and t0.1 [s].
    rim
        Motion blur of the rim in frames whose age is in the wanted window [m].
    """

    half: Band
    tenth: Band
    rim: Band


def lag(nominal: Events) -> float:
    """Return the time from the flash command to the middle of the light [s]."""
    return single(nominal, "flash_time") - single(nominal, "flash_command")


def speeds(nominal: Events) -> Speeds:
    """Return how fast things move in a nominal shot.

    Parameters
    ----------
    nominal
        Its events.
    """
    light, meeting = single(nominal, "flash_time"), single(nominal, "meeting_time")
    seen = light if math.isnan(meeting) else min(light, meeting)
    emerges, peaks, gone = (single(nominal, f"jet_{end}") for end in ("emerges", "peaks", "gone"))
    bend = single(nominal, "jet_top") / (peaks - emerges) ** 2
    # Before the meeting and after the sheet is gone its radius is the drop's own.
    spread = single(nominal, "sheet_radius") > 0.5 * single(nominal, "second_diameter")
    falling = fall_speed(nominal["second_fall"], seen - nominal["second_release"])
    return Speeds(
        rim=single(nominal, "rim_speed") if spread else math.nan,
        drop=float(np.asarray(falling).item()),
        tip=abs(2.0 * bend * (light - peaks)) if emerges <= light <= gone else math.nan,
    )


def smear(nominal: Events, speed: float) -> float:
    """Return the disc on the camera's sensor of what moves at a speed across the view [m].

    Parameters
    ----------
    nominal
        Events of a nominal shot.
    speed
        Of what moves [m/s].
    """
    gap = PAIR_WEIGHT * single(nominal, "flash_gap")
    length = math.hypot(single(nominal, "flash_duration"), gap)
    return MOTION_WEIGHT * single(nominal, "magnification") * length * speed


def find_bands(road: Road, variants: Sequence[Study], *, seed: int, way: str) -> list[Bands]:
    """Return how the light of each variant strays.

    Parameters
    ----------
    road
        From `jitter.answers.what_ifs.open_wide`.
    variants
        The rig at each power.
    seed
        Of the streams.
    way
        As set by ruler or as trimmed.
    """
    layout = Layout(seed, SETUPS, SHOTS)
    firing = fire(road, Block(layout, 0, SETUPS, 0, SHOTS))
    low, high = road.study.window("keeper.age")
    found = []
    for variant in variants:
        events = getattr(again(road, firing, variant), way)
        age = events["age"]
        blur = np.broadcast_to(events["motion_blur"], age.shape)[(age >= low) & (age <= high)]
        found.append(
            Bands(
                half=_band(events["flash_half_duration"]),
                tenth=_band(events["flash_duration"]),
                rim=_band(blur),
            )
        )
    return found


def _band(values: Array) -> Band:
    if values.size == 0:
        return Band(math.nan, math.nan, math.nan)
    low, middle, high = (float(end) for end in np.quantile(values, ENDS))
    return Band(low, middle, high)
