"""From bytes to text: whatever program wrote them, and what is no text at all."""

from __future__ import annotations

import pytest

from jitter.errors import RefusedError
from jitter.records.text import LARGEST, Rows, read_text
from tests.records.conftest import told

SAID = "gap;notes\n3,5;Straße – 20 °C\n"


@pytest.mark.parametrize(
    ("encoding", "note"),
    [
        ("utf-8", ""),
        ("utf-8-sig", "byte-order mark"),
        ("utf-16", "UTF-16"),
        ("cp1252", "Latin-1"),
    ],
)
def test_text_is_the_same_in_every_encoding(encoding: str, note: str) -> None:
    text, notes = read_text(SAID.encode(encoding), source="log.csv")
    assert text == SAID
    assert [note in one for one in notes] == ([True] if note else [])


def test_big_endian_text_is_read() -> None:
    assert read_text(b"\xfe\xff" + SAID.encode("utf-16-be"), source="log.csv")[0] == SAID


@pytest.mark.parametrize("end", ["\r\n", "\r", "\n"])
def test_line_ends_are_made_alike(end: str) -> None:
    assert read_text(f"a{end}b{end}".encode(), source="log.csv")[0] == "a\nb\n"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "None the file: it is empty"),
        (b" \r\n\t\n", "None the file: it is empty"),
        (b"\xef\xbb\xbf", "None the file: it is empty"),
        (b"PK\x03\x04\x14\x00", "1 the file: here it is no text; save the table as CSV"),
        (b"frame\n1\n2\x00\n", "3 the file: here it is no text"),
        (b"\xff\xfe\x00", "1 the file: here it is no text"),
        (b"\xef\xbb\xbf\xff", "1 the file: here it is no text"),
        (b"frame\n\x81", "1 the file: here it is no text"),
        (b"1" * (LARGEST + 1), "None the file: it has 20 MB, more than the 20 MB read here"),
    ],
)
def test_what_is_no_text_is_refused(data: bytes, said: str) -> None:
    (fault,) = told(lambda: read_text(data, source="log.csv"))
    assert fault.startswith(said)


def rows_of(text: str, delimiter: str = ",") -> list[tuple[int, int, list[str]]]:
    rows = Rows(text, delimiter)
    return [(rows.first, rows.last, cells) for cells in rows]


def test_rows_know_their_lines() -> None:
    text = '# "mine\nsep=,\na,b\n\n  # x\n1,"two\n# no comment"\n3, "4, 5"'
    assert rows_of(text) == [
        (3, 3, ["a", "b"]),
        (4, 4, []),
        (6, 7, ["1", "two\n# no comment"]),
        (8, 8, ["3", "4, 5"]),
    ]


@pytest.mark.parametrize("text", ['a\n"open\n1\n', 'a\n"one" two\n', "a\n" + "1" * 200_000])
def test_rows_that_cannot_be_divided_tell_where_they_begin(text: str) -> None:
    rows = Rows(text, ",")
    with pytest.raises(RefusedError):
        list(rows)
    assert rows.first == 2
