"""The screens of `jitter require`: one quantity, all of them, the cheapest combination."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.require.answer import RequireAnswer
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.every import RequireAllAnswer
from jitter.report.prose import Prose, warned
from jitter.report.require.all_words import ANY, all_findings, all_rows
from jitter.report.require.cheapest_words import cheapest_findings, cheapest_rows, total_rows
from jitter.report.require.document import Answer
from jitter.report.require.rows import requirement_rows
from jitter.report.require.sizes import write_size
from jitter.report.require.words import (
    HELD,
    findings,
    made_words,
    named,
    told,
)
from jitter.report.screen import NARROW, grid, heading, shortened, stacked
from jitter.units.writing import write_percent

SHORT = {"as_set": "as set", "as_trimmed": "trimmed"}
NO = "at best: the highest hit rate that it alone can bring"


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
        parts = _cheapest(answer, width)
    # What is wrong with the aim stands above already.
    parts += warned(tuple(said for said in answer.warnings if said != answer.unaimed))
    made = made_words(answer.study, answer.effort, fell_back=answer.fell_back)
    ends = (Prose(text, style="dim", hang=0) for text in (HELD, made))
    return Group(title, Text(""), *parts, Text(""), *ends)


def _one(answer: RequireAnswer) -> list[RenderableType]:
    parts: list[RenderableType] = [*map(Prose, findings(answer))]
    if not answer.ways:
        return parts
    parts += [Text(""), heading("Required")]
    table = grid("", *named(answer.ways))
    for row in requirement_rows(answer):
        table.add_row(*row)
    parts += [table, Text(""), heading("Keepers against the spread"), _curve(answer)]
    return parts


def _curve(answer: RequireAnswer) -> Table:
    curve, subject = answer.spread.curve, answer.subject
    table = grid("spread", *named(answer.ways))
    for place in told(curve, subject.present):
        size = float(curve.sizes[place])
        rates = [curve.rates[way][place].value for way in answer.ways]
        cells = [
            Text(write_percent(rate), style="bold green" if rate >= answer.target else "")
            for rate in rates
        ]
        mark = " (as it is)" if size == subject.present else ""
        table.add_row(f"{write_size(subject, size)}{mark}", *cells)
    return table


def _every(answer: RequireAllAnswer, width: int) -> list[RenderableType]:
    parts: list[RenderableType] = [*map(Prose, all_findings(answer)), Text("")]
    headers = ["", "level", "now", *(SHORT[way] for way in answer.ways)]
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
        table.add_row(stacked(name, width), level, *([now] if "now" in headers else []), *cells)
    if table.row_count:
        parts += [heading("Required of each spread alone"), table]
    if any(need.startswith("at best ") for _, _, _, *needs in rows for need in needs):
        parts.append(Prose(NO, style="dim"))
    if free:
        said = f"any spread that makes sense will do: {', '.join(free)}"
        parts.append(Prose(said, style="dim"))
    return [*parts, Prose(rest, style="dim")] if rest else parts


def _cheapest(answer: CheapestAnswer, width: int) -> list[RenderableType]:
    parts: list[RenderableType] = [*map(Prose, cheapest_findings(answer))]
    if not answer.ways:
        return parts
    parts.append(Text(""))
    narrow, names = width < NARROW, named(answer.ways)
    short = [SHORT[way] for way in answer.ways]
    table = grid("", "level", *(short if narrow else ("now", *names)))
    table.columns[0].no_wrap = True
    for column in table.columns[1:]:
        column.justify = "left"
    for name, level, now, *found in cheapest_rows(answer):
        table.add_row(stacked(name, width), level, *([] if narrow else [now]), *found)
    parts += [heading("The cheapest spreads"), table, Text("")]
    totals = grid("", *names)
    for row in total_rows(answer):
        totals.add_row(*row)
    parts += [heading("Together"), totals]
    return parts
