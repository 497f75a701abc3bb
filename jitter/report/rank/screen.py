"""The screen of `jitter rank`."""

from __future__ import annotations

import math

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.hits import WAYS
from jitter.answers.rank.answer import InputRow, RankAnswer, Row
from jitter.answers.rank.frames import AGE, HIT
from jitter.report.effort import effort_words
from jitter.report.prose import Prose, warned
from jitter.report.rank.rows import budget_rows, freedom_words
from jitter.report.rank.words import (
    STAR,
    age_finding,
    groups_findings,
    index_words,
    level,
    name,
    opening,
    rests_on_assumption,
    scaling_words,
    shapley,
    shares_findings,
    starred,
)
from jitter.report.screen import NARROW, WIDE, grid, heading, shortened, stacked
from jitter.report.words import NONE_TOLD, UNCLEAR
from jitter.units.writing import write_difference, write_spread

SHOWN = 10
LEAST = 0.01


def rank_screen(answer: RankAnswer, *, width: int, blocks: bool) -> Group:
    """Return the answer to `jitter rank` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    blocks
        Whether the screen can show more than plain characters.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, opening(answer)), Text("")]
    parts += [heading("What each spread costs"), _scale_note(), *_gains(answer, width), Text("")]
    parts += [heading("What makes the age, and what makes the hit")]
    parts += [_share_note(blocks=blocks), _shares(answer, width, blocks=blocks)]
    parts += [*map(Prose, shares_findings(answer)), Text("")]
    parts += [heading("In groups"), _groups(answer, width, blocks=blocks)]
    parts += [*map(Prose, groups_findings(answer)), Text("")]
    parts += [heading("Uncertainty budget of the age, as set by ruler")]
    if not math.isnan(answer.budget.combined):
        parts += [_budget(answer, width, blocks=blocks), *_beside(answer, blocks=blocks)]
    parts += [Prose(age_finding(answer))]
    parts += warned(tuple(one for one in answer.warnings if one != answer.unaimed))
    made = (
        f"gains: {effort_words(answer.effort)}; shares on"
        f" {answer.pairs} pairs of frames, study {answer.study.digest}; intervals 95 %; all draws,"
        " nominals and other spreads held"
    )
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


def _scale_note() -> Prose:
    return Prose(
        "keepers gained in 100 frames by removing, halving or doubling a spread;"
        f" {NONE_TOLD}: {UNCLEAR}",
        style="dim",
    )


def _share_note(*, blocks: bool) -> Prose:
    sign = "±" if blocks else "+-"
    said = "what each makes of the variance, in % (Shapley shares)"
    return Prose(f"{said}, {sign} standard errors", style="dim")


def _named(table: Table, *, lefts: int) -> Table:
    table.columns[0].no_wrap = True
    for column in table.columns[1 : 1 + lefts]:
        column.justify = "left"
    return table


def _gains(answer: RankAnswer, width: int) -> list[RenderableType]:
    narrow = width < NARROW
    kinds = [
        ("as_trimmed", "removed", "removed\ntrimmed"),
        *([] if narrow else [("as_trimmed", "halved", "halved\ntrimmed")]),
        ("as_trimmed", "doubled", "doubled\ntrimmed"),
        ("as_set", "removed", "removed\nas set"),
    ]
    spread = [] if narrow else ["spread"]
    table = grid("", "level", *spread, *(header for _, _, header in kinds))
    _named(table, lefts=1 + len(spread))
    ranked = [row for row in answer.rows if row.effects is not None]
    shown = [row for row in ranked if _costs(row)][:SHOWN]
    for row in shown:
        source, effects = row.one.source, row.effects
        if source is None or effects is None:
            continue
        cells = [stacked(starred(answer, row), width), level(row)]
        if not narrow:
            cells.append(write_spread(source.spread, source.unit))
        cells += [scaling_words(getattr(effects[way], kind)) for way, kind, _ in kinds]
        table.add_row(*cells)
    said: list[RenderableType] = [table] if shown else []
    if len(ranked) > len(shown):
        more = len(ranked) - len(shown)
        rest = f"{'and ' if shown else ''}{more} more, each smaller or {NONE_TOLD}"
        said.append(Text(rest, style="dim"))
    if any(rests_on_assumption(answer, row) for row in shown):
        said.append(Text(STAR, style="dim"))
    return said


def _costs(row: InputRow) -> bool:
    return row.effects is not None and any(
        effect.removed.clear or (effect.doubled is not None and effect.doubled.clear)
        for effect in row.effects.values()
    )


def _columns(width: int) -> list[tuple[str, str, str]]:
    """Return which shares are shown: way, output, header."""
    both = [
        (way, what, f"{what}\n{words}")
        for way, words in zip(WAYS, ("as set", "trimmed"), strict=True)
        for what in (AGE, HIT)
    ]
    return both if width >= NARROW else both[2:]


def _share_cells(
    row: Row, columns: list[tuple[str, str, str]], width: int, *, blocks: bool
) -> list[str]:
    cells = [index_words(shapley(row, way, what), blocks=blocks) for way, what, _ in columns]
    if width >= WIDE:
        hit = row.parts["as_trimmed", HIT]
        cells += [index_words(each, blocks=blocks) for each in (hit.first, hit.total)]
    return cells


def _shares(answer: RankAnswer, width: int, *, blocks: bool) -> Table:
    columns = _columns(width)
    further = ["hit alone\ntrimmed", "hit in all\ntrimmed"] if width >= WIDE else []
    table = grid("", "level", *(header for *_, header in columns), *further)
    _named(table, lefts=1)

    def largest(row: Row) -> float:
        shares = [shapley(row, way, what).estimate for way, what, _ in columns]
        return max([share.value for share in shares if share.low > 0.0], default=0.0)

    for row in sorted(answer.rows, key=largest, reverse=True)[:SHOWN]:
        if largest(row) >= LEAST:
            shown = stacked(name(row), width)
            table.add_row(shown, level(row), *_share_cells(row, columns, width, blocks=blocks))
    return table


def _groups(answer: RankAnswer, width: int, *, blocks: bool) -> Table:
    columns = _columns(width)
    further = ["hit alone\ntrimmed", "hit in all\ntrimmed"] if width >= WIDE else []
    table = grid("", "sources", *(header for *_, header in columns), *further)
    for group in answer.groups:
        table.add_row(
            group.name, str(group.size), *_share_cells(group, columns, width, blocks=blocks)
        )
    return table


def _budget(answer: RankAnswer, width: int, *, blocks: bool) -> Table:
    columns = ["source", "level", "contribution", "share"]
    if width >= WIDE:
        columns[2:2] = ["uncertainty", "coefficient"]
    names = {"uncertainty": "u", "contribution": "moves age", "source": ""}
    table = _named(grid(*(names.get(column, column) for column in columns)), lefts=1)
    for row in budget_rows(answer.budget, blocks=blocks):
        table.add_row(*(getattr(row, column) for column in columns))
    return table


def _beside(answer: RankAnswer, *, blocks: bool) -> list[RenderableType]:
    table = grid("", "budget", "simulated")
    found, seen = answer.budget, answer.ages
    for words, one, other in (
        ("sd from set-up to set-up", found.setup, seen.setup),
        ("sd from shot to shot", found.shot, seen.shot),
        ("combined standard uncertainty", found.combined, (seen.setup**2 + seen.shot**2) ** 0.5),
    ):
        table.add_row(words, *(_time(each) for each in (one, other)))
    freedom = freedom_words(found.freedom, blocks=blocks)
    note = (
        f"effective degrees of freedom: {freedom}; a budget sees slopes only, not what moves the"
        " age alike both ways, nor bends"
    )
    if found.likenesses:
        note += "; what alike drops add is shared out between their lines"
    return [Text(""), table, Prose(note, style="dim")]


def _time(seconds: float) -> str:
    return "none" if math.isnan(seconds) else write_difference(seconds, "s", digits=3)
