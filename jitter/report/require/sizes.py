"""Sizes of errors in words: of a diameter where a drop was asked for by it, in per cent if bare."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import takewhile

from jitter.answers.require.subject import Subject
from jitter.quantities import Shape, Spread
from jitter.units.writing import write_difference, write_number, write_spread

DIGITS, SURE_DIGITS = 2, 3
"""Of sizes, and of the ends of their intervals, which lie near each other."""
LOST = 0.015
"""Rounding down may take so much of a size."""
SHOWN = 0.5
"""And leave no less of the room against the present size to be seen."""


def floored(size: float, digits: int = DIGITS) -> float:
    """Round a size down to some digits, so that the rounding does not lose what it promises.

    Examples
    --------
    >>> floored(0.0015699), floored(0.04999995), floored(0.0015699, 3)
    (0.0015, 0.05, 0.00156)
    """
    if size <= 0.0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(size)) + 1 - digits)
    return float(f"{math.floor(size / step * (1.0 + 1e-5)) * step:.12g}")


def most(size: float) -> float:
    """Round a size down to two digits, or to three where two would lose much of it.

    Examples
    --------
    >>> most(0.0362), most(0.0117)
    (0.036, 0.0117)
    """
    few = floored(size)
    return few if few >= (1.0 - LOST) * size else floored(size, SURE_DIGITS)


def write_size(subject: Subject, size: float) -> str:
    """Write a spread of so much, in the words of a study; none where it is 0."""
    return _written(subject, _told(subject, size))


def write_bare(subject: Subject, size: float, *, digits: int = DIGITS) -> str:
    """Write a size without the word for its shape, to some digits; none where it is 0.

    For ranges, which would repeat the word.
    """
    told = _told(subject, size)
    rounded = replace(told, size=float(f"{told.size:.{digits}g}"))
    return _written(subject, rounded).removeprefix(word(subject))


def write_most(subject: Subject, size: float) -> str:
    """Write the largest spread of so much: rounded down."""
    told = _told(subject, size)
    return _written(subject, replace(told, size=most(told.size)))


def bare_most(subject: Subject, size: float) -> str:
    """Write the largest size without the word for its shape: rounded down."""
    return write_most(subject, size).removeprefix(word(subject))


def bare_most_beside_now(subject: Subject, size: float) -> str:
    """Write the largest size rounded down, to so many digits that its room is seen."""
    told, room = _told(subject, size), size / subject.present - 1.0
    few, now = most(told.size), _told(subject, subject.present).size
    seen = abs(few / now - 1.0) >= SHOWN * abs(room)
    end = replace(told, size=few if seen else floored(told.size, SURE_DIGITS))
    return _written(subject, end).removeprefix(word(subject))


def spread_written(subject: Subject, told: float) -> float:
    """Return the size of the spread that is written as so much."""
    return told / _told(subject, 1.0).size


def offset_written(subject: Subject, told: float) -> float:
    """Return the steady error that is written as so much."""
    return told if subject.sphere is None else subject.sphere.offset(told)


def word(subject: Subject) -> str:
    """Return what stands before the number in the words of a study."""
    return "".join(takewhile(lambda letter: not letter.isdigit(), write_size(subject, 1.0)))


def write_offset(subject: Subject, offset: float) -> str:
    """Write a steady error of so much, less where it is negative."""
    return _difference(subject, _off(subject, offset))


def write_side(subject: Subject, offset: float, *, digits: int = DIGITS) -> str:
    """Write how large a steady error is, whichever side it is on, to some digits."""
    return _difference(subject, float(f"{abs(_off(subject, offset)):.{digits}g}"))


def write_most_off(subject: Subject, offset: float) -> str:
    """Write how large a steady error may be, whichever side it is on: rounded down."""
    return _difference(subject, most(abs(_off(subject, offset))))


def _told(subject: Subject, size: float) -> Spread:
    spread = subject.spread(size)
    return spread if subject.sphere is None else subject.sphere.spread(spread)


def _written(subject: Subject, told: Spread) -> str:
    if told.size <= 0.0:
        return "none"
    spread = replace(told, relative=True) if subject.per_cent else told
    return write_spread(spread, subject.source.unit if subject.sphere is None else "m")


def _off(subject: Subject, offset: float) -> float:
    return offset if subject.sphere is None else subject.sphere.change(offset)


def _difference(subject: Subject, offset: float) -> str:
    if subject.per_cent:
        return f"{write_number(100.0 * offset)} %"
    return write_difference(offset, subject.source.unit if subject.sphere is None else "m")


def side_words(subject: Subject) -> tuple[str, str]:
    """Say what a value is that is less, and one that is more, than it was reckoned with."""
    if subject.sphere is not None:
        return "small", "large"
    return ("short", "long") if subject.source.unit == "s" else ("low", "high")


def spread_words(subject: Subject, size: float) -> str:
    """Say a spread of so much within a sentence."""
    written, shape = write_size(subject, size), subject.source.spread.shape
    if shape is Shape.CHANCE:
        return written.replace("chance", "a chance of")
    return f"a {'step' if shape is Shape.TICK else 'spread'} of {written}"


def kept_words(subject: Subject, size: float) -> str:
    """Say what a spread is to be kept to: rounded down."""
    shape = subject.source.spread.shape
    written = write_most(subject, size)
    if shape is Shape.RECTANGULAR:
        return written
    if shape is Shape.TICK:
        return f"to {written.removeprefix('up to ')} at most"
    return f"to {written.replace('chance', 'a chance of')}"
