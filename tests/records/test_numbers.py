"""Numbers in cells: units in cell or heading, decimal commas, thousands, limits."""

from __future__ import annotations

import pytest

from tests.records.conftest import numbers_of, table_of, told


@pytest.mark.parametrize(
    ("heading", "cell", "value"),
    [
        # Closed form: the written number times its unit's size in SI.
        ("gap (mm)", "12", 0.012),
        ("gap (mm)", "12 cm", 0.12),
        ("gap (mm)", "1.5e1", 0.015),
        ("gap (mm)", "−3", -0.003),
        ("gap (mm)", "–3", -0.003),
        ("gap (mm)", "+3", 0.003),
        ("gap (mm)", "1.234", 0.001234),
        ("gap_in", "19 1/2", 0.4953),
        ("gap_in", "½", 0.0127),
        ("gap", "1/2 in", 0.0127),
        ("gap", "12\u00a0mm", 0.012),
        ("gap", "-", None),
        ("gap", "n/a", None),
        ("gap", "", None),
        ("delay in ms", "294.5", 0.2945),
        ("power", "1/64", 0.015625),
        ("power", "1/32 + 1 stop", 0.0625),
        ("power (%)", "50", 0.5),
        ("air (°C)", "20", 293.15),
        ("frame", "17", 17.0),
    ],
)
def test_numbers_are_read_in_si(heading: str, cell: str, value: float | None) -> None:
    column = heading.partition(" ")[0].partition("_")[0]
    assert numbers_of(f"{heading}\tnotes\n{cell}\tx", column) == [value]


@pytest.mark.parametrize(
    "text",
    [
        "frame;gap (mm)\n1;3,5",
        "frame\tgap (mm)\n1\t3,5",
        'frame,gap (mm)\n1,"3,5"',
        "frame|gap\n1|3,5 mm",
    ],
)
def test_decimal_commas_are_read_where_they_divide_no_cells(text: str) -> None:
    assert numbers_of(text, "gap") == [0.0035]
    unit = " mm" if text.endswith("mm") else ""
    said = f"decimal commas were read as points: 3,5{unit} as 3.5{unit}"
    assert table_of(text).notes == (said,)


def test_commas_and_points_may_stand_in_one_table() -> None:
    assert numbers_of("gap (mm);frame\n3,5;1\n3.5;2", "gap") == [0.0035, 0.0035]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        # One cell that leaves no doubt settles those that do.
        ("gap (mm);frame\n1,234;1\n0,5;2", [0.001234, 0.0005]),
        ("gap (mm);frame\n1.234;1\n0.5;2", [0.001234, 0.0005]),
        ("gap (mm);frame\n1.234;1\n1.2340;2", [0.001234, 0.001234]),
        ("gap (mm),frame\n1.234,1\n", [0.001234]),
    ],
)
def test_one_clear_cell_settles_the_decimal_mark(text: str, values: list[float]) -> None:
    assert numbers_of(text, "gap") == values


@pytest.mark.parametrize(
    "text",
    [
        "gap (mm);frame\n1,234;1",
        "gap (mm);frame\n1.234;1",
        'gap (mm),frame\n"1,234",1',
        "gap (mm);frame\n1,234;1\n0.5;2",
        "gap (mm);frame\n1.234;1\n0,5;2",
        "gap (mm);frame\n1.234;1\n0,5;2\n0.5;3",
        "gap (mm);frame\n1,234;1\n0,5;2\n0.5;3",
    ],
)
def test_what_may_be_thousands_is_asked(text: str) -> None:
    (fault,) = told(lambda: numbers_of(text, "gap"))
    assert fault.startswith("2 gap: ")
    assert "divides thousands; if so, write it without" in fault


@pytest.mark.parametrize("cell", ["1.234,5", "1,234.5", "1.234.567", "1,2,3", "1.5.2"])
def test_thousands_are_never_read_as_anything_else(cell: str) -> None:
    (fault,) = told(lambda: numbers_of(f"gap (mm);frame\n{cell};1", "gap"))
    assert "has more than one comma or point" in fault


@pytest.mark.parametrize(
    ("heading", "cell", "said"),
    [
        ("gap", "12", "'12' has no unit; write it once in the heading, such as \"gap (mm)\""),
        ("gap", "0", "'0' has no unit"),
        ("gap (drop to jet)", "12", "'12' has no unit"),
        ("gap (mm)", "12 parsec", "'parsec' is no unit known here"),
        ("gap (mm)", "12 ms", "'12 ms' is a time, but a length is wanted"),
        ("gap (mm)", "nan", "'nan' is not a number"),
        ("gap (mm)", "inf", "'inf' is not a number"),
        ("gap (mm)", "1e999", "'1e999 mm' is not a finite number"),
        ("delay", "1e308 min", "'1e308 min' is not a finite number"),
        ("gap (mm)", "1" * 61, "is too long for a number"),
        ("gap (mm)", "1 234", "holds two numbers"),
        ("gap (mm)", "about 12", "is not a number"),
        ("power (%)", "1/64", "stands under a heading in %, but is a fraction"),
        ("delay", "294 s", "'294 s' is above 10 s; did you mean 294 ms?; the delay lies from 0 ms"),
        ("delay (s)", "294", "'294' is above 10 s; did you mean 294 ms?"),
        ("gap", "12 m", "'12 m' is above 1000 mm; did you mean 12 mm?"),
        ("gap", "5e6 m", "'5e6 m' is above 1000 mm; the gap lies from -1000 mm to 1000 mm"),
        ("delay", "-1 ms", "'-1 ms' is below 0 ms; the delay"),
        ("power", "64", "'64' is above 1; did you mean 1/64 or 64 %?"),
        ("power", "0", "'0' is below 1e-6; the power"),
        ("frame", "2e9", "'2e9' is above 1000000000; the number of the frame lies from 0 to"),
    ],
)
def test_what_is_no_number_here_is_told(heading: str, cell: str, said: str) -> None:
    (fault,) = told(lambda: numbers_of(f"{heading}\tnotes\n{cell}\tx", heading.partition(" ")[0]))
    assert said in fault


def test_the_same_fault_is_not_told_a_thousand_times() -> None:
    rows = "".join(f"{number},x\n" for number in range(1000))
    faults = told(lambda: numbers_of(f"gap,notes\n{rows}", "gap"))
    assert [fault.partition(";")[0] for fault in faults] == [
        "2 gap: '0' has no unit",
        "3 gap: '1' has no unit",
        "4 gap: '2' has no unit",
        "5 gap: and 997 lines more, the last of them 1001",
    ]


def test_four_alike_are_told_one_by_one() -> None:
    faults = told(lambda: numbers_of("gap,notes\n1,\n2,\n3,\n4,", "gap"))
    assert "'4' has no unit" in faults[3]
