"""Tables in random dialects are read back whole; random bytes are read or refused, no more."""

from __future__ import annotations

import csv
import io
from typing import Literal

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jitter.errors import Fault, MistakeError
from jitter.records.log import LOG_COLUMNS, Frame, read_log
from jitter.records.table import BLANKS, Column, Faults, read_number, read_table
from jitter.stages.look import LOOKS

# The same tables each time, and no stopwatch on a busy machine.
CALM = settings(derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])

# Letters that Latin-1, as spreadsheets write it, has too, so that every encoding can hold them.
LETTERS = st.sampled_from("abz AZ09,;|\t\"'#äé€–½°.\n")
CELLS = st.text(LETTERS, max_size=12).map(str.strip).filter(lambda cell: cell not in BLANKS)
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "cp1252")
COLUMNS = {
    "first": Column(None, (), "words"),
    "second": Column(None, (), "words"),
    "third": Column(None, (), "words"),
}


@settings(CALM, max_examples=300)
@given(
    rows=st.lists(st.tuples(CELLS, CELLS | st.just(""), CELLS | st.just("")), min_size=1),
    order=st.permutations(list(COLUMNS)),
    delimiter=st.sampled_from(",;\t|"),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    everything=st.booleans(),
    encoding=st.sampled_from(ENCODINGS),
)
def test_what_was_written_is_read(
    rows: list[tuple[str, str, str]],
    order: list[str],
    delimiter: str,
    end: str,
    everything: bool,
    encoding: str,
) -> None:
    # A comment ends with its line, so that none may stand before cells of several.
    rows = [row for row in rows if everything or row[0][0] != "#" or "\n" not in "".join(row)]
    written = io.StringIO()
    quoting: Literal[0, 1] = csv.QUOTE_ALL if everything else csv.QUOTE_MINIMAL
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\n", quoting=quoting)
    # Latin-1 letters may by chance be UTF-8 for another; a last é never is.
    writer.writerow([*order, "é"])
    writer.writerows(rows)
    text = written.getvalue().replace("\n", end)
    # A row whose first cell stands without quote marks and begins with # is a comment.
    told = [
        {name: cell for name, cell in zip(order, row, strict=True) if cell}
        for row in rows
        if everything or not row[0].startswith("#") or set(row[0]) & {delimiter, '"', "\n"}
    ]
    if not told:
        return
    table = read_table(text.encode(encoding), source="log.csv", columns=COLUMNS)
    assert table.columns == tuple(order)
    assert [dict(row.cells) for row in table.rows] == told


@settings(CALM, max_examples=200)
@given(
    tenths=st.lists(st.integers(-9999, 9999), min_size=1),
    comma=st.booleans(),
    unit=st.sampled_from([("mm", 1e-3), ("cm", 1e-2), ("in", 0.0254), ("um", 1e-6)]),
    heading=st.booleans(),
)
def test_numbers_are_read_back(
    tenths: list[int], comma: bool, unit: tuple[str, float], heading: bool
) -> None:
    name, size = unit
    rows = [f"{tenth / 10:.1f}{'' if heading else ' ' + name};x" for tenth in tenths]
    text = f"gap{f' ({name})' if heading else ''};notes\n" + "\n".join(rows)
    columns = {"gap": Column("m", (), "the gap"), "notes": Column(None, (), "words")}
    data = (text.replace(".", ",") if comma else text).encode()
    table, faults = read_table(data, source="log.csv", columns=columns), Faults("log.csv")
    numbers = [read_number(row, "gap", table, faults.place) for row in table.rows]
    faults.judge()
    # Closed form: tenths of the unit; fifteen digits are read.
    for number, tenth in zip(numbers, tenths, strict=True):
        assert number is not None
        assert abs(number - tenth / 10 * size) <= 1e-14 * abs(tenth * size)


def read_or_refuse(data: bytes) -> None:
    """Read a log; whatever is wrong with it must be a mistake that is told."""
    faults: tuple[Fault, ...] = ()
    frames: tuple[Frame, ...] = ()
    try:
        frames = read_log(data, source="log.csv").frames
    except MistakeError as mistake:
        faults = mistake.faults
    assert bool(frames) != bool(faults)
    assert all(fault.wrong and fault.right for fault in faults)


@settings(CALM, max_examples=300)
@given(st.binary(max_size=300))
def test_random_bytes_are_read_or_refused(data: bytes) -> None:
    read_or_refuse(data)
    read_or_refuse(b"frame,verdict\n1," + data)
    read_or_refuse(b"\xff\xfe" + data)


WORDS = (*LOG_COLUMNS, *LOOKS, "nan", "inf", "min", "ms", "(mm)", "f/", " + 1/3 stop")
NUMBERS = ("0", "1", "1/", "1e400", "1e308", "1,234", "1.2.3", "½", "٣", "²", "²/0", "1" * 400)
MARKS = (*",;\t\n\"#\ufeff -%_\u2028\x85'+", " " * 400, "," * 400)
PIECES = st.sampled_from((*WORDS, *NUMBERS, *MARKS))


@settings(CALM, max_examples=600)
@given(st.lists(PIECES, max_size=40), st.sampled_from(["utf-8", "utf-16"]))
def test_random_pieces_of_logs_are_read_or_refused(pieces: list[str], encoding: str) -> None:
    read_or_refuse("".join(pieces).encode(encoding))
    read_or_refuse(f"verdict,frame,power,gap (mm)\n{''.join(pieces)}".encode(encoding))
