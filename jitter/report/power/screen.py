"""The screen of `jitter power`."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.power.answer import PowerAnswer
from jitter.report.power.rows import (
    hidden,
    keeper_rows,
    light_rows,
    loss_rows,
    over_note,
    several_rows,
    shown_rungs,
)
from jitter.report.power.settings import BY, WHICH, reaches
from jitter.report.power.words import findings, first_note, held
from jitter.report.prose import Prose, warned
from jitter.report.screen import NARROW, grid, heading, shortened
from jitter.report.words import NONE_TOLD, UNCLEAR

KEEPERS = 78
"""From this width on, settings stand beside the keepers that they give."""
WIDE = 92
FIRST = ("best", "first")
LIGHT = ("", "", "t0.5", "t0.1", "8 in 10", "rim", "drop", "tip", "later by", "recharged in")


def power_screen(answer: PowerAnswer, *, width: int) -> Group:
    """Return the answer to `jitter power` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, findings(answer)), Text("")]
    light_note = "; ".join(filter(None, (LIGHT_NOTE, first_note(answer))))
    parts += [heading("The light at each power"), Prose(light_note, style="dim")]
    parts += [_light(answer, width), Text("")]
    parts += [heading(f"Keepers {WHICH[answer.way]}, the exposure kept right")]
    if over_note(answer):
        parts.append(Prose(over_note(answer), style="dim"))
    parts.append(_keepers(answer, width))
    means = answer.means[0] if answer.best is None else answer.best.pick.tried.setting.means
    if reaches(answer, means):
        title = f"What the light costs, exposure by {BY[means]}: frames in 100"
        parts += [Text(""), heading(title), _losses(answer, means, width)]
    rows = several_rows(answer)
    if rows:
        title = "The same light from more flashes"
        parts += [Text(""), heading(title), _several(rows, width)]
    if hidden(answer):
        parts.append(Prose(hidden(answer), style="dim"))
    # What is wrong with the aim stands above already.
    parts += warned(tuple(said for said in answer.warnings if said != answer.unaimed))
    made = f"study {answer.study.digest}. {' '.join(held(answer))}"
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


LIGHT_NOTE = (
    "t0.1: how long the light lasts in µs; 8 in 10: in 8 of 10 flashes of this kind; rim, drop,"
    " tip: blur by motion on the camera's sensor in µm, the rim's of 8 in 10 frames; later by: the"
    " middle of the light, in µs, against your power"
)


def _fill(table: Table, rows: Sequence[Sequence[str]], width: int) -> Table:
    """Add rows whose second cell says what marks them."""
    if width < WIDE and any(len(mark) > len("yours") for _, mark, *_ in rows):
        table.padding = (0, 1, 0, 0)
    for column in table.columns[:2]:
        column.no_wrap = True
        column.justify = "left"
    for power, mark, *rest in rows:
        named = power if width >= WIDE else power.removesuffix(" stop")
        table.add_row(named, mark, *rest, style="bold green" if mark.startswith(FIRST) else "")
    return table


def _light(answer: PowerAnswer, width: int) -> Table:
    shown: Sequence[int] = range(len(LIGHT))
    if width < WIDE:
        shown = (0, 1, 3, 4, 5, 6, 8) if width >= NARROW else (0, 1, 3, 5, 6, 8)
    rows = [[row[place] for place in shown] for row in light_rows(answer)]
    return _fill(grid(*(LIGHT[place] for place in shown)), rows, width)


def _keepers(answer: PowerAnswer, width: int) -> Table:
    rows = keeper_rows(answer)
    headers = ["", ""]
    for means in answer.means:
        headers += ["", f"by\n{BY[means]}"]
    if width < KEEPERS:
        # The values of the means stand in the next table, of one of them.
        headers = [*headers[:2], *headers[3::2]]
        rows = [(*row[:2], *row[3::2]) for row in rows]
    return _fill(grid(*headers), rows, width)


def _losses(answer: PowerAnswer, means: str, width: int) -> Table:
    headers = ("", "", "set to", "as set", "trimmed", "smeared", "soft", "exposure", "dark")
    shown: Sequence[int] = range(len(headers))
    if width < WIDE:
        # The keepers by which settings were judged.
        judged = 3 if answer.way == "as_set" else 4
        shown = (0, 1, 2, judged, 5, 6, 7, 8) if width >= NARROW else (0, 1, 2, 5, 6, 7, 8)
    rungs = shown_rungs(answer)
    rows = [
        [row[place].replace(" %", "") for place in shown]
        for rung, row in zip(rungs, loss_rows(answer, means), strict=True)
        if rung.tried[means].setting.reached
    ]
    return _fill(grid(*(headers[place] for place in shown)), rows, width)


def _several(rows: Sequence[Sequence[str]], width: int) -> Group:
    table = grid(
        "flashes", "each\nat", "t0.1", "apart", "edges\napart", "drop", "as set", "trimmed"
    )
    for count, power, *rest in rows:
        table.add_row(count, power if width >= WIDE else power.removesuffix(" stop"), *rest)
    note = (
        "apart: from the first flash to the last, in µs as t0.1; edges apart: how far from each"
        " other they draw an edge of a falling drop, and drop: its blur, both in µm on the camera's"
        f" sensor; as set, trimmed: keepers in 100 gained over one; {NONE_TOLD}: {UNCLEAR}"
    )
    return Group(Prose(note, style="dim"), table)
