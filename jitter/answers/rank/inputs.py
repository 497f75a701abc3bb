"""The independent inputs of a frame, and two sets of draws that can be mixed input by input.

A frame stands alone here, the one shot of a set-up of its own, so that all its inputs are
independent: every spread, the errors of the frames shot to trim, and, where something drifts, the
frame's place in the session. Draws that a study makes alike are one input: neither can be drawn
anew without the other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.ranking import Source, sources
from jitter.answers.session import drifts
from jitter.arrays import Array
from jitter.draws.deviates import Deviates, Numbers, draw, frames
from jitter.draws.layout import Block
from jitter.draws.streams import Streams
from jitter.quantities import Level, Quantity, Shape
from jitter.study.study import Study

SETUP, SHOT, TRIMMING, PLACE = "setup", "shot", "trimming", "place"

Slot = tuple[str, str]
"""Where a draw is used, one of the four above, and its key."""
Draws = dict[Slot, Array]
"""Deviates of frames by slot; the frames are the last axis but one."""

TRIMMING_FRAMES = "trimming frames"
SESSION = "place in the session"


@dataclass(frozen=True)
class Input:
    """What can be drawn anew while all else stays.

    Attributes
    ----------
    name
        Its keys, or what it is where it has none.
    level
        Set-up or shot: trimming frames are shot once per set-up.
    slots
        Its draws.
    source
        The spread; None where it is none that could be mended.
    """

    name: str
    level: Level
    slots: tuple[Slot, ...]
    source: Source | None

    @property
    def lasts(self) -> bool:
        """Whether it stays as it is for all frames of a set-up."""
        return all(where in (SETUP, TRIMMING) for where, _ in self.slots)


def inputs(study: Study) -> tuple[Input, ...]:
    """Return every independent input of a study's frame, in the order of its declarations.

    Parameters
    ----------
    study
        The rig.
    """
    found = [_of(source) for source in _joined(study)]
    own = [
        (TRIMMING, key)
        for key, entry in study.entries.items()
        if not key.startswith("trim.") and entry.each_shot.shape is not Shape.NONE
    ]
    found.append(Input(TRIMMING_FRAMES, Level.SETUP, tuple(own), None))
    if drifts(study):
        found.append(Input(SESSION, Level.SHOT, ((PLACE, ""),), None))
    return tuple(found)


def _of(source: Source) -> Input:
    where = SETUP if source.level is Level.SETUP else SHOT
    slots = [
        (TRIMMING if key.startswith("trim.") and where == SHOT else where, key)
        for key in source.keys
    ]
    return Input(" and ".join(source.keys), source.level, tuple(slots), source)


def _joined(study: Study) -> list[Source]:
    """Return the spreads of a study, those of which the draws are alike as one."""
    found: dict[str, Source] = {}
    for source in sources(study):
        (first, *_) = source.keys
        entry = study.entries[first]
        declared = entry.declaration
        together = declared.together if isinstance(declared, Quantity) else ""
        likened = source.level is Level.SHOT and together and _are_alike(study, together)
        name = f"{together if likened else first} {source.level}"
        if name in found:
            same = found[name]
            found[name] = Source(
                (*same.keys, *source.keys),
                same.level,
                same.spread,
                same.unit,
                f"{same.meaning}, {source.meaning}",
            )
        else:
            found[name] = source
    return list(found.values())


def _are_alike(study: Study, together: str) -> bool:
    return any(
        entry.alike > 0.0
        for entry in study.entries.values()
        if isinstance(entry.declaration, Quantity) and entry.declaration.together == together
    )


def joint(members: Iterable[Input], *, name: str) -> Input:
    """Return several inputs as one, drawn anew together."""
    chosen = tuple(members)
    slots = tuple(slot for member in chosen for slot in member.slots)
    return Input(name, chosen[0].level, slots, None)


def second_seed(seed: int) -> int:
    """Return the seed of the second set of draws, made from the study's own."""
    return int.from_bytes(hashlib.sha256(f"{seed} drawn anew".encode()).digest()[:8], "little")


def draw_frames(study: Study, block: Block, *, source: Numbers | None = None) -> Draws:
    """Draw everything that a block of frames, each in a set-up of its own, depends on.

    Parameters
    ----------
    study
        The rig.
    block
        One shot in each set-up.
    source
        Where the uniform numbers come from, if not from random streams.
    """
    numbers = Streams(block.layout.seed) if source is None else source
    own = draw(study, block, source=numbers)
    trimming = draw(study, block, trimming=True, source=numbers)
    drawn: Draws = {(SETUP, key): array for key, array in own.setup.items()}
    drawn |= {(SHOT, key): array for key, array in own.shot.items()}
    drawn |= {(TRIMMING, key): array for key, array in trimming.shot.items()}
    place = np.zeros((block.setups, 1))
    if drifts(study):
        numbers.fill(place, SESSION, first=block.first_setup)
        place = np.floor(place * frames(study))
    drawn[PLACE, ""] = place
    return drawn


def deviates(drawn: Draws) -> tuple[Deviates, Deviates]:
    """Return the deviates of frames and of the frames shot to trim their set-ups."""

    def used(where: str) -> Mapping[str, Array]:
        return {key: array for (place, key), array in drawn.items() if place == where}

    return (
        Deviates(used(SETUP), used(SHOT), drawn[PLACE, ""]),
        Deviates(used(SETUP), used(TRIMMING), np.zeros((1, 1))),
    )


def swapped(base: Draws, other: Draws, one: Input) -> Draws:
    """Return draws in which one input is taken from another set."""
    return base | {slot: other[slot] for slot in one.slots}


def rows_of(drawn: Draws, rows: NDArray[np.int64]) -> Draws:
    """Return the draws of some frames."""
    return {slot: array[..., rows, :] for slot, array in drawn.items()}
