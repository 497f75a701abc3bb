"""What the tests of records share: a few columns, and faults as lines of text."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import MistakeError
from jitter.records.table import Column, Faults, Table, read_number, read_table

COLUMNS = {
    "frame": Column("1", ("number",), "the number of the frame", 0.0, 1e9),
    "gap": Column("m", ("drop to jet",), "the gap", -1.0, 1.0),
    "delay": Column("s", (), "the delay", 0.0, 10.0),
    "power": Column("1", (), "the power", 1e-6, 1.0),
    "air": Column("K", ("air temperature",), "the temperature of the air"),
    "remarks": Column(None, ("notes",), "anything else"),
}


def table_of(text: str | bytes) -> Table:
    """Read a table whose headings and rows are sound."""
    data = text if isinstance(text, bytes) else text.encode()
    return read_table(data, source="log.csv", columns=COLUMNS)


def numbers_of(text: str, column: str) -> list[float | None]:
    """Return a column of a sound table in SI."""
    table, faults = table_of(text), Faults("log.csv")
    numbers = [read_number(row, column, table, faults.place) for row in table.rows]
    faults.judge()
    return numbers


def told(work: Callable[[], object]) -> list[str]:
    """Return the faults that something raises, each on one line."""
    with pytest.raises(MistakeError) as caught:
        work()
    return [f"{one.line} {one.key}: {one.wrong}; {one.right}" for one in caught.value.faults]
