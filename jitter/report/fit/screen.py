"""The screen of `jitter fit`."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Finding, counted
from jitter.answers.hits import WAYS
from jitter.report.compare.words import name_of
from jitter.report.fit.words import (
    change_of,
    findings,
    interval_of,
    made,
    old_of,
    ranked,
    uncertainty_of,
    written,
)
from jitter.report.prose import Prose
from jitter.report.screen import NARROW, grid, heading, shortened

SHOWN = 10


def fit_screen(answer: FitAnswer, *, width: int) -> Group:
    """Return the answer to `jitter fit` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    parts += [Text(""), *map(Prose, findings(answer)), Text("")]
    for finding in answer.findings:
        parts += [heading(titled(finding)), _numbers(finding, width)]
        parts += [Padding(Prose(f"- {note}", style="dim"), (0, 0, 0, 2)) for note in finding.notes]
        parts.append(Text(""))
    parts += _changes(answer)
    if answer.notes:
        parts += [heading("How the file was read")]
        parts += [*(Prose(note, style="dim") for note in answer.notes), Text("")]
    for warning in answer.comparison.warnings if answer.comparison is not None else ():
        parts += [Prose(warning, label="Warning"), Text("")]
    return Group(*parts, Prose(made(answer), style="dim", hang=0))


def titled(finding: Finding) -> str:
    """Name what was measured, with how often."""
    title = f"{finding.what}: {counted(finding.count, 'reading')}"
    return f"{title} in {finding.setups} set-ups" if finding.setups > 1 else title


def _numbers(finding: Finding, width: int) -> Table:
    if width < NARROW:
        table = grid("", "measured\nsure to 95 %", "study")
    else:
        table = grid("", "measured", "uncertainty", "sure to 95 %", "study")
    for number in finding.numbers:
        name = number.name + ("*" if number.place else "")
        value, ends, old = (
            written(number, number.estimate.value),
            interval_of(number),
            old_of(number),
        )
        if width < NARROW:
            table.add_row(name, Text.assemble(value, "\n", (ends, "dim")), old)
        else:
            table.add_row(name, value, uncertainty_of(number), ends, old)
    return table


def _changes(answer: FitAnswer) -> list[RenderableType]:
    drivers = ranked(answer)
    said: list[RenderableType] = []
    if any(number.place for finding in answer.findings for number in finding.numbers):
        said.append(Text("* written to the new study", style="dim"))
        said.append(Text(""))
    if not drivers:
        return said
    table = grid("keepers in 100 frames", "as set", "trimmed")
    for driver in drivers[:SHOWN]:
        name = name_of(driver.difference)
        table.add_row(name, *(change_of(driver.alone[way]) for way in WAYS))
    said += [heading("What each change does alone"), table]
    if len(drivers) > SHOWN:
        said.append(Text(f"and {len(drivers) - SHOWN} more, each smaller", style="dim"))
    return [*said, Text("")]
