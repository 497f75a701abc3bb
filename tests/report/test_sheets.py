"""Tables as CSV: numbers stay numbers, texts stay texts, in any spreadsheet."""

from __future__ import annotations

import csv
import re
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jitter.report.reading import PageTable
from jitter.report.sheets import MARK, harmless, sheet


def read(text: str) -> list[list[str]]:
    assert text.startswith(MARK)
    return list(csv.reader(StringIO(text.removeprefix(MARK))))


def column(*cells: str) -> list[list[str]]:
    """Return a column of the page, headed x, as the columns of the sheet."""
    rows = tuple(("row", cell) for cell in cells)
    return [
        list(one) for one in zip(*read(sheet(PageTable("", "", ("", "x"), rows))), strict=True)
    ][1:]


@pytest.mark.parametrize(
    ("cells", "columns"),
    [
        (("5.41 ms", "6 ms"), [["x [ms]", "5.41", "6"]]),
        (("72.4 %", "<0.1 %", "none", ""), [["x [%]", "72.4", "<0.1", "none", ""]]),
        (("+14.3", "≈ 0", "-0.2", "−0.3"), [["x", "+14.3", "≈ 0", "-0.2", "-0.3"]]),
        (
            ("72.1 to 72.8 %", "-1 to 2.50 %"),
            [["x, from [%]", "72.1", "-1"], ["x, to [%]", "72.8", "2.50"]],
        ),
        (
            ("73.2 % (72.9 to 73.5 %)", "5 % (4 to 6)"),
            [["x [%]", "73.2", "5"], ["x, from [%]", "72.9", "4"], ["x, to [%]", "73.5", "6"]],
        ),
        (
            ("+14.0 (+13.7 to +14.2)", "≈ 0 (-0.09 to +0.09)", "–"),
            [
                ["x", "+14.0", "≈ 0", "–"],
                ["x, from", "+13.7", "-0.09", ""],
                ["x, to", "+14.2", "+0.09", ""],
            ],
        ),
        (
            ("2 ms (1 to 3 ms)", "980 µs (0 to 990 µs)", "1 ms (0 to 2)"),
            [
                ["x [ms]", "2", "0.980", "1"],
                ["x, from [ms]", "1", "0", "0"],
                ["x, to [ms]", "3", "0.990", "2"],
            ],
        ),
        (("2 ms (1 to 3 µs)", "1 ms (0 to 2 ms)"), [["x", "2 ms (1 to 3 µs)", "1 ms (0 to 2 ms)"]]),
        (("2.4 ±0.4", "~0", "1 ±<0.1"), [["x", "2.4", "~0", "1"], ["x, ±", "0.4", "", "<0.1"]]),
        # The commonest unit; the point moves and no digit is lost.
        (("6 µs", "0.30 ms", "1 s", "9 µs", "0 ms"), [["x [µs]", "6", "300", "1000000", "9", "0"]]),
        (("0.299 ms", "6.04 µs", "1.20 ms"), [["x [ms]", "0.299", "0.00604", "1.20"]]),
        (("1 ms", "2 ms", "980 µs"), [["x [ms]", "1", "2", "0.980"]]),
        (("90.6 ms/(m/s)", "1 ms/(m/s)"), [["x [ms/(m/s)]", "90.6", "1"]]),
        (("1.79 mPa s", "2 mPa s"), [["x [mPa s]", "1.79", "2"]]),
        # Several kinds, or sorts of units: as the page shows them.
        (("72.4 %", "5.41 ms"), [["x", "72.4 %", "5.41 ms"]]),
        (("72.4 %", "72.1 to 72.8 %"), [["x", "72.4 %", "72.1 to 72.8 %"]]),
        (("5 %", "7"), [["x", "5 %", "7"]]),
        (("6 µs", "7 µs", "<0.1 ms"), [["x", "6 µs", "7 µs", "<0.1 ms"]]),
        (("<0.1 ms", "7 %"), [["x", "<0.1 ms", "7 %"]]),
        (("−8.4 % (apart)", "3.5 %"), [["x", "−8.4 % (apart)", "3.5 %"]]),
        (("sd 3 %", "none"), [["x", "sd 3 %", "none"]]),
        (("1/64", "1"), [["x", "'1/64", "1"]]),
        # No number that anybody writes is so long, or its point that far away.
        (("1e999999999 ms", "2 s"), [["x", "1e999999999 ms", "2 s"]]),
        (("-" + "9" * 99,), [["x", "'-" + "9" * 99]]),
        (("١ ms", "2 ms"), [["x", "١ ms", "2 ms"]]),
        ((), [["x"]]),
    ],
)  # fmt: skip
def test_columns(cells: tuple[str, ...], columns: list[list[str]]) -> None:
    assert column(*cells) == columns


@pytest.mark.parametrize("text", ["-1.3", "+0.034", "0", "1.5e-5", "−2"])
def test_numbers_stay_numbers(text: str) -> None:
    assert float(harmless(text)) == float(text.replace("−", "-"))


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+SUM(A1)", "-cmd", "@x", " =1", "＝1", "-1+2", "+14.1 to +14.5", "--1", "-1.3 "],
)
def test_what_a_spreadsheet_would_run_is_text(text: str) -> None:
    assert harmless(text).lstrip().startswith("'")


@given(st.text())
def test_no_text_begins_a_formula_however_cells_are_parted(text: str) -> None:
    said = harmless(text)
    if re.fullmatch(r"[+-]?[0-9.]+(e[+-]?[0-9]+)?", said):
        return
    for cell in re.split(r"[;\t]", said):
        assert not cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠"))


@given(
    st.lists(
        st.text(alphabet=st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"])), max_size=5
    )
)
def test_any_text_comes_back_from_its_own_cell(texts: list[str]) -> None:
    headers = ("x", *(f"h{place}" for place in range(len(texts))))
    rows = (("row", *texts), ("words", *("word" for _ in texts)))
    head, first, _ = read(sheet(PageTable("", "", headers, rows)))
    assert (head, first) == (list(headers), ["row", *map(harmless, texts)])


def test_headings_from_users_are_harmless_too() -> None:
    table = PageTable("", "", ("=A1", "b"), (("@x", "c"),))
    assert read(sheet(table)) == [["'=A1", "b"], ["'@x", "c"]]


def test_rows_of_unequal_length_keep_their_cells() -> None:
    table = PageTable("", "", ("a",), (("b", "c"), ("d",)))
    assert read(sheet(table)) == [["a", ""], ["b", "c"], ["d", ""]]
