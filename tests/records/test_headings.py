"""What a heading means, however it is spelt."""

from __future__ import annotations

import pytest

from jitter.records.headings import Heading, dimension, find_heading
from tests.records.conftest import table_of, told

NAMES = {"gap": "gap", "droptojet": "gap", "air": "air", "power": "power", "notes": "notes"}
UNITS = {"gap": "m", "air": "K", "power": "1", "notes": None}


@pytest.mark.parametrize(
    ("text", "column", "unit"),
    [
        ("gap", "gap", ""),
        (" GAP ", "gap", ""),
        ("Drop-to_jet", "gap", ""),
        ("gap (mm)", "gap", "mm"),
        ("gap [in]", "gap", "in"),
        ("gap\n(mm)", "gap", "mm"),
        ("gap_mm", "gap", "mm"),
        ("gap/µm", "gap", "µm"),
        ("Gap, mm", "gap", "mm"),
        ("gap in mm", "gap", "mm"),
        ("gap in", "gap", "in"),
        ("gap (drop to jet) (mm)", "gap", "mm"),
        ("gap (drop to jet)", "gap", ""),
        ("gap (1/10 mm)", "gap", ""),
        ("air [°C]", "air", "°C"),
        ("power %", "power", "%"),
        ("notes (free)", "notes", ""),
        ("gap 2", "", ""),
        ("the gap", "", ""),
        ("", "", ""),
    ],
)
def test_headings_are_understood(text: str, column: str, unit: str) -> None:
    assert find_heading(text, NAMES, UNITS) == Heading(column, unit, "")


@pytest.mark.parametrize("text", ["gap (ms)", "gap_ms", "gap in ms"])
def test_a_unit_of_another_dimension_is_noticed(text: str) -> None:
    assert find_heading(text, NAMES, UNITS) == Heading("gap", "", "ms")


@pytest.mark.parametrize("unit", ["1 mm", "+ 1/3 stop", "5", "", "parsec", "mm of it"])
def test_what_would_be_read_along_with_a_number_is_no_unit(unit: str) -> None:
    assert dimension(unit) is None


def test_every_wrong_heading_is_told_with_what_was_meant() -> None:
    faults = told(lambda: table_of("gab,delay_mm,frame,Number,notes\n1,2,3,4,5"))
    assert [fault.partition(";")[0] for fault in faults] == [
        "1 gab: there is no such column",
        "1 delay: 'delay_mm' is a length, but a time is wanted",
        "1 frame: 'frame' and 'Number' are one column",
    ]
    assert 'did you mean "gap"?' in faults[0]


def test_a_persons_own_columns_are_kept_out_and_named() -> None:
    table = table_of("gab,weather,gap (mm)\n1,2,3")
    # A column like one that is there already is a column of its own.
    assert table.columns == ("gap",)
    assert table.notes == ("columns not used: gab, weather",)


def test_columns_without_a_heading_are_noted_only_where_they_hold_something() -> None:
    assert table_of("frame,,\n1,,\n2,,").notes == ()
    assert table_of("frame,,\n1,,\n2,,x").notes == (
        "columns not used, since they have no heading: 3",
    )


def test_a_unit_on_a_column_of_words_is_noted() -> None:
    assert "in ms" in table_of("frame,remarks (ms)\n1,2").notes[0]


def test_more_headings_than_anybody_keeps_are_refused() -> None:
    (fault,) = told(lambda: table_of("frame" + ",x" * 200 + "\n1"))
    assert fault.startswith("1 the headings: there are 201 headings")
