"""The columns that a table has, as its headings name them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from jitter.errors import RefusedError, plain, shown
from jitter.records.faults import Place
from jitter.records.headings import Heading, dimension, find_heading, plain_key
from jitter.records.text import DELIMITERS, Rows
from jitter.units.table import DIMENSIONS

MOST = 200
"""Columns; more are no table that somebody keeps."""
NEAR, NEAR_IF_SHORT = 0.75, 0.66
"""Headings less alike to a known one are a person's own; of three letters, one may differ."""
LONGEST = 40
"""Letters; longer headings are near no known one."""


@dataclass(frozen=True)
class Column:
    """A column that is known here.

    Attributes
    ----------
    unit
        Its SI unit; None for words.
    also
        Other spellings of its name; case, spaces, hyphens and underscores never matter.
    meaning
        What stands in it.
    lower, upper
        The range that its numbers may have, in SI; None for no limit.
    """

    unit: str | None
    also: tuple[str, ...]
    meaning: str
    lower: float | None = None
    upper: float | None = None


def find_delimiter(text: str, columns: Mapping[str, Column]) -> str:
    """Return what divides the headings into most that are known, and then into most.

    Examples
    --------
    >>> find_delimiter("gap, in air;side", {"side": Column("m", (), "offset")})
    ';'
    """
    best, score = ",", (-1, 0)
    for delimiter in DELIMITERS:
        try:
            cells = next((cells for cells in Rows(text, delimiter) if any(cells)), [])
        except RefusedError:
            continue
        known = sum(bool(heading.column) for heading in _found(cells[:MOST], columns))
        if (known, len(cells)) > score:
            best, score = delimiter, (known, len(cells))
    return best


def read_headings(
    headings: Sequence[str], line: int, columns: Mapping[str, Column], place: Place
) -> tuple[dict[int, str], dict[str, str], frozenset[str], tuple[str, ...]]:
    """Return the columns by their place in a row, their units, those in a wrong one, and notes.

    Parameters
    ----------
    headings
        As written.
    line
        Theirs, for messages.
    columns
        Those known here, by name.
    place
        Takes what is wrong with them.
    """
    if len(headings) > MOST:
        wrong = f"there are {len(headings)} headings, more than {MOST}"
        place(line, "the headings", wrong, "leave out what is no column")
        return {}, {}, frozenset(), ()
    found = _found(headings, columns)
    seen = {heading.column for heading in found}
    missing = {key: name for key, name in _keys(columns).items() if name not in seen}
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    own: list[str] = []
    notes: list[str] = []
    spoilt: set[str] = set()
    for at, heading in enumerate(found):
        written, name = headings[at].strip(), heading.column
        if not name:
            # A lone one, in which nothing divides the columns, may be several.
            near = _near(written, missing) if len(headings) > 1 else []
            if near:
                right = f'did you mean "{missing[near[0]]}"? if not, call it something less alike'
                place(line, plain(written, LONGEST), "there is no such column", right)
            elif written:
                own.append(plain(written, LONGEST))
            continue
        if name in places:
            wrong = f"{shown(headings[places[name]].strip())} and {shown(written)} are one column"
            place(line, name, wrong, "keep one of them, or rename what is something else")
            continue
        places[name] = at
        si = columns[name].unit
        if heading.unit:
            units[name] = heading.unit
        elif heading.stray and si is None:
            notes.append(f"the column {name} is taken as words, not as numbers in {heading.stray}")
        elif heading.stray:
            kind = DIMENSIONS[dimension(heading.stray) or ""][0]
            wrong = f"{shown(written)} is {kind}, but {DIMENSIONS[si or ''][0]} is wanted"
            meaning = columns[name].meaning.rstrip(",")
            place(line, name, wrong, f"give it a unit that suits {meaning}")
            spoilt.add(name)
    if own:
        notes.append(f"columns not used: {', '.join(own)}")
    return {at: name for name, at in places.items()}, units, frozenset(spoilt), tuple(notes)


def _near(written: str, missing: Mapping[str, str]) -> list[str]:
    key = plain_key(written)
    if len(key) > LONGEST:
        return []
    return get_close_matches(key, missing, n=1, cutoff=NEAR if len(key) > 3 else NEAR_IF_SHORT)


def _found(headings: Sequence[str], columns: Mapping[str, Column]) -> list[Heading]:
    names, units = _keys(columns), {name: column.unit for name, column in columns.items()}
    return [find_heading(heading, names, units) for heading in headings]


def _keys(columns: Mapping[str, Column]) -> dict[str, str]:
    """Return the columns by the keys of all their spellings."""
    return {
        plain_key(spelling): name
        for name, column in columns.items()
        for spelling in (name, *column.also)
    }
