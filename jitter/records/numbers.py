"""Read the number in a cell: decimal commas, and units that stand in the heading."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from functools import lru_cache

from jitter.errors import RefusedError, shown
from jitter.units.reading import example, read_measure
from jitter.units.table import DIMENSIONS

LONGEST = 60
"""Letters; what is longer is no number."""

_NAMES = {",": "comma", ".": "point"}
_TOKEN = re.compile(r"[\d.,]*\d[\d.,]*")
_THREE = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_BARE = re.compile(r"[+\-−]?[\d./ ½⅓⅔¼¾-]+(?:e[+-]?\d+)?", re.IGNORECASE)


def decimal_marks(cells: Iterable[str]) -> frozenset[str]:
    """Return which of comma and point stand in some cell for certain as the decimal mark.

    A mark between one to three digits and three more may as well divide the thousands.

    Examples
    --------
    >>> sorted(decimal_marks(["3,5", "0.25", "1"])), sorted(decimal_marks(["1,234", "1.234"]))
    ([',', '.'], [])
    """
    return frozenset(
        mark
        for token in {
            token for cell in set(cells) if len(cell) <= LONGEST for token in _TOKEN.findall(cell)
        }
        for mark in ",."
        if token.count(mark) == 1 == token.count(",") + token.count(".")
        and not _THREE.fullmatch(token)
    )


@lru_cache(maxsize=1 << 16)
def read_cell(
    text: str, si: str, unit: str, marks: frozenset[str], heading: str
) -> float | RefusedError:
    """Return the number in a cell in SI, or why it is none.

    Parameters
    ----------
    text
        ``"12 mm"``, ``"12"`` where the heading has a unit, ``"19 1/2 in"``, ``"3,5"``.
    si
        The SI unit wanted.
    unit
        That of the heading, empty where it has none.
    marks
        What is the decimal mark elsewhere in the table.
    heading
        The column's name, for messages.

    Examples
    --------
    >>> read_cell("−3,5", "m", "mm", frozenset(), "gap")
    -0.0035
    """
    try:
        return _read(text, si, unit, marks, heading)
    except RefusedError as refused:
        return refused


def _read(text: str, si: str, unit: str, marks: frozenset[str], heading: str) -> float:
    if len(text) > LONGEST:
        raise RefusedError(f"{shown(text)} is too long for a number", example(si))
    written = " ".join(text.split()).replace("–", "-")
    if "," in written or "." in written:
        written = _TOKEN.sub(lambda token: _pointed(token[0], marks), written)
    if _BARE.fullmatch(written):
        if unit == "%" and "/" in written:
            wrong = f"{shown(text)} stands under a heading in %, but is a fraction"
            raise RefusedError(wrong, "write it in %, or take the % out of the heading")
        if not unit and si not in ("1", "stop"):
            sample = DIMENSIONS[si][1]
            once = f'write it once in the heading, such as "{heading} ({sample.partition(" ")[2]})"'
            right = f'{once}, or in each cell, such as "{sample}"'
            raise RefusedError(f"{shown(text)} has no unit", right)
        written = f"{written} {unit}".rstrip()
    value = read_measure(written, si).value
    if not math.isfinite(value):
        raise RefusedError(f"{shown(text)} is not a finite number", example(si))
    return value


def _pointed(token: str, marks: frozenset[str]) -> str:
    """Return a number with a decimal point, if it is clear where that stands."""
    if token.count(",") + token.count(".") > 1:
        raise RefusedError(
            f"{shown(token)} has more than one comma or point",
            "write a decimal mark only, and none between the thousands",
        )
    mark = "," if "," in token else "."
    if _THREE.fullmatch(token) and marks != {mark}:
        raise RefusedError(
            f"{shown(token)} leaves open whether its {_NAMES[mark]} divides thousands",
            "if so, write it without, as 1234; if not, with one more 0 at the end, as 1,2340 or "
            "1.2340, in one cell at least",
        )
    return token.replace(",", ".")
