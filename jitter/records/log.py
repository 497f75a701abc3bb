"""A log: frame by frame what was seen, and whatever else was noted."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jitter.errors import shown
from jitter.records.numbering import find_repeated, number_notes
from jitter.records.table import (
    Column,
    Faults,
    Place,
    Row,
    Table,
    read_number,
    read_table,
    read_word,
)
from jitter.records.verdicts import VERDICTS
from jitter.stages.look import LOOKS

_NAMED = re.compile(r"(?:[^\W\d][^\d.]*|#\s*)(\d{1,9})(?:\.[a-z]\w{1,4})?", re.IGNORECASE)
"""A number behind letters, as cameras name their files: ``DSC_0017``, ``IMG_0017.jpg``, ``#17``."""
_WHOLE = "write a whole number such as 17"

LOG_COLUMNS: Mapping[str, Column] = {
    "frame": Column(
        "1",
        ("frame number", "frame no", "number", "no", "nr", "shot", "photo", "picture"),
        "the number of the frame",
        0.0,
        1e9,
    ),
    "verdict": Column(None, ("look", "result", "outcome"), "what the frame shows, in one word"),
    "setup": Column(None, ("series",), "which setting up of the rig it was shot with"),
    "time": Column(None, ("clock", "time of day"), "when it was shot, in any words"),
    "delay": Column(
        "s",
        ("delay used", "light delay", "flash delay"),
        "the delay from the trigger to the light",
        0.0,
        10.0,
    ),
    "interval": Column(
        "s",
        ("interval used", "drop interval", "between drops"),
        "the interval between the two drops",
        0.0,
        10.0,
    ),
    "power": Column(
        "1", ("power used", "flash power"), "the flash power, as a share of full power,", 1e-6, 1.0
    ),
    "gap": Column(
        "m",
        ("drop to jet", "gap between drop and jet", "gap drop to jet"),
        "the gap between drop and jet, above 0 where the drop is above,",
        -1.0,
        1.0,
    ),
    "width": Column(
        "m",
        ("sheet width", "width of sheet", "width of the sheet", "umbrella width"),
        "the width of the sheet",
        0.0,
        1.0,
    ),
    "offset": Column(
        "m",
        ("sideways offset", "sideways", "side"),
        "the sideways offset, above 0 where the drop is right of the jet,",
        -1.0,
        1.0,
    ),
    "height": Column(
        "m",
        ("meeting height", "height of meeting", "height of the meeting"),
        "the height of the meeting above the surface",
        0.0,
        1.0,
    ),
    "remarks": Column(None, ("remark", "notes", "note", "comments", "comment"), "anything else"),
}
"""The columns of a log; all but the verdict may be left out."""


@dataclass(frozen=True)
class Frame:
    """What a log says of one frame.

    Attributes
    ----------
    line
        Of the file, counted from 1.
    number
        Its number; None where it has none.
    look
        Index into `jitter.stages.look.LOOKS`; None where no verdict is told.
    setup
        Which setting up of the rig; empty where the log has no such column.
    delay, interval
        As used [s]; None where not told, like all that follow.
    power
        As used, a share of full power [1].
    gap
        Between drop and jet [m].
    width
        Of the sheet [m].
    side
        By how much the drop is to the right of the jet [m].
    height
        Of the meeting over the surface [m].
    time, remarks
        In the words of the log; empty where not told.
    """

    line: int
    number: int | None
    look: int | None
    setup: str
    delay: float | None
    interval: float | None
    power: float | None
    gap: float | None
    width: float | None
    side: float | None
    height: float | None
    time: str
    remarks: str


@dataclass(frozen=True)
class Log:
    """A log, read.

    Attributes
    ----------
    frames
        In its order, none twice.
    source
        Its name, for messages.
    notes
        What was guessed, left out, or is missing, in words.
    """

    frames: tuple[Frame, ...]
    source: str
    notes: tuple[str, ...]


def read_log(data: bytes, *, source: str) -> Log:
    r"""Read a log.

    Parameters
    ----------
    data
        A CSV file with the columns of `LOG_COLUMNS`; see `read_table`. Frames are told apart by
        set-up and number.
    source
        Its name, for messages.

    Returns
    -------
    Log

    Raises
    ------
    MistakeError
        With every fault found.

    Examples
    --------
    >>> log = read_log(b"frame,verdict,gap (mm)\n1,hit,\n3,Drop above,12.5", source="log.csv")
    >>> [(frame.number, LOOKS[frame.look], frame.gap) for frame in log.frames]
    [(1, 'keeper', None), (3, 'drop above the column', 0.0125)]
    >>> log.notes[0][:31]
    'frame numbers missing: 1 (2); i'
    """
    faults = Faults(source)
    table = read_table(data, source=source, columns=LOG_COLUMNS, faults=faults)
    if "verdict" not in table.columns:
        right = f'give it a column verdict with words such as "{LOOKS[1]}" or "{LOOKS[-1]}"'
        faults.place(table.line, "the headings", "no column says what the frames show", right)
    elif table.rows and not any("verdict" in row.cells for row in table.rows):
        right = f'write what each frame shows, such as "{LOOKS[1]}" or "{LOOKS[-1]}"'
        faults.place(table.line, "verdict", "no frame has one", right)
    read = [_read_frame(row, table, faults.place) for row in table.rows]
    again, repeated = find_repeated(table.rows, read, faults.place)
    frames = tuple(frame for at, frame in enumerate(read) if at not in again)
    untold = [frame.line for frame in frames if frame.look is None]
    faults.judge()
    notes = [*table.notes, *_named(table.rows), repeated, *number_notes(frames)]
    if untold:
        lines = ", ".join(str(line) for line in untold[:6]) + (" …" if untold[6:] else "")
        notes.append(
            f"frames without a verdict, counted as not told: {len(untold)} (lines {lines})"
        )
    return Log(frames, source, tuple(note for note in notes if note))


def _read_frame(row: Row, table: Table, place: Place) -> Frame:
    def number(column: str) -> float | None:
        return read_number(row, column, table, place)

    told = read_word(row, "verdict", table, place, words=VERDICTS)
    setup = row.cells.get("setup", "")
    if not setup and "setup" in table.columns:
        place(row.line, "setup", "it is not told here, but elsewhere", "name it in every row")
    return Frame(
        line=row.line,
        number=_frame_number(row, table, place),
        look=None if told is None else LOOKS.index(told),
        setup=setup,
        delay=number("delay"),
        interval=number("interval"),
        power=number("power"),
        gap=number("gap"),
        width=number("width"),
        side=number("offset"),
        height=number("height"),
        time=row.cells.get("time", ""),
        remarks=row.cells.get("remarks", ""),
    )


def _frame_number(row: Row, table: Table, place: Place) -> int | None:
    text = row.cells.get("frame", "")
    if text.isascii() and text.isdigit() and len(text) < 10:
        # No two are alike in a long log, and nearly all are so plain.
        return int(text)
    named = _NAMED.fullmatch(text)
    if named:
        return int(named[1])

    def place_whole(line: int | None, column: str, wrong: str, _: str) -> None:
        place(line, column, wrong, _WHOLE)

    number = read_number(row, "frame", table, place_whole)
    if number is None or number.is_integer():
        return None if number is None else int(number)
    place(row.line, "frame", f"{shown(text)} is not a whole number", _WHOLE)
    return None


def _named(rows: Sequence[Row]) -> list[str]:
    """Say that numbers were taken out of names, with the first of them."""
    for row in rows:
        text = row.cells.get("frame", "")
        named = _NAMED.fullmatch(text)
        if named:
            return [f"frame numbers were taken from names: {int(named[1])} from {shown(text)}"]
    return []
