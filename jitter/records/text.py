"""From bytes to text and from text to rows of cells, whoever wrote them."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Iterator

from jitter.errors import Fault, MistakeError, RefusedError

LARGEST = 20_000_000
"""Bytes; far more than 100,000 rows kept by hand."""

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
"""What may stand between cells, the likelier first, in words."""

_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_HINT = re.compile(r"\s*sep=.\s*", re.IGNORECASE)


def read_text(data: bytes, *, source: str) -> tuple[str, tuple[str, ...]]:
    r"""Return the text of a record, its lines ended by single line feeds, and what was guessed.

    Parameters
    ----------
    data
        UTF-8, UTF-16 with a byte-order mark, or else Latin-1 as spreadsheets write it.
    source
        Its name, for messages.

    Raises
    ------
    MistakeError
        If it is too large, empty or no text.

    Examples
    --------
    >>> read_text("verdict\r\nkeeper".encode("utf-8-sig"), source="log.csv")
    ('verdict\nkeeper', ('a byte-order mark at the start was left out',))
    """

    def refuse(wrong: str, right: str, line: int | None = None) -> MistakeError:
        return MistakeError([Fault(source, line, "the file", wrong, right)])

    if len(data) > LARGEST:
        wrong = f"it has {len(data) / 1e6:.0f} MB, more than the {LARGEST / 1e6:.0f} MB read here"
        raise refuse(wrong, "divide it, or leave out what is no table")
    notes = []
    try:
        if data.startswith(codecs.BOM_UTF8):
            text = data.decode("utf-8-sig")
            notes.append("a byte-order mark at the start was left out")
        elif data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            text = data.decode("utf-16")
            notes.append("the text is UTF-16, by its byte-order mark")
        else:
            try:
                text = data.decode("utf-8")
            except UnicodeDecodeError:
                # What spreadsheets call Latin-1 has quotes and dashes of its own besides.
                text = data.decode("cp1252")
                notes.append("the text is not UTF-8 and was read as Latin-1: look at accents")
    except UnicodeDecodeError:
        text = "\0"
    strange = _NO_TEXT.search(text)
    if strange:
        line = text.count("\n", 0, strange.start()) + 1
        right = "save the table as CSV, in UTF-8, and name that file"
        raise refuse("here it is no text", right, line)
    if not text.strip():
        raise refuse("it is empty", "write a line of headings and a line for each row")
    return text.replace("\r\n", "\n").replace("\r", "\n"), tuple(notes)


class Rows:
    r"""The rows of cells of a text; lines that begin with ``#`` are left out.

    Parameters
    ----------
    text
        Its lines ended by single line feeds.
    delimiter
        What stands between the cells.

    Attributes
    ----------
    first, last
        Lines, counted from 1, on which the row given last begins and ends.
    delimiter_name
        Of what stands between the cells, in words.
    commented
        Lines left out that have as many cells as the widest row before them: rows, perhaps.

    Examples
    --------
    >>> rows = Rows("# mine\na;b\n1;'", ";")
    >>> [(rows.first, row) for row in rows]
    [(2, ['a', 'b']), (3, ['1', "'"])]
    """

    def __init__(self, text: str, delimiter: str) -> None:
        self.first = self.last = 0
        self.delimiter_name = DELIMITERS[delimiter]
        self.commented: list[int] = []
        self._delimiter = delimiter
        self._width = 1
        self._text = text
        self._begins = True
        self._reader = csv.reader(
            self._lines(), delimiter=delimiter, skipinitialspace=True, strict=True
        )

    def __iter__(self) -> Iterator[list[str]]:
        """Give row after row; blank lines are empty rows.

        Raises
        ------
        RefusedError
            If a row, which begins on line `first`, cannot be divided into cells.
        """
        while True:
            self._begins = True
            try:
                cells = next(self._reader)
                self._width = max(self._width, len(cells))
                yield cells
            except StopIteration:
                return
            except csv.Error:
                raise RefusedError(
                    "from here on it cannot be divided into cells",
                    "end a cell that begins with a quote mark with one, and double those inside",
                ) from None

    def _lines(self) -> Iterator[str]:
        """Give the lines; a ``#`` inside a quoted cell of several lines is no comment."""
        start = 0
        while start < len(self._text):
            end = self._text.find("\n", start)
            end = len(self._text) if end < 0 else end
            line = self._text[start:end]
            start = end + 1
            self.last += 1
            if self._begins:
                if line.lstrip().startswith("#") or _HINT.fullmatch(line):
                    if 1 < self._width <= line.count(self._delimiter) + 1:
                        self.commented.append(self.last)
                    continue
                self.first = self.last
                self._begins = False
            yield line + "\n"
