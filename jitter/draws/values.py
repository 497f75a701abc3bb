"""From a study and a block of shots to the values that the stages read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.deviates import Deviates, draw_each, frame_numbers, frames
from jitter.draws.layout import Block
from jitter.draws.shapes import RARE, SMALLEST, error, reach
from jitter.draws.streams import Streams
from jitter.quantities import Kind, Level, Quantity, Shape, Spread, argument
from jitter.study.study import Entry, Study

Scales = Mapping[tuple[str, Level], float | Array]
"""What-if factors on spreads, by quantity and level; 1 where silent. On the spreads from shot to
shot they may be arrays (s, 1): each set-up has its own."""

UNSCALED: Scales = {}


def value(
    study: Study, key: str, deviates: Deviates, scales: Scales, *, spent: bool = False
) -> Any:
    """Return what the stages read for one key.

    Parameters
    ----------
    study
        Nominals and spreads.
    key
        ``section.key``.
    deviates
        The block's deviates.
    scales
        What-if factors.
    spent
        Whether the deviates from shot to shot have served, so that the value may take their place.

    Returns
    -------
    array, float, pair, str or None
        By the declaration's kind: see `jitter.quantities.Kind`.
    """
    entry = study.entries[key]
    declared = entry.declaration
    if not isinstance(declared, Quantity) or entry.nominal is None:
        return entry.nominal
    if declared.kind is Kind.SETTING:
        return entry.number
    nominal = entry.number
    setup_scale, shot_scale, stretch = _factors(scales, key) if scales else (1.0, 1.0, 1.0)
    shot = deviates.shot.get(key)
    drift = entry.drift * deviates.frame_number if entry.drift != 0.0 else None
    if declared.kind is Kind.CHANCE:
        chance = nominal if drift is None else np.clip(nominal + drift, 0.0, 1.0)
        return np.zeros((1, 1), dtype=bool) if shot is None else shot < chance * shot_scale
    if declared.kind is Kind.TICK:
        return np.zeros((1, 1)) if shot is None else (nominal * shot_scale) * shot
    lower, total = declared.lower, np.full(declared.lead, nominal + entry.offset)
    stands = deviates.setup.get(key)
    if stands is not None:
        total = total + error(entry.setup, stands, scale=setup_scale, nominal=nominal, lower=lower)
    if shot is not None:
        # The errors are an array of our own: add what the set-up fixes in place.
        strays = error(
            entry.shot,
            shot,
            scale=shot_scale,
            nominal=nominal,
            lower=lower,
            out=shot if spent else None,
        )
        if stands is not None or nominal + entry.offset != 0.0:
            strays += total
        total = strays
    if drift is not None:
        total = total + drift
    walked = 1.0 if drift is None else frames(study)
    low, high = entry_reach(entry, tail=SMALLEST, stretch=stretch, frames=walked)
    if low < lower or high > declared.upper:
        np.clip(total, lower, declared.upper, out=total)
    if declared.per_drop and total.shape[0] == 1:
        total = np.concatenate([total, total])
    if declared.per_axis and total.shape[-3] == 1:
        total = np.concatenate([total, total], axis=-3)
    return total


def _factors(scales: Scales, key: str) -> tuple[float | Array, float | Array, float]:
    """Return the factors on a quantity's spreads, set-up and shot, and the largest, 1 or more."""
    setup, shot = (scales.get((key, level), 1.0) for level in (Level.SETUP, Level.SHOT))
    return setup, shot, max(1.0, float(np.max(setup)), float(np.max(shot)))


def values(study: Study, deviates: Deviates, scales: Scales = UNSCALED) -> dict[str, Any]:
    """Return what the stages read for every key that was drawn, by argument.

    Parameters
    ----------
    study
        Nominals and spreads.
    deviates
        The block's deviates.
    scales
        What-if factors.
    """
    drawn = dict.fromkeys((*deviates.setup, *deviates.shot, *study.drifting))
    made = {argument(key): value(study, key, deviates, scales) for key in drawn}
    made["frame_number"] = deviates.frame_number
    return made


def draw_values(study: Study, block: Block, *, trimming: bool = False) -> dict[str, Any]:
    """Draw a block and return what the stages read, as `values` of `draw` does, in less room.

    Each quantity is worked as it is drawn, in the memory of its deviates.

    Parameters
    ----------
    study
        Nominals and spreads.
    block
        Which set-ups and shots.
    trimming
        Whether these are the frames shot to trim.
    """
    number = np.zeros((1, 1)) if trimming else frame_numbers(study, block)
    numbers, made = Streams(block.layout.seed), {"frame_number": number}
    keys = dict.fromkeys((*study.straying, *study.drifting))
    for key, stands, strays in draw_each(study, block, numbers, keys, trimming=trimming):
        setup = {} if stands is None else {key: stands}
        shot = {} if strays is None else {key: strays}
        deviates = Deviates(setup=setup, shot=shot, frame_number=number)
        if setup or shot or key in study.drifting:
            made[argument(key)] = value(study, key, deviates, UNSCALED, spent=True)
    return made


def fixed_values(study: Study) -> dict[str, Any]:
    """Return what the stages read for every key as long as nothing strays, by argument.

    The nominal of every number is there too, under its argument's name with ``_nominal`` added.
    """
    still = Deviates(setup={}, shot={}, frame_number=np.zeros((1, 1)))
    made = {argument(key): value(study, key, still, UNSCALED) for key in study.entries}
    made["frame_number"] = still.frame_number
    made["delay_correction"] = np.zeros((1, 1))
    return made | nominals(study)


def nominals(study: Study) -> dict[str, float]:
    """Return the nominal of every number under its argument's name with ``_nominal`` added."""
    return {
        f"{argument(key)}_nominal": entry.number
        for key, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity) and entry.nominal is not None
    }


def entry_reach(
    entry: Entry, *, tail: float = RARE, stretch: float = 1.0, frames: float = 1.0
) -> tuple[float, float]:
    """Return the smallest and largest value of a number, but for a tail of draws at either end.

    Parameters
    ----------
    entry
        The number; None has no ends.
    tail
        Share of the draws of each level beyond either end.
    stretch
        What-if factor on its spreads, 1 or more.
    frames
        Of a session, over which it may drift.
    """
    declared = entry.declaration
    if not isinstance(declared, Quantity) or entry.nominal is None:
        return -math.inf, math.inf
    low, high = _strays(
        entry.setup, entry.shot, entry.number, declared.lower, tail=tail, stretch=stretch
    )
    walked = entry.drift * (frames - 1.0)
    return (
        entry.number + entry.offset + low + min(walked, 0.0),
        entry.number + entry.offset + high + max(walked, 0.0),
    )


@lru_cache(maxsize=4096)
def _strays(
    setup: Spread, shot: Spread, nominal: float, lower: float, *, tail: float, stretch: float
) -> tuple[float, float]:
    """Return the smallest and largest error of both levels together, but for tails."""
    ends = [
        reach(
            spread if stretch == 1.0 else replace(spread, size=stretch * spread.size),
            nominal=nominal,
            lower=lower,
            tail=tail,
        )
        for spread in (setup, shot)
        if spread.shape is not Shape.NONE
    ]
    return sum(low for low, _ in ends), sum(high for _, high in ends)


def reaches(study: Study) -> dict[str, Any]:
    """Return, by argument, the ends of every number within its limits, and every other value.

    For the stages that prepare a table before the first shot.
    """
    ends: dict[str, Any] = {}
    for key, entry in study.entries.items():
        declared = entry.declaration
        if isinstance(declared, Quantity):
            low, high = entry_reach(entry, frames=frames(study))
            held = (max(low, declared.lower), min(high, declared.upper))
            ends[argument(key)] = None if entry.nominal is None else held
        else:
            ends[argument(key)] = entry.nominal
    return ends | nominals(study)
