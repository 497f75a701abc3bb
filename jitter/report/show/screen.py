"""The screen of `jitter show`."""

from __future__ import annotations

from itertools import groupby

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.show.answer import ShowAnswer
from jitter.report.prose import Prose, warned
from jitter.report.screen import NARROW, grid, heading, shortened
from jitter.report.show.words import moment_rows, number_rows, understood
from jitter.report.values import origin, write_drift, write_entry, write_level
from jitter.study.study import Entry

WIDE = 104
BAND = "nine in ten: of all shots of all set-ups, as set by ruler; sd: how far a shot strays"
WHOSE = "whose: yours, or on what our default rests; practice: common practice, no source"


def show_screen(answer: ShowAnswer, *, width: int) -> Group:
    """Return the answer to `jitter show` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    study, layout = answer.study, answer.layout
    parts: list[RenderableType] = [Text(shortened(study.title, width), style="bold"), Text("")]
    parts += [*map(Prose, understood(answer)), Text("")]
    parts += [heading("Every value"), *_values(answer, width)]
    parts += [Text(""), heading("The numbers of the shot in which nothing strays")]
    parts += [_numbers(answer), Text("")]
    parts += [heading("One shot in time"), _moments(answer, width), Prose(BAND, style="dim")]
    parts += warned(answer.warnings)
    made = (
        f"seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots behind the bands,"
        f" study {study.digest}"
    )
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


def _values(answer: ShowAnswer, width: int) -> list[RenderableType]:
    """Return a table of the values of each section; what is not used, in a line below."""
    entries = answer.study.entries
    narrow = width < NARROW
    table = grid(*(("", "value", "whose") if narrow else ("", "value", "set-up", "shot", "whose")))
    table.columns[0].no_wrap = True
    for column in table.columns[1:]:
        column.justify = "left"
    idle = []
    sections = list(dict.fromkeys(key.split(".")[0] for key in entries))
    order = sorted(entries, key=lambda key: sections.index(key.split(".")[0]))
    for section, keys in groupby(order, key=lambda key: key.split(".")[0]):
        table.add_row(Text(section, style="bold"))
        for key in keys:
            entry = entries[key]
            if entry.nominal is None:
                idle.append(key)
                continue
            name, value, *spreads, whose = _row(key.split(".")[1], entry, width)
            if not narrow:
                table.add_row(name, value, *spreads, whose)
                continue
            table.add_row(name, value, whose)
            for level, spread in zip(("set-up", "shot"), spreads, strict=True):
                if spread:
                    table.add_row(Text(f"    {level}", style="dim"), spread)
    rest = f"not used here: {', '.join(idle)}" if idle else ""
    said = [WHOSE, rest] if width < WIDE else [rest]
    return [table, *(Prose(text, style="dim") for text in said if text)]


def _row(name: str, entry: Entry, width: int) -> list[Text]:
    yours = bool(entry.given)
    drift = write_drift(entry)
    value = write_entry(entry) + (f", {drift}" if drift else "")
    spreads = [write_level(entry, level) for level in ("setup", "shot")]
    whose = origin(entry)
    if width < WIDE:
        whose = whose.removeprefix("default: ").partition(",")[0].removeprefix("common ")
    if NARROW <= width < WIDE:
        # A drop's width below its volume: side by side they leave no room for spreads.
        value = value.replace(" (", "\n(")
        spreads = [spread.replace("lognormal ", "lognormal\n") for spread in spreads]
    style = "bold" if yours else ""
    return [
        Text(f"  {name}", style=style),
        Text(value, style=style),
        *(Text("" if spread == "none" else spread) for spread in spreads),
        Text(whose, style="green" if yours else "dim"),
    ]


def _numbers(answer: ShowAnswer) -> Table:
    table = grid("", "", "")
    table.columns[1].justify = "left"
    for group, name, symbol, value in number_rows(answer):
        if group:
            table.add_row(Text(group, style="bold"))
        table.add_row(f"  {name}", symbol, value)
    return table


def _moments(answer: ShowAnswer, width: int) -> Table:
    narrow = width < NARROW
    headers = ["", "nominal", "nine in ten", "sd", "happens"]
    table = grid(*(headers[:4] if narrow else headers))
    for row in moment_rows(answer):
        table.add_row(*(row[:4] if narrow else row))
    return table
