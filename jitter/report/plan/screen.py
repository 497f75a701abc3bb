"""The screen of `jitter plan`."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.plan.answer import PlanAnswer
from jitter.answers.plan.planning import CERTAINTIES
from jitter.report.plan.words import (
    findings,
    keepers_words,
    manner_words,
    rates_words,
    shared_words,
    write_certainty,
    write_chance,
    write_duration,
)
from jitter.report.prose import Prose, warned
from jitter.report.screen import NARROW, grid, heading, shortened


def plan_screen(answer: PlanAnswer, *, width: int) -> Group:
    """Return the answer to `jitter plan` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, findings(answer)), Text("")]
    parts += [heading(_asked(answer)), _strategies(answer, width), Text("")]
    parts += [heading("How sure, with how many frames"), _certainties(answer), Text("")]
    parts += [heading("Understood"), Prose(rates_words(answer))]
    parts += warned(answer.warnings)
    return Group(*parts, Text(""), Prose(made(answer), style="dim", hang=0))


def made(answer: PlanAnswer) -> str:
    """Say on what the answer rests."""
    layout, costs = answer.layout, answer.costs
    return (
        f"seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots, study"
        f" {answer.study.digest}; {write_duration(costs.cadence)} a frame, {costs.trimming} frames"
        f" a trimming, {write_duration(costs.setup)} a set-up; an evening of {answer.frames} frames"
    )


def _asked(answer: PlanAnswer) -> str:
    return f"At least {keepers_words(answer.want)} with {write_certainty(answer.sure)} certainty"


def _strategies(answer: PlanAnswer, width: int) -> Table:
    narrow = width < NARROW
    headers = ["", "frames", "to trim", "time", "keepers\non average", "certainty"]
    table = grid(*(headers[:4] if narrow else headers))
    for strategy in answer.strategies:
        asked, style = strategy.asked, "bold green" if strategy is answer.best else ""
        name = manner_words(strategy.manner, short=True)
        if asked is None or strategy.chance is None:
            row = ["out of reach", "", "", "", write_chance(strategy.evening.chance)]
        else:
            row = [
                shared_words(asked.shared),
                str(asked.trimming),
                write_duration(asked.time),
                f"{asked.expected:.1f}",
                write_chance(strategy.chance.value),
            ]
        cells = [name, *row][: 4 if narrow else 6]
        table.add_row(*(Text(cell, style=style) for cell in cells))
    return table


def _certainties(answer: PlanAnswer) -> Table:
    shown = [
        strategy
        for strategy in answer.strategies
        if (strategy.manner.setups == 1 and not strategy.manner.every) or strategy is answer.best
    ]
    table = grid("", *(write_certainty(certainty) for certainty in CERTAINTIES))
    for strategy in shown:
        table.add_row(
            manner_words(strategy.manner, short=True),
            *("more" if one is None else f"{one.frames}" for one in strategy.table),
        )
        table.add_row(
            Text("  keepers on average", style="dim"),
            *("" if one is None else f"{one.expected:.1f}" for one in strategy.table),
        )
    return table
