"""The command `jitter require`."""

from __future__ import annotations

import os
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from jitter.cli.completing import offer_quantities
from jitter.cli.console import NOT_MET, load, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.hit_rate import read_hit_rate
from jitter.cli.meter import Meter
from jitter.cli.options import (
    FEWEST_SETUPS,
    MOST_SHOTS,
    AsJson,
    Out,
    Quiet,
    Seed,
    Settings,
    StudyFile,
)
from jitter.errors import Fault, MistakeError

if TYPE_CHECKING:
    from jitter.answers.require.prices import Price
    from jitter.answers.require.subject import Subject
    from jitter.report.require.document import Answer
    from jitter.study.study import Study


class Levels(StrEnum):
    """The levels that a user may name."""

    SETUP = "setup"
    SHOT = "shot"


Quantity = Annotated[
    str | None,
    typer.Argument(
        metavar="QUANTITY",
        help="Such as sensor.height; left out with --all.",
        autocompletion=offer_quantities,
    ),
]
HitRate = Annotated[str, typer.Option("--hit-rate", metavar="SHARE", help="Keepers wanted: 80%.")]
Level = Annotated[
    Levels | None,
    typer.Option("--level", help="Its set-up error, the default if it has one, or its shot error."),
]
All = Annotated[bool, typer.Option("--all", help="Ask it of every spread of the study.")]
Effort = Annotated[
    str | None,
    typer.Option("--effort", metavar="FILE", help="Prices, for the cheapest way; see above."),
]
Setups = Annotated[
    int | None,
    typer.Option(
        metavar="NUMBER",
        help="Random draws in place of points: so many set-ups.",
        min=FEWEST_SETUPS,
    ),
]
Shots = Annotated[
    int | None,
    typer.Option(
        metavar="NUMBER",
        help="Random draws in place of points: shots of each.",
        min=1,
        max=MOST_SHOTS,
    ),
]


def require(
    study: StudyFile,
    hit_rate: HitRate,
    quantity: Quantity = None,
    level: Level = None,
    every: All = False,
    effort: Effort = None,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say how precisely a thing must be set for so many keepers.

    The largest spread of one quantity that still reaches the hit rate, and the largest steady
    error either way, as set by ruler and after trimming, everything else staying as it is. With
    --all, of every spread. Ends with 3 where the hit rate is out of reach.

    With --effort, the cheapest combination of spreads instead. The file is TOML: under the name of
    a quantity, such as [sensor.height], a line setup = { cost = 10, law = "inverse" } or shot =
    { ... } gives the cost of its spread as it is. By the law "inverse", the default, half the
    spread costs twice as much; by "inverse square", four times.

    Prints the answer and writes a page with pictures; with --json the page is written only where
    --out asks for one.
    """
    from jitter.report.target import page_target

    gather = Gather()
    wanted = gather.read(lambda: read_hit_rate(hit_rate))
    gather.add(*_unclear(quantity, level, every=every, effort=effort))
    rig = gather.read(lambda: load(study, settings=settings or (), seed=seed))
    subject = prices = None
    if rig is not None and quantity is not None:
        subject = gather.read(lambda: _subject(rig, quantity, level))
    if rig is not None and effort is not None:
        prices = gather.read(lambda: _prices(rig, effort))
    target = None
    if not as_json or out is not None:
        target = gather.read(lambda: page_target(source(study), "require", out))
    gather.add(*_too_many(setups))
    gather.judge()
    if wanted is None or rig is None:
        raise AssertionError("what was not read was judged")

    from jitter.stages import CHAIN

    draws = {"setups": setups, "shots": shots}
    answer: Answer
    with Meter(quiet=quiet) as meter:
        if subject is not None:
            from jitter.answers.require.answer import answer_require

            answer = answer_require(rig, CHAIN, subject, wanted, progress=meter.show, **draws)
        elif prices is not None:
            from jitter.answers.require.cheapest import answer_cheapest

            answer = answer_cheapest(rig, CHAIN, prices, wanted, progress=meter.show, **draws)
        else:
            from jitter.answers.require.every import answer_require_all

            answer = answer_require_all(rig, CHAIN, wanted, progress=meter.show, **draws)
    deliver("require", answer, as_json=as_json, target=target, quiet=quiet)
    if not answer.met:
        raise typer.Exit(NOT_MET)


def _subject(rig: Study, quantity: str, level: Levels | None) -> Subject:
    from jitter.answers.require.subject import find_subject
    from jitter.quantities import Level as Drawn
    from jitter.stages import CHAIN

    return find_subject(rig, CHAIN, quantity, None if level is None else Drawn(level.value))


def _prices(rig: Study, effort: str) -> tuple[Price, ...]:
    from jitter.answers.require.prices import priced
    from jitter.study.effort import read_efforts

    try:
        text = Path(effort).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as broken:
        number = broken.errno if isinstance(broken, OSError) else None
        why = os.strerror(number) if number else "it is not text in UTF-8"
        wrong, right = f"it cannot be read: {why}", "name a file of prices; jitter require --help"
        raise MistakeError([Fault(effort, None, "--effort", wrong, right)]) from None
    return priced(rig, read_efforts(text, source=effort, study=rig))


def _unclear(
    quantity: str | None, level: Levels | None, *, every: bool, effort: str | None
) -> list[Fault]:
    """Return what leaves open which question is asked."""
    asked = [quantity is not None, every, effort is not None]
    faults = []
    if sum(asked) != 1:
        wrong = "nothing is asked for" if not any(asked) else "more than one question is asked"
        right = "name one quantity, such as sensor.height, or write --all, or --effort FILE"
        faults.append(Fault("the command line", None, "QUANTITY", wrong, right))
    if level is not None and quantity is None:
        wrong = "a level belongs to one quantity"
        faults.append(Fault("the command line", None, "--level", wrong, "name the quantity too"))
    return faults


def _too_many(setups: int | None) -> list[Fault]:
    from jitter.answers.require.answer import MOST_SETUPS

    if setups is None or setups <= MOST_SETUPS:
        return []
    wrong = f"{setups} set-ups are more than so many what-ifs can keep in memory"
    right = f"ask for {MOST_SETUPS} at the most, and for more --shots of each"
    return [Fault("the command line", None, "--setups", wrong, right)]
