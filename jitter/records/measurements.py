"""Measurements: a reading to a row, of whatever was measured at the table."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jitter.errors import RefusedError, shown
from jitter.records.numbers import decimal_marks, read_cell
from jitter.records.table import (
    Column,
    Faults,
    Place,
    Row,
    Table,
    Words,
    read_number,
    read_table,
    read_word,
)

DROP_HEIGHT, STREAK, JET_HEIGHT = "drop height", "streak", "jet height"
WEIGHED, FIRST_WEIGHED, SECOND_WEIGHED = (
    "drops weighed",
    "first drops weighed",
    "second drops weighed",
)
WEIGHINGS = (WEIGHED, FIRST_WEIGHED, SECOND_WEIGHED)
"""Drops of both kinds together, or of one kind by itself."""
GAP, SHEET_WIDTH, MEETING_HEIGHT = "gap", "sheet width", "meeting height"
MEETINGS = (GAP, SHEET_WIDTH, MEETING_HEIGHT)
"""What is read in frames of the meeting."""
KINDS: Mapping[str, str] = {
    DROP_HEIGHT: "m",
    **dict.fromkeys(WEIGHINGS, "kg"),
    STREAK: "m",
    JET_HEIGHT: "m",
    **dict.fromkeys(MEETINGS, "m"),
}
"""What is measured that is no value of a study, each with the SI unit of its readings."""

NEEDED: Mapping[str, tuple[str, ...]] = {
    DROP_HEIGHT: ("delay", "start"),
    **dict.fromkeys(WEIGHINGS, ("drops",)),
    STREAK: ("power", "place"),
    JET_HEIGHT: ("delay", "start"),
}
"""The columns without which a reading of a kind says nothing."""

USED: Mapping[str, tuple[str, ...]] = {
    **NEEDED,
    STREAK: ("power", "place", "glint"),
    **dict.fromkeys(MEETINGS, ("delay", "start")),
}
DETAILS = ("delay", "start", "drops", "power", "glint", "place")

MEASUREMENT_COLUMNS: Mapping[str, Column] = {
    "what": Column(None, ("quantity", "measured", "key"), "what was measured"),
    "value": Column(None, ("reading", "result"), "the reading, with its unit"),
    "setup": Column(None, ("series",), "which setting up of the rig it was read in"),
    "delay": Column("s", ("light delay",), "the delay from the start to the light", 0.0, 10.0),
    "start": Column(None, ("started by",), "what started the timer"),
    "drops": Column("1", ("number of drops",), "how many drops were weighed together", 1.0, 1e6),
    "power": Column(
        "1", ("flash power",), "the flash power, as a share of full power,", 1 / 4096, 1.0
    ),
    "glint": Column(None, ("glint length",), "the length of the glint at rest"),
    "place": Column("m", ("drop place",), "the height of the drop over the surface", 0.0, 5.0),
    "remarks": Column(None, ("remark", "notes", "note", "comment"), "anything else"),
}

STARTS = Words(
    ("valve", "first drop", "second drop"),
    {"command": "valve", "first valve": "valve", "beam": "first drop", "sensor": "first drop"},
)
PIXELS = ("px", "pixel", "pixels")
PIXEL = "px"
"""In the place of a unit, where a reading is in pixels of the camera."""
_NO_UNIT = 'write the unit with each number, such as "{}": the rows hold different things'
_SAMPLES = {"m": "12.5 mm", "kg": "4.77 g", "s": "8 ms", "K": "20 C", "m3": "47.7 ul"}


@dataclass(frozen=True)
class Reading:
    """One reading.

    Attributes
    ----------
    line
        Of the file.
    what
        One of `KINDS`, or the key of a value of a study.
    value
        In SI; in pixels where `pixels` says so.
    pixels
        Whether it, and the glint, were read in pixels.
    setup
        The set-up it was read in; empty where the file does not say.
    delay
        From the start to the light [s].
    start
        "valve", "first drop" or "second drop".
    drops
        Weighed together.
    power
        Of the flash.
    glint
        Length of the glint at rest, in the value's unit.
    place
        Height of the drop over the surface [m].
    remarks
        The user's.
    """

    line: int
    what: str
    value: float
    pixels: bool = False
    setup: str = ""
    delay: float | None = None
    start: str = ""
    drops: float | None = None
    power: float | None = None
    glint: float | None = None
    place: float | None = None
    remarks: str = ""


@dataclass(frozen=True)
class Measurements:
    """What was measured.

    Attributes
    ----------
    readings
        In the order of the file.
    source
        Its name.
    notes
        What was guessed or left out, in words.
    """

    readings: tuple[Reading, ...]
    source: str
    notes: tuple[str, ...]


def read_measurements(data: bytes, *, source: str, units: Mapping[str, str]) -> Measurements:
    r"""Read measurements.

    Parameters
    ----------
    data
        A CSV file, as `jitter.records.table.read_table` takes it.
    source
        Its name, for messages.
    units
        The keys of a study that can be measured, each with its SI unit.

    Raises
    ------
    MistakeError
        With every fault found.

    Examples
    --------
    >>> data = b"what,value\nsensor.height,483 mm"
    >>> read_measurements(data, source="m.csv", units={"sensor.height": "m"}).readings[0].value
    0.483
    """
    faults = Faults(source)
    table = read_table(data, source=source, columns=MEASUREMENT_COLUMNS, faults=faults)
    for column in ("what", "value"):
        if column not in table.columns:
            meaning = MEASUREMENT_COLUMNS[column].meaning
            wrong = f"no column is called {column}"
            faults.place(table.line, "the headings", wrong, f"name a column {column}: {meaning}")
    if not {"what", "value"} <= set(table.columns):
        faults.judge()
    cells = [
        row.cells[name] for row in table.rows for name in ("value", "glint") if name in row.cells
    ]
    marks = table.marks | decimal_marks(cells)
    # A jet height is read in a frame, with its delay; jet.height is the jet's own.
    spaced = {key.replace(".", " "): key for key in units}
    words = Words(
        [*KINDS, *units], {said: key for said, key in spaced.items() if said not in KINDS}
    )
    known = {**units, **KINDS}
    readings = [_read(row, table, marks, words, known, faults.place) for row in table.rows]
    kept = tuple(one for one in readings if one is not None)
    _place_setups(kept, faults.place)
    faults.judge()
    return Measurements(kept, source, (*table.notes, *_unused(table, kept)))


def _read(
    row: Row,
    table: Table,
    marks: frozenset[str],
    words: Words,
    units: Mapping[str, str],
    place: Place,
) -> Reading | None:
    what = read_word(row, "what", table, place, words=words)
    if "what" not in row.cells:
        place(row.line, "what", "it does not say what was measured", "write it, or drop the row")
    if what is None:
        return None
    if "value" not in row.cells:
        place(row.line, "value", "there is no reading", "write the reading, or drop the row")
        return None
    text = row.cells["value"]
    pixels = what == STREAK and _in_pixels(text)
    value = _number(text, PIXEL if pixels else units[what], marks, "value", row, place)
    glint = None
    if what == STREAK and "glint" in row.cells:
        glint = _glint(row, marks, place, pixels=pixels)
    numbers = {
        name: read_number(row, name, table, place) for name in ("delay", "drops", "power", "place")
    }
    if numbers["drops"] is not None and numbers["drops"] % 1.0:
        place(row.line, "drops", f"{shown(row.cells['drops'])} drops", "write a whole number")
    start = read_word(row, "start", table, place, words=STARTS) or ""
    for name in NEEDED.get(what, ()):
        if name not in row.cells:
            meaning = MEASUREMENT_COLUMNS[name].meaning.rstrip(",")
            place(row.line, name, f"it is missing, and {what} needs it", f"write {meaning}")
    if value is None:
        return None
    return Reading(
        line=row.line,
        what=what,
        value=value,
        pixels=pixels,
        setup=row.cells.get("setup", ""),
        delay=numbers["delay"],
        start=start,
        drops=numbers["drops"],
        power=numbers["power"],
        glint=glint,
        place=numbers["place"],
        remarks=row.cells.get("remarks", ""),
    )


def _in_pixels(text: str) -> bool:
    return text.lower().endswith(PIXELS)


def _glint(row: Row, marks: frozenset[str], place: Place, *, pixels: bool) -> float | None:
    text = row.cells["glint"]
    if _in_pixels(text) != pixels:
        wrong = "the streak is in pixels and the glint is not, or the other way round"
        place(row.line, "glint", wrong, "write both in pixels, or both as lengths on the sensor")
        return None
    return _number(text, PIXEL if pixels else "m", marks, "glint", row, place)


def _number(
    text: str, si: str, marks: frozenset[str], column: str, row: Row, place: Place
) -> float | None:
    written = text.lower().rstrip("pixels ").strip() if si == PIXEL else text
    value = read_cell(written, "1" if si == PIXEL else si, "", marks, column)
    if isinstance(value, RefusedError):
        right = value.right if si != PIXEL else 'write a number of pixels such as "11.5 px"'
        if value.wrong.endswith("has no unit"):
            right = _NO_UNIT.format(_SAMPLES.get(si, "12 mm"))
        place(row.line, column, value.wrong, right)
        return None
    return value


def _place_setups(readings: Sequence[Reading], place: Place) -> None:
    """Refuse readings without a set-up among others of their kind that have one."""
    told = {one.what for one in readings if one.setup}
    for one in readings:
        if one.what in told and not one.setup:
            wrong = f"it is not told here, but in other rows of {one.what}"
            place(one.line, "setup", wrong, "name it in every row of a kind, or in none")


def _unused(table: Table, readings: tuple[Reading, ...]) -> tuple[str, ...]:
    """Say which cells no reading of their kind has a use for."""
    rows = {row.line: row for row in table.rows}
    found: Counter[str] = Counter()
    for reading in readings:
        used = USED.get(reading.what, ())
        found.update(
            name for name in DETAILS if name not in used and name in rows[reading.line].cells
        )
    return tuple(
        f"{name} was not used in rows that have no use for it: {count}"
        for name, count in sorted(found.items())
    )
