"""The screens of `jitter require`: one quantity, all of them, the cheapest combination."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from jitter.answers.hits import WAYS
from jitter.answers.require.answer import RequireAnswer
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.every import RequireAllAnswer
from jitter.report.require.all_words import ANY, all_findings, all_rows
from jitter.report.require.cheapest_words import cheapest_findings, cheapest_rows, total_rows
from jitter.report.require.document import Answer
from jitter.report.require.words import (
    HELD,
    findings,
    made_words,
    requirement_rows,
    told,
    write_size,
)
from jitter.report.screen import NARROW, grid, heading, shortened
from jitter.units.writing import write_percent

BOTH = ("as set by ruler", "after trimming")


def require_screen(answer: Answer, *, width: int) -> Group:
    """Return an answer as it is printed.

    Parameters
    ----------
    answer
        To any of the three questions.
    width
        Columns of the screen, 60 and more.
    """
    title = Text(shortened(answer.study.title, width), style="bold")
    if isinstance(answer, RequireAnswer):
        parts = _one(answer)
    elif isinstance(answer, RequireAllAnswer):
        parts = _every(answer, width)
    else:
        parts = _cheapest(answer)
    for warning in answer.warnings:
        parts.append(Padding(Text.assemble(("Warning: ", "bold yellow"), warning), (1, 0, 0, 0)))
    made = made_words(answer.study, answer.effort, fell_back=answer.fell_back)
    ends = (Text(HELD, style="dim"), Text(made, style="dim"))
    return Group(title, Text(""), *parts, Text(""), *ends)


def _one(answer: RequireAnswer) -> list[RenderableType]:
    parts: list[RenderableType] = [*(Text(sentence) for sentence in findings(answer))]
    parts += [Text(""), heading("Required")]
    table = grid("", *BOTH)
    for row in requirement_rows(answer):
        table.add_row(*row)
    parts += [table, Text(""), heading("Keepers against the spread"), _curve(answer)]
    return parts


def _curve(answer: RequireAnswer) -> Table:
    curve, subject = answer.spread.curve, answer.subject
    table = grid("spread", *BOTH)
    for place in told(curve, subject.present):
        size = float(curve.sizes[place])
        rates = [curve.rates[way][place].value for way in WAYS]
        cells = [
            Text(write_percent(rate), style="bold green" if rate >= answer.target else "")
            for rate in rates
        ]
        mark = " (as it is)" if size == subject.present else ""
        table.add_row(f"{write_size(subject, size)}{mark}", *cells)
    return table


def _every(answer: RequireAllAnswer, width: int) -> list[RenderableType]:
    parts: list[RenderableType] = []
    headers = ["", "level", "now", "as set", "trimmed"]
    if width < NARROW:
        headers.remove("now")
    table = grid(*headers)
    table.columns[0].no_wrap = True
    for column in table.columns[1:]:
        column.justify = "left"
    rows, rest = all_rows(answer)
    free = []
    for name, level, now, *needs in rows:
        if all(need.startswith(ANY) for need in needs):
            free.append(f"{name} ({level})")
            continue
        cells = [ANY if need.startswith(ANY) else need for need in needs]
        table.add_row(name, level, *([now] if "now" in headers else []), *cells)
    parts += [heading("Required of each spread alone"), table]
    if free:
        said = f"any spread that makes sense will do: {', '.join(free)}"
        parts.append(Text(said, style="dim"))
    parts += [Text(rest, style="dim")] if rest else []
    parts += [Text(""), *(Text(sentence) for sentence in all_findings(answer))]
    return parts


def _cheapest(answer: CheapestAnswer) -> list[RenderableType]:
    parts: list[RenderableType] = [*(Text(sentence) for sentence in cheapest_findings(answer))]
    parts.append(Text(""))
    table = grid("", "level", "now", *BOTH)
    for column in table.columns[1:]:
        column.justify = "left"
    for row in cheapest_rows(answer):
        table.add_row(*row)
    parts += [heading("The cheapest spreads"), table, Text("")]
    totals = grid("", *BOTH)
    for first, second, third in total_rows(answer):
        totals.add_row(first, second, third)
    parts += [heading("Together"), totals]
    return parts
