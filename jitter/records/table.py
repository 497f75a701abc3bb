"""From the bytes of a CSV file, kept by hand or by a spreadsheet, to rows of cells by column."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jitter.errors import RefusedError
from jitter.records.columns import Column, find_delimiter, read_headings
from jitter.records.faults import Faults, Place
from jitter.records.limits import check_limits
from jitter.records.numbers import decimal_marks, read_cell
from jitter.records.text import Rows, read_text
from jitter.records.words import Words

__all__ = [
    "Column",
    "Faults",
    "Place",
    "Row",
    "Table",
    "Words",
    "read_number",
    "read_table",
    "read_word",
]

MOST_ROWS = 100_000
BLANKS = frozenset(("", "-", "–", "—", "−", "?", "n/a", "na"))
"""What people write where there is nothing to write, in lower case."""


@dataclass(frozen=True)
class Row:
    """A row of a table.

    Attributes
    ----------
    line
        On which it begins, counted from 1.
    cells
        By column, as known here; those left blank are not among them.
    """

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Table:
    """What a person wrote down.

    Attributes
    ----------
    source
        Its name, for messages.
    line
        That of the headings, counted from 1.
    known
        The columns that are known here.
    columns
        Those that the table has, in its order.
    units
        Of columns whose heading has one, as it was written there.
    spoilt
        Columns whose heading has a unit that cannot be theirs, which was told: their cells are not
        read.
    marks
        Which of comma and point are decimal marks in it.
    rows
        In its order.
    notes
        What was guessed or left out, in words.
    """

    source: str
    line: int
    known: Mapping[str, Column]
    columns: tuple[str, ...]
    units: Mapping[str, str]
    spoilt: frozenset[str]
    marks: frozenset[str]
    rows: tuple[Row, ...]
    notes: tuple[str, ...]


def read_table(
    data: bytes, *, source: str, columns: Mapping[str, Column], faults: Faults | None = None
) -> Table:
    r"""Read a table.

    Parameters
    ----------
    data
        A CSV file: UTF-8, UTF-16 with a byte-order mark, or Latin-1; cells divided by commas,
        semicolons, tabs or bars. The first line names the columns, in any order and with units
        where they have them. Lines that begin with ``#`` are comments.
    source
        Its name, for messages.
    columns
        Those known here, by name.
    faults
        Where given, what is wrong with single headings and rows is gathered there, to be told
        along with what is wrong in the cells, and the rest is read; otherwise it is raised.

    Returns
    -------
    Table

    Raises
    ------
    MistakeError
        If it cannot be read as a table, with every fault found.

    Examples
    --------
    >>> gap = Column("m", ("drop to jet",), "the gap between drop and jet")
    >>> table = read_table(b"gap_mm\n12", source="log.csv", columns={"gap": gap})
    >>> table.rows, table.units
    ((Row(line=2, cells={'gap': '12'}),), {'gap': 'mm'})
    """
    text, guessed = read_text(data, source=source)
    found = Faults(source) if faults is None else faults
    rows = Rows(text, find_delimiter(text, columns))
    try:
        headings = next((cells for cells in rows if any(cells)), [])
    except RefusedError as broken:
        found.place(rows.first, "the headings", broken.wrong, broken.right)
        headings = []
    line = rows.first
    places, units, spoilt, left = read_headings(headings, line, columns, found.place)
    if not places:
        found.judge()
        sample = ", ".join(list(columns)[:3])
        right = f'name them there, such as "{sample}", between commas; begin lines above with #'
        found.place(line, "the headings", "the first line names no column known here", right)
        found.judge()
    kept, skipped = _rows(rows, headings, places, found.place)
    if faults is None:
        found.judge()
    sized = [
        cell for row in kept for name, cell in row.cells.items() if columns[name].unit is not None
    ]
    marks = decimal_marks(sized)
    if rows.delimiter_name != "semicolon" and "," not in marks:
        # Who divides cells by semicolons may do so because of decimal commas; others write points.
        marks |= {"."}
    notes = (*guessed, *left, *skipped)
    if "," in marks:
        said = next(cell for cell in sized if "," in decimal_marks((cell,)))
        pointed = said.replace(",", ".")
        notes = (*notes, f"decimal commas were read as points: {said} as {pointed}")
    names = tuple(places.values())
    return Table(source, line, columns, names, units, spoilt, marks, kept, notes)


def _rows(
    rows: Rows, headings: Sequence[str], places: Mapping[int, str], place: Place
) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """Return the rows that hold something, and what is to be said about the others."""
    nameless = [at for at, heading in enumerate(headings) if not heading.strip()]
    kept: list[Row] = []
    unused: set[int] = set()
    long: list[int] = []
    blank = between = 0
    begun = rows.last
    try:
        for cells in rows:
            cells = [cell.strip() for cell in cells]
            if not any(cells):
                blank += 1
                continue
            if len(kept) == MOST_ROWS:
                wrong = f"there are more than {MOST_ROWS:,} rows"
                place(rows.first, "the row", wrong, "divide them among several files")
                break
            if any(cells[len(headings) :]):
                many = max(at for at, cell in enumerate(cells, 1) if cell)
                wrong = f"it has {many} cells under {len(headings)} headings"
                right = f"put quote marks around a cell that has a {rows.delimiter_name} inside"
                place(rows.first, "the row", wrong, right)
            # Blank rows at the end are no gap.
            between = blank
            if rows.last > rows.first:
                long.append(rows.first)
            unused.update(at for at in nameless if any(cells[at : at + 1]))
            filled = {
                places[at]: cell
                for at, cell in enumerate(cells)
                if at in places and cell.lower() not in BLANKS
            }
            kept.append(Row(rows.first, filled))
    except RefusedError as broken:
        place(rows.first, "the row", broken.wrong, broken.right)
        return tuple(kept), ()
    hidden = [line for line in rows.commented if line > begun]
    if not kept:
        right = "write a line for each row"
        if hidden:
            right += "; lines that begin with # are comments"
        place(None, "the file", "it has headings, but no rows", right)
    notes = []
    if between:
        notes.append(f"blank rows left out: {between}")
    if hidden:
        at = _listed(hidden)
        notes.append(f"lines with cells, left out as comments since they begin with #: {at}")
    if long:
        notes.append(f"a cell runs over several lines in the rows that begin at {_listed(long)}")
    if unused:
        at = _listed([number + 1 for number in sorted(unused)])
        notes.append(f"columns not used, since they have no heading: {at}")
    return tuple(kept), tuple(notes)


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(number) for number in numbers[:8]) + (" …" if numbers[8:] else "")


def read_number(row: Row, column: str, table: Table, place: Place) -> float | None:
    r"""Return the number in a cell, in SI.

    Parameters
    ----------
    row
        Of the table.
    column
        As known here; one of numbers.
    table
        Where the headings' units and the decimal marks are.
    place
        Takes what is wrong with it.

    Returns
    -------
    float or None
        None where the cell is blank, or something is wrong with it.

    Examples
    --------
    >>> gap = Column("m", (), "the gap between drop and jet")
    >>> table = read_table(b"gap (mm);\n3,5", source="log.csv", columns={"gap": gap})
    >>> read_number(table.rows[0], "gap", table, Faults("log.csv").place)
    0.0035
    """
    text = row.cells.get(column)
    if text is None or column in table.spoilt:
        return None
    known, unit = table.known[column], table.units.get(column, "")
    if known.unit is None:
        raise ValueError(f"{column} is a column of words")
    value = read_cell(text, known.unit, unit, table.marks, column)
    if isinstance(value, RefusedError):
        place(row.line, column, value.wrong, value.right)
        return None
    refused = check_limits(value, text, known, table.marks)
    if refused is not None:
        place(row.line, column, refused.wrong, refused.right)
        return None
    return value


def read_word(row: Row, column: str, table: Table, place: Place, *, words: Words) -> str | None:
    """Return the word in a cell, as it is called here.

    Parameters
    ----------
    row
        Of the table.
    column
        As known here.
    table
        Where the row is from.
    place
        Takes what is wrong with it.
    words
        Those that the column takes.

    Returns
    -------
    str or None
        None where the cell is blank, or no such word.
    """
    text = row.cells.get(column)
    if text is None:
        return None
    try:
        return words.read(text)
    except RefusedError as unknown:
        place(row.line, column, unknown.wrong, unknown.right)
        return None
