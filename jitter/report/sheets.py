"""A table of a page as CSV: what a spreadsheet can reckon with, and nothing that it would run.

A column whose cells are all of one kind, such as ``5.41 ms``, ``74.9 to 75.4 %``, ``72.4 ±0.4`` or
``+14.0 (+13.7 to +14.2)``, becomes plain numbers, a column for each, with the unit in its heading;
what mixes kinds, and what is no number, such as ``≈ 0`` or ``<0.1``, stays as the page shows it.
Digits are never made or lost.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from io import StringIO
from itertools import zip_longest

from jitter.report.reading import PageTable

MARK = "\ufeff"
"""Common practice: spreadsheets take a file that begins so for UTF-8, and guess otherwise."""
NUMBER = r"[+−-]?[0-9]{1,12}(?:\.[0-9]{1,12})?(?:e[+-]?[0-9]{1,2})?"
"""As we write them; what is longer is a user's text."""
UNIT = r"(?: (?P<unit>[^\s\d(,;][^\s\d,;]*(?: s)?))?"
PLAIN = re.compile(rf"(?:{NUMBER})\Z")
KINDS = {
    "": re.compile(rf"(?P<one>{NUMBER}){UNIT}\Z"),
    "to": re.compile(rf"(?P<one>{NUMBER}) to (?P<two>{NUMBER}){UNIT}\Z"),
    "±": re.compile(rf"(?P<one>{NUMBER}) ±(?P<two><?{NUMBER}){UNIT}\Z"),
    "()": re.compile(
        rf"(?P<one>{NUMBER}|≈ 0){UNIT}"
        rf" \((?P<two>{NUMBER}) to (?P<three>{NUMBER})(?: (?P=unit))?\)\Z"
    ),
}
NAMES = {"": ("",), "to": (", from", ", to"), "±": ("", ", ±"), "()": ("", ", from", ", to")}
"""What a heading gains in the sheet, by kind."""
VAGUE = re.compile(rf"(?P<one>|none|–|∞|[≈~] ?0|(?:<|over ){NUMBER}){UNIT}\Z")
"""Stands among numbers without being one."""
BARE = ("", "0", "none", "–", "∞", "≈ 0", "≈0", "~0", "~ 0")
SCALES = {
    f"{prefix}{unit}": (unit, power)
    for unit in ("s", "m", "L", "g")
    for prefix, power in (("", 0), ("m", -3), ("µ", -6))
}
DANGER = re.compile(r"(^|[;\t])(\s*)(?=[=+@＝＋－＠-])")
DATES = re.compile(r"\d+/\d+\b")


def sheet(table: PageTable) -> str:
    """Return a table as CSV, with a row of headings.

    Parameters
    ----------
    table
        As the page shows it.

    Examples
    --------
    >>> table = PageTable("", "", ("way", "age"), (("as set", "5.41 ms"), ("trimmed", "980 µs")))
    >>> sheet(table).lstrip(MARK).splitlines()
    ['way,age [ms]', 'as set,5.41', 'trimmed,0.980']
    """
    shown = zip_longest(table.headers, *table.rows, fillvalue="")
    columns = [column for header, *cells in shown for column in _columns(header, cells)]
    written = StringIO()
    rows = zip(*columns, strict=True)
    csv.writer(written, lineterminator="\n").writerows([harmless(cell) for cell in r] for r in rows)
    return MARK + written.getvalue()


def harmless(text: str) -> str:
    """Return a cell that no spreadsheet takes for a formula or a date; numbers stay numbers.

    Spreadsheets run what begins with one of ``= + - @``, also as wide letters; an apostrophe before
    it makes it text. So does one before a fraction such as 1/64, which they take for a month. Those
    that part cells at semicolons would find a beginning after each. Common practice, no source.

    Examples
    --------
    >>> harmless("-1.3"), harmless("=1+1"), harmless("1/64"), harmless("a; @b")
    ('-1.3', "'=1+1", "'1/64", "a; '@b")
    """
    if PLAIN.match(text):
        return text.replace("−", "-")
    if DATES.match(text):
        return f"'{text}"
    return DANGER.sub(r"\1\2'", text)


def _columns(header: str, cells: Sequence[str]) -> list[list[str]]:
    """Return a column of the page as one to three of the sheet, each with its heading first."""
    for kind, pattern in KINDS.items():
        found = [pattern.match(cell) or VAGUE.match(cell) for cell in cells]
        told = [one for one in found if one is not None]
        if len(told) < len(cells) or not any(one.re is pattern for one in told):
            continue
        unit = _common(told)
        if unit is None:
            break
        shown = f" [{unit}]" if unit else ""
        return [
            [f"{header}{name}{shown}", *(_part(one, part, unit) for one in told)]
            for name, part in zip(NAMES[kind], ("one", "two", "three"), strict=False)
        ]
    return [[header, *cells]]


def _common(told: Sequence[re.Match[str]]) -> str | None:
    """Return the commonest of units of one sort; None where there are several sorts."""
    # Nothing is nothing in any unit, and so is an empty cell.
    units = [one["unit"] or "" for one in told if one["unit"] or one["one"] not in BARE]
    if len({SCALES.get(unit, (unit, 0))[0] for unit in units}) > 1:
        return None
    common = Counter(units).most_common(1)[0][0] if units else ""
    vague = {one["unit"] for one in told if not PLAIN.match(one["one"])}
    return common if vague <= {None, common} else None


def _part(told: re.Match[str], part: str, unit: str) -> str:
    """Return one of a cell's numbers; empty where it has no such number."""
    number = told.groupdict().get(part)
    return "" if number is None else _moved(number, told["unit"], unit)


def _moved(number: str, own: str | None, unit: str) -> str:
    """Return a number in the unit of its column: its digits, the point moved."""
    if not own or own == unit or number in BARE:
        return number
    moved = Decimal(number.replace("−", "-")).scaleb(SCALES[own][1] - SCALES[unit][1])
    return f"{moved:f}" if moved else "0"
