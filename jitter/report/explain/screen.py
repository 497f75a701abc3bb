"""The screen of `jitter explain`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.explain.answer import ExplainAnswer
from jitter.report.explain.names import outcome_key
from jitter.report.explain.rows import (
    LOOK_KEY,
    look_rows,
    needed_rows,
    outcome_rows,
    series_rows,
    setup_rows,
    suspect_rows,
)
from jitter.report.explain.words import findings, held, notes, source
from jitter.report.prose import Prose
from jitter.report.screen import grid, heading, shortened

WIDE = 92
WORDS = ("", "how", "what it would mean")
"""Headers of columns of words, which stand to the left."""
LEGEND = "group: probability of all its members, which this log cannot tell apart"


class _Table(NamedTuple):
    """A table, the columns that a narrow screen has room for, and the one that goes under one."""

    title: str
    headers: tuple[str, ...]
    rows: list[tuple[str, ...]]
    narrow: tuple[int, ...]
    under: tuple[int, int] | None = None
    """The column of a name, and that of the words that stand below it on a narrow screen."""
    key: str = ""
    """Says what its columns are."""


def explain_screen(answer: ExplainAnswer, *, width: int) -> Group:
    """Return the answer to `jitter explain` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, findings(answer))]
    wide = width >= WIDE
    for shown in _tables(answer):
        if shown.rows:
            parts += [Text(""), heading(shown.title), _laid_out(shown, wide=wide)]
            if shown.key:
                parts.append(Prose(shown.key, style="dim"))
    for note in notes(answer):
        parts += [Text(""), Prose(note, label="Note")]
    made = f"{source(answer)} {' '.join(held(answer))}"
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


def _tables(answer: ExplainAnswer) -> Iterator[_Table]:
    yield _Table(
        "The frames", ("", "seen", "expected", ""), look_rows(answer), (0, 1, 2, 3), key=LOOK_KEY
    )
    yield _Table(
        "Set-up by set-up",
        ("set-up", "keepers", "frames", "share"),
        setup_rows(answer),
        (0, 1, 2, 3),
    )
    headers = ("", "", "share", "group", "what it would mean")
    key = LEGEND if answer.parties else ""
    yield _Table("Suspects", headers, suspect_rows(answer), (0, 1, 2, 3), (1, 4), key)
    yield _Table("What to shoot next", ("", "how", "settles"), series_rows(answer), (0, 2), (0, 1))
    key = outcome_key(answer.tests[0]) if answer.tests else ""
    yield _Table("What the first would show", ("", ""), outcome_rows(answer), (0, 1), key=key)
    yield _Table("What that frame took", ("", ""), needed_rows(answer), (0,), (0, 1))


def _laid_out(shown: _Table, *, wide: bool) -> Table:
    places = tuple(range(len(shown.headers))) if wide else shown.narrow
    table = grid(*(shown.headers[place] for place in places))
    for column, place in zip(table.columns, places, strict=True):
        if shown.headers[place] in WORDS:
            column.justify = "left"
    for row in shown.rows:
        # A narrow screen has no room for the words of all members of a group.
        leads = shown.title != "Suspects" or bool(row[0])
        table.add_row(*(_cell(row, place, shown, wide=wide or not leads) for place in places))
    return table


def _cell(row: Sequence[str], place: int, shown: _Table, *, wide: bool) -> RenderableType:
    """Return a cell as text, in which nothing is taken for markup."""
    under = shown.under
    cell = Prose(row[place], hang=0) if shown.headers[place] in WORDS else Text(row[place])
    if wide or under is None or place != under[0] or not row[under[1]]:
        return cell
    return Group(cell, Prose(row[under[1]], style="dim", hang=0))
