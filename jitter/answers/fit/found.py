"""What measurements say: numbers with their intervals, and what becomes of them in the study."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from jitter.answers.intervals import Estimate
from jitter.arrays import Array
from jitter.records.measurements import Reading
from jitter.study.rewriting import NewValue

FEW = 4
"""Degrees of freedom, from which a spread takes the place of one of the study's that it allows."""


@dataclass(frozen=True)
class Number:
    """A number that measurements give.

    Attributes
    ----------
    name
        What it is, in words.
    unit
        SI.
    estimate
        With its interval; an end is infinite where the measurements leave it open.
    uncertainty
        Standard uncertainty of a mean; None for spreads.
    old
        What the study says in its place; None where it says nothing.
    place
        The key and the part of the study that it is written to; empty where it is only told.
    spread
        Whether it is a standard deviation.
    """

    name: str
    unit: str
    estimate: Estimate
    uncertainty: float | None = None
    old: float | None = None
    place: str = ""
    spread: bool = False


@dataclass(frozen=True)
class Finding:
    """What one kind of measurement says.

    Attributes
    ----------
    what
        What was measured.
    count, setups
        Readings, and set-ups that they come from.
    numbers
        What they say.
    values
        What the study shall say.
    notes
        What was done with them and what was not, in words.
    """

    what: str
    count: int
    setups: int
    numbers: tuple[Number, ...] = ()
    values: tuple[NewValue, ...] = ()
    notes: tuple[str, ...] = field(default=())


def by_setup(readings: Sequence[Reading], values: Sequence[float]) -> list[Array]:
    """Return values by the set-up that they were read in, in the order of the file.

    Parameters
    ----------
    readings
        The readings.
    values
        One for each.
    """
    groups: dict[str, list[float]] = {}
    for reading, value in zip(readings, values, strict=True):
        groups.setdefault(reading.setup, []).append(value)
    return [np.array(group) for group in groups.values()]


def settled(estimate: Estimate, old: float, *, freedom: int = FEW) -> float | None:
    """Return the standard deviation to be written; None where the study's stays.

    Where a spread cannot be told from 0 it is not said to be 0: the study's own stays, unless it is
    above all that the readings allow, which then takes its place. A spread from fewer than five
    set-ups, or readings of one, is too uncertain to take the place of one that they allow.

    Parameters
    ----------
    estimate
        Of the spread.
    old
        The study's.
    freedom
        Degrees of freedom: set-ups less one for a spread from set-up to set-up, readings less
        set-ups for one from shot to shot.

    Examples
    --------
    >>> settled(Estimate(0.3, 0.2, 0.5), 1.0), settled(Estimate(0.0, 0.0, 0.5), 1.0)
    (0.3, 0.5)
    >>> settled(Estimate(0.0, 0.0, 0.5), 0.1) is None
    True
    >>> settled(Estimate(0.3, 0.0, 2.0), 1.0, freedom=2) is None
    True
    """
    if freedom < FEW and estimate.low <= old <= estimate.high and old > 0.0:
        return None
    if estimate.value > 0.0:
        return estimate.value
    return estimate.high if estimate.high < old else None


def kept(estimate: Estimate, size: float | None, levels: str) -> list[str]:
    """Say why a spread is not written as it was found.

    Parameters
    ----------
    estimate
        Of the spread.
    size
        What is written; None where the study's stays.
    levels
        ``shot to shot`` or ``set-up to set-up``.
    """
    if size is None and estimate.value > 0.0:
        few = "set-ups" if levels.startswith("set-up") else "readings"
        return [
            f"so few {few} do not tell the spread from {levels}; the study's, which they allow,"
            " stays"
        ]
    if estimate.value > 0.0:
        return []
    then = "the study's stays" if size is None else "the largest that the readings allow is written"
    return [f"a spread from {levels} cannot be told from 0; {then}"]


def counted(count: int, word: str) -> str:
    """Return a number of things.

    Examples
    --------
    >>> counted(1, "reading"), counted(2, "reading")
    ('1 reading', '2 readings')
    """
    return f"{count} {word}{'' if count == 1 else 's'}"
