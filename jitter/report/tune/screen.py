"""The screen of `jitter tune`."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.tune.answer import TuneAnswer
from jitter.report.prose import Prose, warned
from jitter.report.screen import grid, heading, shortened
from jitter.report.tune.rows import held, keeper_rows, setting_rows, start_rows
from jitter.report.tune.words import findings

WIDE = 96


def tune_screen(answer: TuneAnswer, *, width: int) -> Group:
    """Return the answer to `jitter tune` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, findings(answer)), Text("")]
    parts += [heading("Settings")]
    parts += [Prose("and between which ends each costs under a frame in 100", style="dim")]
    parts += [_settings(answer, width), Text("")]
    parts += [heading("Keepers"), _keepers(answer)]
    rows = start_rows(answer)
    if rows:
        parts += [Text(""), heading("Each start signal at its best"), _starts(rows, width)]
    parts += warned(answer.warnings)
    made = f"study {answer.study.digest}. {' '.join(held(answer))}"
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


def _settings(answer: TuneAnswer, width: int) -> Table:
    wide = width >= WIDE
    headers = ("", "yours", "best", "as set by ruler", "after trimming")
    table = grid(*(headers if wide else headers[:3]))
    table.columns[0].no_wrap = True
    for name, own, best, as_set, trimmed in setting_rows(answer):
        marked = Text(best, style="bold green" if own != best else "")
        if wide:
            table.add_row(name, own, marked, as_set, trimmed)
            continue
        table.add_row(name, own, marked)
        for label, ends in (("as set", as_set), ("trimmed", trimmed)):
            if ends:
                told = ends.removeprefix("anywhere ")
                table.add_row(Text(f"  {label}: {told}", style="dim"))
    return table


def _keepers(answer: TuneAnswer) -> Table:
    table = grid("", "yours", "best", "gain", "95 %")
    for way, own, best, gain, ends in keeper_rows(answer):
        table.add_row(way, own, Text(best, style="bold green"), gain, ends)
    return table


def _starts(rows: list[tuple[str, ...]], width: int) -> Table:
    headers = ("", "delay", "interval", "sensor", "as set", "trimmed")
    wide = width >= WIDE
    table = grid(*(headers if wide else (headers[0], headers[1], *headers[4:])))
    for row in rows:
        table.add_row(*(row if wide else (row[0], row[1], *row[4:])))
    return table
