"""A rig at several delays: fired once, and for each delay only what follows the timer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout, blocks
from jitter.draws.values import UNSCALED, Deviates, draw, value, values
from jitter.quantities import Quantity, argument
from jitter.stage import Chain, Events, Stage, walk
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Road, open_road

DELAY = "timer.delay"
OFFSETS = (-0.375, -0.25, -0.125, 0.0, 0.125, 0.25, 0.375)
"""Where delays are tried unless told: about the one that brings the middle age to the middle of the
window, in widths of the window."""


@dataclass(frozen=True)
class DelayCurve:
    """Keepers of a rig at several delays, all else alike.

    Attributes
    ----------
    study
        The rig; its own delay is not among them.
    shots
        Of each set-up.
    delays : array (k,) [s]
        Rising.
    as_set : array (k, s)
        Keepers of each set-up as set by ruler.
    as_trimmed : array (s,)
        Keepers of each set-up as trimmed from the middle one of the delays.
    """

    study: Study
    shots: int
    delays: Array
    as_set: NDArray[np.int32]
    as_trimmed: NDArray[np.int32]

    @property
    def best(self) -> int:
        """Place of the delay with most keepers as set by ruler."""
        return int(np.argmax(self.as_set.sum(axis=1)))

    @property
    def delay(self) -> float:
        """The delay with most keepers as set by ruler [s]."""
        return float(self.delays[self.best])

    def shares(self, way: str) -> Array:
        """Return the share of keepers of each set-up at the best delay, (s,)."""
        kept = self.as_set[self.best] if way == "as_set" else self.as_trimmed
        shares: Array = kept / self.shots
        return shares


@dataclass(frozen=True)
class _Fired:
    """A block's draws and events at the study's own delay."""

    deviates: Deviates
    trimming_deviates: Deviates
    shot: Events
    aim: Events


def delay_curve(
    study: Study, chain: Chain, layout: Layout, *, delays: Sequence[float] | None = None
) -> DelayCurve:
    """Fire a study and count its keepers at several delays, on the same draws.

    Parameters
    ----------
    study
        The rig, or a variant of it.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots.
    delays
        Rising [s]; where None, `OFFSETS` about the delay that suits the median age. In a rig whose
        frames have no age, its own.

    Returns
    -------
    DelayCurve
    """
    road = open_road(study, chain)
    tried = None if delays is None else np.asarray(delays, dtype=np.float64)
    as_set: list[NDArray[np.int32]] = []
    as_trimmed: list[NDArray[np.int32]] = []
    for block in blocks(layout):
        fired = _fire(road, block)
        if tried is None:
            tried = _suited(study, np.asarray(fired.shot["age"]))
        rows = []
        for place, delay in enumerate(tried):
            shot = _at(road, road.shot, fired.shot, fired.deviates, float(delay))
            rows.append(_keepers(shot, block))
            if place == len(tried) // 2:
                as_trimmed.append(_keepers(_trim(road, fired, shot, float(delay)), block))
        as_set.append(np.stack(rows))
    if tried is None:
        raise ValueError("a layout without shots has no delays")
    return DelayCurve(
        study,
        layout.shots,
        tried,
        _gathered(as_set, layout),
        _gathered([kept[None, :] for kept in as_trimmed], layout)[0],
    )


def _fire(road: Road, block: Block) -> _Fired:
    deviates = draw(road.study, block)
    trimming = draw(road.study, block, trimming=True)
    return _Fired(
        deviates,
        trimming,
        walk(road.shot, {**road.fixed, **values(road.study, deviates)}),
        walk(road.aim, {**road.fixed, **values(road.study, trimming)}),
    )


def _suited(study: Study, age: Array) -> Array:
    """Return delays about the one that brings the median age to the middle of the window."""
    entry, (low, high) = study.entries[DELAY], study.window("keeper.age")
    told = age[~np.isnan(age)]
    if not told.size:
        return np.array([entry.number])
    middle = entry.number + 0.5 * (low + high) - float(np.median(told))
    declared = entry.declaration
    least = declared.lower if isinstance(declared, Quantity) else 0.0
    return np.unique(np.maximum(middle + (high - low) * np.array(OFFSETS), least))


def _at(
    road: Road, stages: Sequence[Stage], events: Events, deviates: Deviates, delay: float
) -> Events:
    """Return events with another delay; only what follows from it is worked."""
    variant = with_values(road.study, {DELAY: delay})
    name = argument(DELAY)
    return walk(stages, events | {name: value(variant, DELAY, deviates, UNSCALED)}, {name})


def _trim(road: Road, fired: _Fired, shot: Events, delay: float) -> Events:
    """Return the shots at a delay as trimmed from there."""
    aim = _at(road, road.aim, fired.aim, fired.trimming_deviates, delay)
    moved = walk([road.chain.trimming], aim)
    corrected = shot | {"delay_correction": moved["delay_correction"]}
    return walk(road.shot, corrected, {"delay_correction"})


def _keepers(events: Events, block: Block) -> NDArray[np.int32]:
    kept = np.broadcast_to(events["reason"] == KEEPER, (block.setups, block.shots))
    counted: NDArray[np.int32] = kept.sum(axis=1, dtype=np.int32)
    return counted


def _gathered(parts: list[NDArray[np.int32]], layout: Layout) -> NDArray[np.int32]:
    """Return the keepers of whole set-ups, of which a block may hold a part."""
    whole = np.zeros((parts[0].shape[0], layout.setups), dtype=np.int32)
    for block, part in zip(blocks(layout), parts, strict=True):
        whole[:, block.first_setup : block.first_setup + block.setups] += part
    return whole
