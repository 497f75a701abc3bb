"""The validation on a screen: a line to each series, what does not agree below."""

from __future__ import annotations

from itertools import groupby

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from jitter.report.prose import Prose
from jitter.report.screen import NARROW, grid, heading
from jitter.report.validation.words import findings, write_claim, write_deviation
from jitter.validation.checks import Doubt, worst
from jitter.validation.validate import Validation


def validation_screen(found: Validation, *, width: int) -> Group:
    """Return the answer to `jitter validate` as it is printed.

    Parameters
    ----------
    found
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    narrow = width < NARROW
    parts: list[RenderableType] = [*map(Prose, findings(found))]
    parts += [Text(""), heading("What does not agree, or cannot be checked")]
    parts += [_doubt(doubt) for doubt in found.doubts]
    parts.append(heading("Value by value"))
    headers = ("", "largest", "allowed") if narrow else ("", "values", "largest", "allowed", "")
    table = grid(*headers)
    table.columns[0].overflow = "fold"
    for stage, series in groupby(found.series.items(), key=lambda item: item[1][0].stage):
        table.add_row(Text(stage, style="bold"))
        for name, rows in series:
            furthest = worst(rows)
            good = all(row.agrees for row in rows)
            said = (write_deviation(furthest), write_claim(furthest.claim, furthest.unit))
            style = "" if good else "yellow"
            mark = Text("" if good else "apart", style=style)
            cells: list[RenderableType] = [Padding(Prose(name, style=style), (0, 0, 0, 2))]
            cells += [Text(text, style=style) for text in said]
            if not narrow:
                cells = [cells[0], Text(str(len(rows))), *cells[1:], mark]
            table.add_row(*cells)
    return Group(*parts, table)


def _doubt(doubt: Doubt) -> Padding:
    head = Prose(f"{doubt.what} ({doubt.stage}): {doubt.size}.", style="bold", hang=0)
    body = Prose(f"{doubt.why} {doubt.effect}", hang=0)
    return Padding(Group(head, Padding(body, (0, 0, 0, 2))), (0, 0, 1, 0))
