"""From a study and a block of shots to the values that the stages read."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.arrays import Array
from jitter.draws.layout import Block
from jitter.draws.shapes import LARGEST, RARE, SMALLEST, deviate, error, reach
from jitter.draws.streams import Streams
from jitter.quantities import Kind, Level, Quantity, Shape, Spread, argument
from jitter.study.study import Entry, Study

Scales = Mapping[tuple[str, Level], float | Array]
"""What-if factors on spreads, by quantity and level; 1 where silent. On the spreads from shot to
shot they may be arrays (s, 1): each set-up has its own."""

UNSCALED: Scales = {}


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


def shot_spread(entry: Entry) -> Spread:
    """Return what the shot level of an entry draws, mishaps and clock ticks included."""
    declared = entry.declaration
    if isinstance(declared, Quantity) and declared.kind in (Kind.CHANCE, Kind.TICK):
        shape = Shape.CHANCE if declared.kind is Kind.CHANCE else Shape.TICK
        # A chance of nothing at first may grow.
        return Spread(shape, entry.number) if entry.nominal or entry.drift else Spread()
    return entry.shot


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
        for index in np.ndindex(axes):
            numbers.fill_scores(scores[index], _stream(name, index), first=first)
        return scores
    return deviate(shape, _uniform(numbers, name, first=first, size=size, axes=axes))


def _stream(name: str, index: tuple[int, ...]) -> str:
    return " ".join([name, *(str(place) for place in index)])


def _uniform(
    numbers: Numbers, name: str, *, first: int, size: tuple[int, int], axes: tuple[int, ...]
) -> Array:
    filled = np.empty((*axes, *size))
    for index in np.ndindex(axes):
        numbers.fill(filled[index], _stream(name, index), first=first)
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
    numbers = Streams(block.layout.seed) if source is None else source
    setup: dict[str, Array] = {}
    shot: dict[str, Array] = {}
    rows = block.setups
    if trimming:
        columns = int(study.number("trim.frames"))
        first, level = block.first_setup * columns, "trimming"
        frame_number = np.full((1, 1), trimmed_at)
    else:
        columns, first, level = block.shots, block.first, Level.SHOT.value
        frame_number = frame_numbers(study, block)
    for key in study.entries if keys is None else keys:
        entry = study.entries[key]
        declared = entry.declaration
        if not isinstance(declared, Quantity):
            continue
        axes = (2,) if declared.per_axis else ()
        if entry.setup.shape is not Shape.NONE:
            name = f"{declared.together or key} {Level.SETUP.value}"
            setup[key] = _piece(
                numbers,
                name,
                entry.setup.shape,
                first=block.first_setup,
                size=(rows, 1),
                axes=axes,
            )
        spread = shot_spread(entry)
        wanted = trimming or not key.startswith("trim.")
        if spread.shape is not Shape.NONE and wanted:
            shot[key] = _shot_piece(
                numbers,
                study,
                key,
                spread.shape,
                level=level,
                first=first,
                size=(rows, columns),
            )
    return Deviates(setup=setup, shot=shot, frame_number=frame_number)


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


def value(study: Study, key: str, deviates: Deviates, scales: Scales) -> Any:
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
    lead = (1,) * (declared.per_drop + declared.per_axis)
    total = np.full((*lead, 1, 1), nominal + entry.offset)
    if key in deviates.setup:
        total = total + error(
            entry.setup,
            deviates.setup[key],
            scale=setup_scale,
            nominal=nominal,
            lower=declared.lower,
        )
    if shot is not None:
        # The errors are an array of our own: add what the set-up fixes in place.
        strays = error(entry.shot, shot, scale=shot_scale, nominal=nominal, lower=declared.lower)
        if key in deviates.setup or nominal + entry.offset != 0.0:
            strays += total
        total = strays
    if drift is not None:
        total = total + drift
    low, high = entry_reach(entry, tail=SMALLEST, stretch=stretch, frames=frames(study))
    if low < declared.lower or high > declared.upper:
        np.clip(total, declared.lower, declared.upper, out=total)
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
    drifting = (key for key, entry in study.entries.items() if entry.drift != 0.0)
    drawn = dict.fromkeys((*deviates.setup, *deviates.shot, *drifting))
    made = {argument(key): value(study, key, deviates, scales) for key in drawn}
    made["frame_number"] = deviates.frame_number
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
    ends = [
        reach(
            spread if stretch == 1.0 else replace(spread, size=stretch * spread.size),
            nominal=entry.number,
            lower=declared.lower,
            tail=tail,
        )
        for spread in (entry.setup, entry.shot)
        if spread.shape is not Shape.NONE
    ]
    walked = entry.drift * (frames - 1.0)
    return (
        entry.number + entry.offset + sum(low for low, _ in ends) + min(walked, 0.0),
        entry.number + entry.offset + sum(high for _, high in ends) + max(walked, 0.0),
    )


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
