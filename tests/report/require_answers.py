"""Answers of `jitter require` to each of its questions, each reckoned once."""

from __future__ import annotations

import io
from functools import cache

from rich.console import Console

from jitter.answers.require.answer import RequireAnswer, answer_require
from jitter.answers.require.cheapest import answer_cheapest
from jitter.answers.require.every import RequireAllAnswer, answer_require_all
from jitter.answers.require.prices import priced
from jitter.answers.require.subject import find_subject
from jitter.quantities import Level
from jitter.report.require.document import Answer
from jitter.report.require.screen import require_screen
from jitter.stages import CHAIN
from jitter.study.effort import read_efforts
from tests.conftest import load

PRICES = """\
[valve.release_speed]
shot = { cost = 40, law = "inverse square" }
[valve.first_volume]
setup = { cost = 3 }
[sensor.miss_chance]
shot = { cost = 3 }
"""


LATE = ("timer.delay=308 ms",)
"""The shot in which nothing strays is 14 ms late, which trimming mends."""
NO_JET = ("valve.interval=400 ms",)


def one(key: str, target: float, level: Level | None = None, *settings: str) -> RequireAnswer:
    """Return the answer about one quantity of a rig."""
    study = load("barn-table", *settings)
    subject = find_subject(study, CHAIN, key, level)
    return answer_require(study, CHAIN, subject, target)


def every(target: float, *settings: str) -> RequireAllAnswer:
    """Return the answer about all spreads of a rig."""
    return answer_require_all(load("barn-table", *settings), CHAIN, target, setups=128, shots=8)


def cheapest(target: float, *settings: str) -> Answer:
    """Return the cheapest way to a hit rate."""
    study = load("barn-table", *settings)
    prices = priced(study, read_efforts(PRICES, source="prices.toml", study=study))
    return answer_cheapest(study, CHAIN, prices, target)


@cache
def all_answers() -> dict[str, Answer]:
    """Return answers to every question, reached and out of reach, with and without an aim."""
    return {
        "reached": one("sensor.height", 0.6),
        "unreached": one("sensor.height", 0.95),
        "chance": one("sensor.miss_chance", 0.6),
        "step": one("timer.step", 0.6),
        "new": one("timer.delay", 0.6, Level.SETUP),
        "volumes": one("valve.first_diameter", 0.6),
        "lognormal": one("flash.duration_scale", 0.6),
        "all": every(0.7),
        "all, none reached": every(0.999),
        "cheapest": cheapest(0.78),
        "cheapest, unreached": cheapest(0.99),
        "late": one("sensor.height", 0.6, None, *LATE),
        "late, all": every(0.6, *LATE),
        "late, cheapest": cheapest(0.7, *LATE),
        "no jet": one("sensor.height", 0.6, None, *NO_JET),
        "no jet, all": every(0.6, *NO_JET),
        "no jet, cheapest": cheapest(0.6, *NO_JET),
    }


NAMES = (
    "reached",
    "unreached",
    "chance",
    "step",
    "new",
    "volumes",
    "lognormal",
    "all",
    "all, none reached",
    "cheapest",
    "cheapest, unreached",
    "late",
    "late, all",
    "late, cheapest",
    "no jet",
    "no jet, all",
    "no jet, cheapest",
)


def printed(answer: Answer, width: int) -> str:
    """Return an answer's screen as text."""
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(require_screen(answer, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]
