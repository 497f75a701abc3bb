"""Which column a heading means, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from jitter.errors import RefusedError
from jitter.units.reading import read_measure
from jitter.units.table import DIMENSIONS

_BRACKET = re.compile(r"(.*?)[\s_]*[(\[]\s*([^()\[\]]*?)\s*[)\]]\s*", re.DOTALL)
_BREAK = re.compile(r"[\s_,:/-]+(?:in\s+)?", re.IGNORECASE)
# A unit, and no number before it that would be read along with that of the cell.
_UNIT = re.compile(r'[^\W\d_]\D*3?|°\s?\w|%|"')


LONGEST = 100
"""Letters; what is longer is no heading."""


@dataclass(frozen=True)
class Heading:
    """What a heading means.

    Attributes
    ----------
    column
        Empty where none known here.
    unit
        As written, of the column's dimension; empty where none.
    stray
        A unit of another dimension; empty where none.
    """

    column: str
    unit: str
    stray: str


def plain_key(text: str) -> str:
    """Return a name without what people write differently.

    Examples
    --------
    >>> plain_key("Set-up"), plain_key("sheet_width")
    ('setup', 'sheetwidth')
    """
    return re.sub(r"[\W_]+", "", text.casefold())


def find_heading(text: str, names: Mapping[str, str], units: Mapping[str, str | None]) -> Heading:
    """Return what a heading means.

    Parameters
    ----------
    text
        ``gap``, ``Gap (mm)``, ``gap_mm``, ``gap [in]``, ``gap / mm``, ``gap in mm``.
    names
        Columns by the keys of their spellings.
    units
        SI units of the columns; None for words.

    Examples
    --------
    >>> find_heading("Gap_mm", {"gap": "gap"}, {"gap": "m"})
    Heading(column='gap', unit='mm', stray='')
    >>> find_heading("gap (ms)", {"gap": "gap"}, {"gap": "m"})
    Heading(column='gap', unit='', stray='ms')
    """
    for base, remark, surely in _parts(text if len(text) <= LONGEST else ""):
        column = names.get(plain_key(base), "")
        if not column:
            continue
        si = dimension(remark)
        if si is not None and si == units[column]:
            return Heading(column, remark, "")
        # A heading in brackets may be followed by any remark, one without by a unit only.
        if si is not None or surely:
            return Heading(column, "", remark if si is not None else "")
    return Heading("", "", "")


def _parts(text: str) -> Iterator[tuple[str, str, bool]]:
    """Give each way to divide a heading into a name and a unit, and whether it surely ends."""
    bracket = _BRACKET.fullmatch(text)
    if bracket:
        yield bracket[1], bracket[2], True
        inner = _BRACKET.fullmatch(bracket[1])
        if inner:
            yield inner[1], bracket[2], True
    for gap in _BREAK.finditer(text):
        yield text[: gap.start()], text[gap.end() :].strip(), False
    yield text, "", True


def dimension(unit: str) -> str | None:
    """Return the SI unit of the dimension that a unit has, None where it is no unit.

    Examples
    --------
    >>> dimension("mm"), dimension("°C"), dimension("drop to jet")
    ('m', 'K', None)
    """
    if not _UNIT.fullmatch(unit):
        return None
    for si in DIMENSIONS:
        try:
            read_measure(f"1 {unit}", si)
        except RefusedError:
            continue
        return si
    return None
