"""Tables of measurements, and how they are printed."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

Cell = str | float


@dataclass(frozen=True)
class Table:
    """What was measured.

    Attributes
    ----------
    title
        What is compared.
    note
        How.
    columns, rows
        The first column is words.
    headlines
        What of it belongs into the README: words and figures.
    """

    title: str
    note: str
    columns: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    headlines: Sequence[tuple[str, str]] = ()


def figure(value: float) -> str:
    """Return a number with three digits; counts of a size that can be counted keep all of them.

    Examples
    --------
    >>> figure(0.012345), figure(1234.5), figure(199928.0), figure(3.0)
    ('0.0123', '1,234', '200,000', '3.00')
    """
    if abs(value) >= 1e5:
        value = float(f"{value:.3g}")
    if value != value or abs(value) >= 100.0:
        return f"{value:,.0f}"
    return f"{value:#.3g}" if abs(value) >= 1e-3 or value == 0.0 else f"{value:.2g}"


def markdown(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> str:
    """Return a table whose columns stand under each other on a screen, too."""
    cells = [[cell if isinstance(cell, str) else figure(cell) for cell in row] for row in rows]
    widths = [max(map(len, column)) for column in zip(columns, *cells, strict=True)]

    def line(row: Sequence[str]) -> str:
        first, *others = zip(row, widths, strict=True)
        padded = [first[0].ljust(first[1]), *(cell.rjust(width) for cell, width in others)]
        return f"| {' | '.join(padded)} |"

    rule = ["-" * widths[0], *("-" * (width - 1) + ":" for width in widths[1:])]
    return "\n".join([line(columns), line(rule), *(line(row) for row in cells)])


def show(table: Table) -> None:
    """Print a table."""
    print(f"\n### {table.title}\n\n{table.note}\n")
    print(markdown(table.columns, table.rows), flush=True)


def machine() -> str:
    """Return what the figures were measured on, in a line."""
    names = ("numpy", "scipy", "SALib", "openturns")
    libraries = ", ".join(f"{name} {version(name)}" for name in names)
    return (
        f"{_processor()}, {os.cpu_count()} cores; Python {platform.python_version()}, {libraries}"
    )


def _processor() -> str:
    told = Path("/proc/cpuinfo")
    for line in told.read_text().splitlines() if told.exists() else ():
        if line.startswith("model name"):
            return line.split(":", 1)[1].strip()
    return platform.processor() or platform.machine()
