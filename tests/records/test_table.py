"""Tables as people keep them."""

from __future__ import annotations

import pytest

from jitter.errors import MistakeError
from jitter.records.table import MOST_ROWS, Faults, Row, Words, read_table, read_word
from tests.records.conftest import COLUMNS, table_of, told


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(delimiter: str) -> None:
    text = "frame,gap (mm),notes\n1,2,x\n".replace(",", delimiter)
    assert table_of(text).rows == (Row(2, {"frame": "1", "gap": "2", "remarks": "x"}),)


def test_the_delimiter_is_the_one_that_gives_known_columns() -> None:
    assert table_of("frame;what, where, when, why;gap (mm)\n1;2;3").columns == ("frame", "gap")


def test_one_column_needs_no_delimiter() -> None:
    assert table_of("remarks\nfine\n").rows == (Row(2, {"remarks": "fine"}),)


def test_comments_blank_rows_and_blank_cells_are_left_out() -> None:
    table = table_of("# mine\n\nframe,gap (mm),notes\n1,,\n# he,re\n\n,,\n2\n3,—,?\n\n,,,,\n")
    assert table.line == 3
    assert table.rows == (Row(4, {"frame": "1"}), Row(8, {"frame": "2"}), Row(9, {"frame": "3"}))
    assert table.notes == ("blank rows left out: 2",)


def test_rows_that_begin_like_comments_are_told() -> None:
    table = table_of("# a,b\nframe,notes\n1,x\n#2,y\n# dish refilled\n  # 3,z\n")
    assert [row.line for row in table.rows] == [3]
    note = "lines with cells, left out as comments since they begin with #: 4, 6"
    assert table.notes == (note,)
    (fault,) = told(lambda: table_of("frame,notes\n#1,x\n"))
    assert fault.endswith("write a line for each row; lines that begin with # are comments")


def test_spaces_around_cells_do_not_count() -> None:
    table = table_of("frame , notes\n 1 , two words \n , \n\t3,\u00a0-\u00a0\n")
    assert table.rows == (Row(2, {"frame": "1", "remarks": "two words"}), Row(4, {"frame": "3"}))


def test_blank_rows_at_the_end_go_without_saying() -> None:
    assert table_of("frame,notes\n1,\n\n,\n").notes == ()


def test_a_cell_of_several_lines_is_noted() -> None:
    table = table_of('frame,notes\n1,"one\ntwo"\n2,\n')
    assert [row.line for row in table.rows] == [2, 4]
    assert table.rows[0].cells["remarks"] == "one\ntwo"
    assert table.notes == ("a cell runs over several lines in the rows that begin at 2",)


def test_rows_with_too_many_cells_are_told_together() -> None:
    faults = told(lambda: table_of("frame,gap (mm)\n1,3,5\n2,3\n3,3,5,\n4,3,"))
    assert [fault.partition(";")[0] for fault in faults] == [
        "2 the row: it has 3 cells under 2 headings",
        "4 the row: it has 3 cells under 2 headings",
    ]
    assert "a cell that has a comma inside" in faults[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("frame,gap (mm)\n", "None the file: it has headings, but no rows"),
        ("frame,gap (mm)\n,\n#\n", "None the file: it has headings, but no rows"),
        ("# nothing else", "the headings: the first line names no column known here; name them"),
        ("1,2,3\n4,5,6", "1 the headings: the first line names no column known here; name them"),
        ("frame gap\n1 2", "1 the headings: the first line names no column known here"),
        ("\nfram,x\n1,2", '2 fram: there is no such column; did you mean "frame"?'),
        ('"frame\n1', "1 the headings: from here on it cannot be divided"),
        ('frame,notes\n1,x\n2,"open\n3,y', "3 the row: from here on it cannot be divided"),
    ],
)
def test_what_is_no_table_is_told(text: str, said: str) -> None:
    (fault,) = told(lambda: table_of(text))
    assert said in fault


def test_too_many_rows_are_refused() -> None:
    (fault,) = told(lambda: table_of("frame\n" + "1\n" * (MOST_ROWS + 1)))
    assert fault.startswith("100002 the row: there are more than 100,000 rows")


def test_faults_of_rows_can_be_told_along_with_those_of_cells() -> None:
    faults = Faults("log.csv")
    table = read_table(b"frame,gab\n1,2,3", source="log.csv", columns=COLUMNS, faults=faults)
    faults.place(7, "gap", "wrong", "right")
    assert table.rows[0].cells == {"frame": "1"}
    with pytest.raises(MistakeError) as caught:
        faults.judge()
    assert [fault.line for fault in caught.value.faults] == [1, 2, 7]


WORDS = Words(("valve", "beam", "one drop"), {"tap": "valve"}, {"hand": "which hand?"})


@pytest.mark.parametrize(
    ("cell", "word"),
    [("Valve", "valve"), ("one-drop", "one drop"), ("ONE_DROP.", "one drop"), ("tap", "valve")],
)
def test_words_are_known_however_they_are_spelt(cell: str, word: str) -> None:
    assert WORDS.read(cell) == word


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("vavle", "'vavle' is not known here; did you mean \"valve\"?"),
        ("hand", "'hand' leaves open what it means; which hand?"),
        ("hands", "'hands' is not known here; did you mean \"hand\"? which hand?"),
        ("valve?", 'did you mean "valve"?'),
        ("zebra", "write one of: valve, beam, one drop"),
        ("x" * 5000, "write one of: valve, beam, one drop"),
    ],
)
def test_unknown_words_are_told_with_the_nearest(cell: str, said: str) -> None:
    def read() -> None:
        faults = Faults("log.csv")
        table = table_of(f"notes\n{cell}")
        assert read_word(table.rows[0], "remarks", table, faults.place, words=WORDS) is None
        assert read_word(table.rows[0], "gap", table, faults.place, words=WORDS) is None
        faults.judge()

    (fault,) = told(read)
    assert fault.startswith("2 remarks: ")
    assert said in fault
