"""The deviates of a block of shots: what its sources of numbers drew for each spread."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.arrays import Array
from jitter.draws.layout import Block
from jitter.draws.shapes import LARGEST, SMALLEST, deviate
from jitter.draws.streams import Streams
from jitter.quantities import Level, Quantity, Shape
from jitter.study.study import Study


class Numbers(Protocol):
    """Where numbers come from: `jitter.draws.streams.Streams`, or points."""

    def fill(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array with the uniform numbers of a source, from a place in its stream on."""

    def fill_scores(self, out: Array, name: str, *, first: int) -> None:
        """Fill an array with the standard normal scores of the same numbers."""


@dataclass(frozen=True)
class Deviates:
    """The deviates of a block of shots, from which the values of every what-if are made.

    Attributes
    ----------
    setup
        By quantity: array (s, 1), or (2, s, 1) per axis.
    shot
        By quantity: array (s, n), with leading axes per drop and per axis.
    frame_number : array (1, n) [1]
        Frames of the set-up that were shot before each shot.
    """

    setup: Mapping[str, Array]
    shot: Mapping[str, Array]
    frame_number: Array


def _piece(
    numbers: Numbers,
    name: str,
    shape: Shape,
    *,
    first: int,
    size: tuple[int, int],
    axes: tuple[int, ...],
) -> Array:
    """Return deviates with leading axes, each index of which has a stream of its own."""
    if shape in (Shape.NORMAL, Shape.LOGNORMAL):
        scores = np.empty((*axes, *size))
        for index, stream in _streams(name, axes):
            numbers.fill_scores(scores[index], stream, first=first)
        return scores
    return deviate(shape, _uniform(numbers, name, first=first, size=size, axes=axes))


@lru_cache(maxsize=1024)
def _streams(name: str, axes: tuple[int, ...]) -> tuple[tuple[tuple[int, ...], str], ...]:
    """Return the stream at each index of the leading axes."""
    return tuple(
        (index, " ".join([name, *(str(place) for place in index)])) for index in np.ndindex(axes)
    )


def _uniform(
    numbers: Numbers, name: str, *, first: int, size: tuple[int, int], axes: tuple[int, ...]
) -> Array:
    filled = np.empty((*axes, *size))
    for index, stream in _streams(name, axes):
        numbers.fill(filled[index], stream, first=first)
    return filled


def _likened(first: Array, second: Array, alike: float) -> Array:
    """Return uniform numbers whose normal scores are correlated with those of the first."""
    own = np.sqrt(1.0 - alike * alike)
    scores = [ndtri(np.maximum(numbers, SMALLEST)) for numbers in (first, second)]
    # Held below 1, as every uniform number is: rounding would make a deviate infinite.
    likened: Array = np.minimum(ndtr(alike * scores[0] + own * scores[1]), LARGEST)
    return likened


def _shot_piece(
    numbers: Numbers,
    study: Study,
    key: str,
    shape: Shape,
    *,
    level: str,
    first: int,
    size: tuple[int, int],
) -> Array:
    """Return the shot deviates of a quantity, those of the two drops as alike as it says."""
    entry = study.entries[key]
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{key} is no number")
    axes, name = (2,) * (declared.per_drop + declared.per_axis), f"{key} {level}"
    if entry.alike == 0.0:
        return _piece(numbers, name, shape, first=first, size=size, axes=axes)
    uniform = _uniform(numbers, name, first=first, size=size, axes=axes)
    if declared.per_drop:
        uniform[1] = _likened(uniform[0], uniform[1], entry.alike)
    else:
        partner = _partner(study, declared.together)
        if partner != key:
            theirs = _uniform(numbers, f"{partner} {level}", first=first, size=size, axes=axes)
            uniform = _likened(theirs, uniform, entry.alike)
    return deviate(shape, uniform)


def _partner(study: Study, together: str) -> str:
    """Return the first of the quantities that belong together."""
    for key, entry in study.entries.items():
        declared = entry.declaration
        if isinstance(declared, Quantity) and declared.together == together:
            return key
    raise KeyError(together)


def draw(
    study: Study,
    block: Block,
    *,
    trimming: bool = False,
    trimmed_at: float = 0.0,
    source: Numbers | None = None,
    keys: Iterable[str] | None = None,
) -> Deviates:
    """Draw the deviates of a block.

    Parameters
    ----------
    study
        Which quantities stray.
    block
        Which set-ups and shots.
    trimming
        Whether these are the frames shot to trim, which have streams of their own; the block's
        set-ups then count, not its shots.
    trimmed_at
        Frames of the set-up that were shot before the trimming.
    source
        Where the uniform numbers come from, if not from random streams.
    keys
        Only these quantities; all where None.

    Returns
    -------
    Deviates
    """
    setup: dict[str, Array] = {}
    shot: dict[str, Array] = {}
    numbers = Streams(block.layout.seed) if source is None else source
    chosen = study.straying if keys is None else keys
    for key, stands, strays in draw_each(study, block, numbers, chosen, trimming=trimming):
        if stands is not None:
            setup[key] = stands
        if strays is not None:
            shot[key] = strays
    number = np.full((1, 1), trimmed_at) if trimming else frame_numbers(study, block)
    return Deviates(setup=setup, shot=shot, frame_number=number)


def draw_each(
    study: Study, block: Block, numbers: Numbers, keys: Iterable[str], *, trimming: bool
) -> Iterator[tuple[str, Array | None, Array | None]]:
    """Yield the deviates of one quantity after the other: key, set-up level, shot level.

    Parameters
    ----------
    study
        Which quantities stray.
    block
        Which set-ups and shots.
    numbers
        Where the uniform numbers come from.
    keys
        Of the quantities.
    trimming
        Whether these are the frames shot to trim.
    """
    rows = block.setups
    if trimming:
        columns = int(study.number("trim.frames"))
        first, level = block.first_setup * columns, "trimming"
    else:
        columns, first, level = block.shots, block.first, Level.SHOT.value
    for key in keys:
        entry = study.entries[key]
        declared = entry.declaration
        if not isinstance(declared, Quantity):
            continue
        axes = (2,) if declared.per_axis else ()
        stands = strays = None
        if entry.setup.shape is not Shape.NONE:
            name = f"{declared.together or key} {Level.SETUP.value}"
            stands = _piece(
                numbers,
                name,
                entry.setup.shape,
                first=block.first_setup,
                size=(rows, 1),
                axes=axes,
            )
        spread = entry.each_shot
        wanted = trimming or not key.startswith("trim.")
        if spread.shape is not Shape.NONE and wanted:
            strays = _shot_piece(
                numbers,
                study,
                key,
                spread.shape,
                level=level,
                first=first,
                size=(rows, columns),
            )
        yield key, stands, strays


def frame_numbers(study: Study, block: Block) -> Array:
    """Return how many frames of the set-up were shot before each shot of a block, (1, n) [1].

    The simulated shots are spread evenly over the session, however many there are.
    """
    progress = (block.first_shot + np.arange(block.shots)[None, :]) / block.layout.shots
    # A hair more than nothing, so that a border that is exact in decimals is not missed.
    numbers: Array = np.floor(progress * frames(study) + 1e-9)
    return numbers


def frames(study: Study) -> float:
    """Return how many frames a session has; 1 in a chain that knows no sessions."""
    return study.number("session.frames") if "session.frames" in study.entries else 1.0
