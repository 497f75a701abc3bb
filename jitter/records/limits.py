"""Whether a number lies where those of its column can lie, and which unit was perhaps meant."""

from __future__ import annotations

import re

from jitter.errors import RefusedError, shown
from jitter.records.columns import Column
from jitter.records.numbers import read_cell
from jitter.units.table import DIMENSIONS
from jitter.units.writing import write_value

_NUMBER = re.compile(r"[^A-Za-zµμ%\"°]+(?:e[+-]?\d+)?", re.IGNORECASE)


def check_limits(
    value: float, text: str, column: Column, marks: frozenset[str]
) -> RefusedError | None:
    """Return why a number cannot stand in a column, None where it can.

    Parameters
    ----------
    value
        In SI.
    text
        As written.
    column
        With its limits.
    marks
        What is the decimal mark elsewhere in the table.

    Examples
    --------
    >>> delay = Column("s", (), "the delay", 0.0, 10.0)
    >>> check_limits(294.0, "294 s", delay, frozenset())
    RefusedError("'294 s' is above 10 s; did you mean 294 ms?; the delay lies from 0 ms to 10 s")
    >>> check_limits(0.294, "294 ms", delay, frozenset())
    """
    outside = _outside(value, column)
    if not outside:
        return None
    return RefusedError(
        f"{shown(text)} is {outside}{_meant(text, column, marks)}",
        f"{column.meaning} lies {_range(column)}",
    )


def _outside(value: float, column: Column) -> str:
    si = column.unit or ""
    if column.lower is not None and value < column.lower:
        return f"below {write_value(column.lower, si)}"
    if column.upper is not None and value > column.upper:
        return f"above {write_value(column.upper, si)}"
    return ""


def _range(column: Column) -> str:
    si = column.unit or ""
    lower = "" if column.lower is None else write_value(column.lower, si)
    upper = "" if column.upper is None else write_value(column.upper, si)
    if lower and upper:
        return f"from {lower} to {upper}"
    return f"from {lower} on" if lower else f"up to {upper}"


def _meant(text: str, column: Column, marks: frozenset[str]) -> str:
    """Ask for the other ways to write a number that would bring it into its range."""
    si = column.unit or ""
    number = match[0].strip() if (match := _NUMBER.match(text)) else ""
    tried = [f"{number} {DIMENSIONS[si][1].partition(' ')[2]}"]
    if si == "1":
        # A share, such as a power, is written as a fraction or in per cent.
        tried = [f"1/{number}", f"{number} %"] if column.upper == 1.0 else []
    fits = []
    for guess in tried:
        value = read_cell(guess, si, "", marks, "")
        if isinstance(value, float) and not _outside(value, column):
            fits.append(guess)
    return f"; did you mean {' or '.join(fits)}?" if fits else ""
