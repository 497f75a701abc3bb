"""Where each statement of a study's text stands, to the letter."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

_BLANK = re.compile(r"(?:[ \t\r\n\ufeff]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BETWEEN = re.compile(r"[ \t\r\n,]*")
_KEY = re.compile(r"""(?:"[^"\n]*"|'[^'\n]*'|[^"'=\n#])+""")
_HEADER = re.compile(r"\[\[?([^\]\n]*)\]\]?[^\n]*")
STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"""+|' + r"'''.*?'''+|" + r'"(?:\\.|[^"\\\n])*"|' + r"'[^'\n]*'", re.DOTALL
)
_PART = re.compile(r"""["']([^"']*)["']|([^\s."']+)""")


@dataclass(frozen=True)
class Statement:
    """A key and its value as they stand in a text.

    Attributes
    ----------
    path
        Section and key, part by part.
    section
        Of them, how many are the section's, or the name of the table in braces.
    start, value, end
        Where the key begins, where the value begins and where it ends.
    """

    path: tuple[str, ...]
    section: int
    start: int
    value: int
    end: int


@dataclass(frozen=True)
class Header:
    """The name of a section as it stands in a text.

    Attributes
    ----------
    path
        Part by part.
    end
        Where its line ends.
    """

    path: tuple[str, ...]
    end: int


def find_statements(text: str) -> tuple[list[Statement], list[Header]]:
    r"""Return the statements and the names of sections in a text.

    Parameters
    ----------
    text
        A TOML document that parses.

    Examples
    --------
    >>> (one,), _ = find_statements('[sensor]\nheight = "19 in" # ruler\n')
    >>> one.path, one.start, one.end
    (('sensor', 'height'), 9, 25)
    """
    statements: list[Statement] = []
    headers: list[Header] = []
    section: tuple[str, ...] = ()
    place = 0
    while True:
        place = _matched(_BLANK, text, place)
        if place >= len(text):
            return statements, headers
        if text[place] == "[":
            header = _HEADER.match(text, place)
            if header is None:
                return statements, headers
            section, place = _path(header[1]), header.end()
            headers.append(Header(section, place))
            continue
        equals = _matched(_KEY, text, place)
        value = _matched(_SPACE, text, equals + 1)
        end = value_end(text, value)
        path = (*section, *_path(text[place:equals]))
        statements.append(Statement(path, len(section), place, value, end))
        place = max(end, place + 1)


def value_end(text: str, start: int) -> int:
    """Return where a value ends that begins at a place of a text."""
    place, depth = start, 0
    while place < len(text):
        letter = text[place]
        if letter in "\"'":
            string = STRING.match(text, place)
            place = string.end() if string else len(text)
            continue
        if letter == "#":
            if depth == 0:
                break
            place = _matched(_BLANK, text, place)
            continue
        if letter in "[{":
            depth += 1
        elif letter in "]}":
            if depth == 0:
                break
            depth -= 1
        elif depth == 0 and letter in "\n,":
            break
        place += 1
    return start + len(text[start:place].rstrip())


def inside(text: str, table: Statement) -> Iterator[Statement]:
    """Yield the statements inside the braces of a value; none where it has no braces.

    Examples
    --------
    >>> text = 'latency = { nominal = "8 ms", shot = "none" }'
    >>> (whole,), _ = find_statements(text)
    >>> [(one.path[-1], text[one.value : one.end]) for one in inside(text, whole)]
    [('nominal', '"8 ms"'), ('shot', '"none"')]
    """
    if not text.startswith("{", table.value):
        return
    place = table.value + 1
    while True:
        place = _matched(_BETWEEN, text, place)
        if place >= table.end - 1:
            return
        equals = _matched(_KEY, text, place)
        value = _matched(_SPACE, text, equals + 1)
        end = value_end(text, value)
        path = (*table.path, *_path(text[place:equals]))
        yield Statement(path, len(table.path), place, value, end)
        place = max(end, place + 1)


def _path(written: str) -> tuple[str, ...]:
    return tuple(
        match[1] if match[1] is not None else match[2] for match in _PART.finditer(written)
    )


def _matched(pattern: re.Pattern[str], text: str, place: int) -> int:
    match = pattern.match(text, place)
    return match.end() if match else place
