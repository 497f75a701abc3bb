"""Answers of `jitter explain` put together by hand: what must be said of them is known."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from functools import cache

from rich.console import Console

from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.explain.blame import Blamed, Party
from jitter.answers.explain.checking import Expected, Fit
from jitter.answers.explain.facts import find_facts
from jitter.answers.explain.next_test import NextTest, Outcome, Series
from jitter.answers.explain.single_frame import Needed, SingleFrame
from jitter.answers.explain.suspects import CHANCE, OFF, STRAYS, Suspect
from jitter.answers.intervals import Estimate
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.quantities import Level
from jitter.records.log import Log, read_log
from jitter.report.explain.screen import explain_screen
from jitter.stages.look import ABOVE, EARLY, KEPT, LATE, LOOKS
from jitter.study.study import Study
from tests.conftest import load

FACTS_SEED = 1
SPEED = Suspect("valve.release_speed", STRAYS)
HEIGHT = Suspect("sensor.height", OFF)
DELAY = Suspect("timer.delay", OFF)
MISSES = Suspect("sensor.miss_chance", CHANCE)
NOZZLE = Suspect("valve.nozzle_height", OFF)
JET = Suspect("jet.height_scale", OFF)


@cache
def rig() -> Study:
    """Return the rig that all these logs are of."""
    return load("barn-table")


def log_of(words: str, *, head: str = "verdict", source: str = "evening.csv") -> Log:
    """Return a log of verdicts, one letter each: k, e, l and a; blank where none is told."""
    known = {"k": KEPT, "e": EARLY, "l": LATE, "a": ABOVE}
    rows = [f"{LOOKS[known[word]] if word in known else '-'}" for word in words]
    numbered = [f"{number},{row}" for number, row in enumerate(rows, start=1)]
    text = "\n".join([f"frame,{head}", *numbered])
    return read_log(text.encode(), source=source)


def alone(
    suspect: Suspect, probability: float, offset: float = math.nan, spread: float = math.nan
) -> Party:
    """Return a group of one suspect."""
    size = None if suspect.how == OFF else Estimate(3.1, 2.04, 4.26, 0.9)
    return Party((Blamed(suspect, probability, offset, spread, size),), probability)


def series(what: str, *, start: str = "first drop", delay: float = 0.1917) -> Series:
    """Return a series of frames of which something is read."""
    if what == "looks":
        return Series("frames as now", "change nothing", rig(), what)
    study = with_values(rig(), {"timer.start": start, "timer.delay": delay})
    name, how = "frames of single drops, started by the beam", "let one drop fall"
    return Series(name, how, study, what)


def answer(log: Log, **parts: object) -> ExplainAnswer:
    """Return an answer about a log in which nothing is wrong, but for what is given."""
    facts = find_facts(log, seed=FACTS_SEED)
    expected = tuple(
        Expected(look, count, max(count - 2.0, 0.0), float(count), count + 2.0, 0.9)
        for look, count in enumerate(facts.looks)
        if count
    )
    sound = ExplainAnswer(
        study=rig(),
        log=log,
        layout=Layout(11, 256, 8),
        way="as_set",
        facts=facts,
        fit=Fit(0.4, expected),
        described=0.8,
        unknown=0.004,
        parties=(),
        rest=0.196,
        weight=1.0,
        doubted=(),
        tests=(),
        single=None,
    )
    return replace(sound, **parts)  # type: ignore[arg-type]


def _group() -> ExplainAnswer:
    members = (
        Blamed(HEIGHT, 0.40, 0.008, 0.0021, None),
        Blamed(DELAY, 0.30, -0.0041, 0.0015, None),
        Blamed(NOZZLE, 0.15, 0.001, 0.004, None),
        Blamed(MISSES, 0.06, math.nan, math.nan, Estimate(0.183, 0.1, 0.262, 0.9)),
        Blamed(JET, 0.001, 0.1, 0.02, None),
    )
    found = (
        NextTest(
            series("drop height"),
            20,
            0.5,
            1.25,
            (
                Outcome(0.015, 0.012, 0.018, 0.00018),
                Outcome(0.0268, 0.0094, 0.036, 0.00017),
                Outcome(math.nan, math.nan, math.nan, math.nan),
                Outcome(0.0251, 0.0092, 0.0337, 0.00018),
            ),
        ),
        NextTest(series("looks"), 20, 0.1, 1.25, (Outcome(0.7, 0.5, 0.9, math.nan),) * 4),
    )
    fit = Fit(
        0.002,
        (
            Expected(EARLY, 12, 0.0, 1.0, 4.0, 0.001),
            Expected(LATE, 1, 0.0, 2.0, 6.0, 0.6),
            Expected(ABOVE, 2, 0.0, 0.0, 0.0, 0.002),
            Expected(KEPT, 5, 9.0, 14.0, 18.0, 0.002),
        ),
    )
    return answer(
        log_of("e" * 12 + "l" + "aa" + "k" * 5),
        fit=fit,
        described=0.045,
        unknown=0.02,
        parties=(Party(members, 0.911),),
        rest=0.024,
        weight=0.66,
        doubted=(HEIGHT, DELAY, NOZZLE),
        tests=found,
    )


def _one() -> ExplainAnswer:
    found = NextTest(
        series("looks"),
        20,
        0.08,
        0.1,
        (Outcome(0.75, 0.55, 0.9, math.nan), Outcome(0.05, 0.0, 0.1, math.nan)),
    )
    return answer(
        log_of("klekl" * 8),
        described=0.002,
        unknown=0.0,
        parties=(alone(SPEED, 0.995),),
        rest=0.003,
        doubted=(SPEED,),
        tests=(found,),
    )


def _two() -> ExplainAnswer:
    hardly = NextTest(series("looks"), 20, 0.01, 1.0, (Outcome(0.7, 0.5, 0.9, math.nan),) * 3)
    return answer(
        log_of("kkle" * 5),
        described=0.42,
        unknown=0.01,
        parties=(alone(MISSES, 0.30), alone(HEIGHT, 0.20, -0.001, 0.003)),
        rest=0.07,
        doubted=(MISSES, HEIGHT),
        tests=(hardly,),
    )


def _frame(**parts: object) -> ExplainAnswer:
    log = log_of("kkle" * 3, source="a.csv")
    single = SingleFrame(
        frame=log.frames[2],
        share=0.125,
        matched=400,
        by_numbers=False,
        needed=(
            Needed("valve.release_speed", Level.SHOT, "second drop", -1.8, 0.6),
            Needed("sensor.height", Level.SETUP, "", 0.7, 0.9),
        ),
        mishaps={"sensor.miss_chance": 0.31, "valve.aside": 0.01},
    )
    return answer(log, single=replace(single, **parts))  # type: ignore[arg-type]


def _setups() -> ExplainAnswer:
    log = log_of("k" * 24 + "l" * 24 + "e" * 12)
    frames = tuple(
        replace(frame, setup=f"evening {place // 20}" if place >= 20 else "")
        for place, frame in enumerate(log.frames)
    )
    return answer(replace(log, frames=frames))


@cache
def answers() -> dict[str, ExplainAnswer]:
    """Return answers by what is peculiar about them."""
    nothing = log_of("k" * 9)
    blank = replace(nothing, frames=tuple(replace(one, look=None) for one in nothing.frames))
    none = {"seen": 0, "low": 0.0, "middle": 0.0, "high": 0.0, "chance": 1.0}
    odd = (Expected(KEPT, 3, 0.0, 2.0, 3.0, 0.5), Expected(LATE, **none))  # type: ignore[arg-type]
    return {
        "nothing wrong": answer(log_of("kklekkak" * 4)),
        "one suspect": _one(),
        "a group": _group(),
        "two suspects, nothing sure": _two(),
        "no model explains it": answer(log_of("aeaeaeae"), described=0.01, unknown=0.98, rest=0.01),
        "three frames": answer(log_of("kkk"), fit=Fit(1.0, odd)),
        "one frame": answer(log_of("l")),
        "no verdict": answer(blank, fit=None, described=0.5, unknown=0.05, rest=0.45),
        "drifts": answer(log_of("k" * 30 + "l" * 30)),
        "several set-ups": _setups(),
        "set-ups without a miss": answer(
            replace(
                nothing,
                frames=tuple(replace(one, setup=str(one.line % 3)) for one in nothing.frames),
            )
        ),
        "a frame": _frame(),
        "a rare frame": _frame(share=3 / 262144, matched=3, needed=(), mishaps={}),
        "an unheard-of frame": _frame(share=0.0, matched=0, needed=(), mishaps={}),
        "an ordinary frame": _frame(needed=(), mishaps={}),
    }


def printed(made: ExplainAnswer, width: int) -> str:
    """Return the screen as it is printed."""
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(explain_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]
