"""The screen of `jitter compare`."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.compare.answer import CompareAnswer, Pair
from jitter.answers.hits import WAYS
from jitter.report.compare.words import (
    LETTERS,
    findings,
    made,
    name_of,
    sides,
)
from jitter.report.prose import Prose
from jitter.report.screen import NARROW, grid, heading, shortened
from jitter.report.words import NONE_TOLD, gained
from jitter.stages.verdict import REASONS
from jitter.units.writing import write_percent

SHOWN = 10
LONG = (34, 27)
"""Longer names of values are broken at their comma, on a narrow screen the sooner."""


def compare_screen(answer: CompareAnswer, *, width: int) -> Group:
    """Return the answer to `jitter compare` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    title = shortened(answer.contenders[0].study.title, width)
    parts: list[RenderableType] = [Text(title, style="bold"), Text("")]
    parts += [*map(Prose, findings(answer)), Text("")]
    parts += [heading("Keepers"), _keepers(answer, width), Text("")]
    parts += [heading("Why frames miss, against A"), _reasons(answer), Text("")]
    parts += _drivers(answer, width)
    for pair in answer.against_first:
        parts += [heading(f"What {LETTERS[pair.other]} says otherwise than A"), _sides(pair, width)]
        parts.append(Text(""))
    for warning in answer.warnings:
        parts += [Prose(warning, label="Warning"), Text("")]
    return Group(*parts, Prose(made(answer), style="dim", hang=0))


def _keepers(answer: CompareAnswer, width: int) -> Table:
    narrow = width < NARROW
    against = {pair.other: pair.change for pair in answer.against_first}
    table = grid("", "as set", "trimmed", "as set\nless A", "trimmed\nless A")
    for place, contender in enumerate(answer.contenders):
        name = shortened(contender.name, width - (37 if narrow else 54))
        change = against.get(place)
        table.add_row(
            f"{LETTERS[place]} {name}",
            *(write_percent(contender.hits.rates[way].value) for way in WAYS),
            *("" if change is None else gained(change[way]) for way in WAYS),
        )
    return table


def _reasons(answer: CompareAnswer) -> RenderableType:
    columns = [(pair, way) for pair in answer.against_first for way in WAYS]
    if len(answer.contenders) > 2:
        columns = [(pair, way) for pair, way in columns if way == "as_trimmed"]
    changed = [
        reason
        for reason in REASONS
        if any(pair.reasons[way][reason].clear for pair, way in columns)
    ]
    if not changed:
        return Text("no reason changed by more than cannot be told from 0", style="dim")
    words = {"as_set": "as set", "as_trimmed": "trimmed"}
    several = len(answer.contenders) > 2
    heads = [LETTERS[pair.other] if several else words[way] for pair, way in columns]
    table = grid("frames of 100" + (", trimmed" if several else ""), *heads)
    for reason in changed:
        table.add_row(reason, *(gained(pair.reasons[way][reason]) for pair, way in columns))
    return table


def _drivers(answer: CompareAnswer, width: int) -> list[RenderableType]:
    """Return the table of single differences, where two studies have several."""
    drive = answer.drive
    if drive is None or len(drive.drivers) < 2:
        return []
    headers = ["", "as set\nalone", "as set\nlast", "trimmed\nalone", "trimmed\nlast"]
    narrow = width < NARROW
    table = grid(headers[0], *headers[3 if narrow else 1 :])
    ranked = [
        driver
        for driver in drive.ranked("as_trimmed")
        if any(driver.clear(way) for way in WAYS) or not driver.fits["as_trimmed"]
    ]
    for driver in ranked[:SHOWN]:
        star = "" if driver.fits["as_trimmed"] else "*"
        shown = [
            gained(effect[way])
            for way in (WAYS[1:] if narrow else WAYS)
            for effect in (driver.alone, driver.last)
        ]
        table.add_row(name_of(driver.difference) + star, *shown)
    rest = len(drive.drivers) + len(drive.unfired) - min(len(ranked), SHOWN)
    note = "keepers in 100 frames; last: all others changed already"
    said: list[RenderableType] = [
        heading("What drove it: each difference by itself"),
        Prose(note, style="dim"),
        table,
    ]
    if rest:
        said.append(Text(f"and {rest} more, each smaller or {NONE_TOLD}", style="dim"))
    if any(not driver.fits["as_trimmed"] for driver in ranked[:SHOWN]):
        said.append(
            Prose("* spoils even the shot in which nothing strays: needs others", style="dim")
        )
    return [*said, Text("")]


def _sides(pair: Pair, width: int) -> Table:
    table = grid("", "A", LETTERS[pair.other])
    table.columns[0].no_wrap = True
    for difference in pair.differences:
        for told, one, other in sides(difference):
            # The values of a spread tell that they are one.
            name = told.removesuffix(" spread") if width < NARROW else told
            if len(name) > LONG[width < NARROW]:
                name = name.replace(", ", ",\n  ")
            table.add_row(name, Prose(one, hang=0), Prose(other, hang=0))
    return table
