"""The page of `jitter plan`: frames and time for so many keepers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from jitter import __version__
from jitter.answers.plan.answer import PlanAnswer
from jitter.answers.plan.foresight import RESAMPLES
from jitter.answers.plan.planning import CERTAINTIES, Strategy
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.plan.figures import certainty_figure, time_figure
from jitter.report.plan.screen import made
from jitter.report.plan.words import (
    alike_words,
    findings,
    keepers_words,
    manner_words,
    rates_words,
    run_words,
    shared_words,
    write_certainty,
    write_chance,
    write_duration,
)
from jitter.report.words import interval
from jitter.units.writing import write_percent


def plan_page(answer: PlanAnswer) -> str:
    """Return the page of the answer to `jitter plan`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    return page(
        heading=answer.study.title,
        about="frames and time for so many keepers",
        findings=findings(answer),
        warnings=answer.warnings,
        body=[
            section(
                "How sure, with how many frames",
                figure(certainty_figure(answer)) + _certainties(answer),
            ),
            section("One long set-up or several", figure(time_figure(answer)) + _asked(answer)),
            section("The whole evening", _evenings(answer)),
            section("What was assumed", assumptions(answer.study)),
            section("How it was computed", paragraphs(_method(answer))),
            cautions(),
        ],
    )


def _certainties(answer: PlanAnswer) -> str:
    rows = [
        (
            run_words([strategy.manner for strategy in run]),
            *(
                "more" if one is None else f"{one.frames} ({one.expected:.1f})"
                for one in run[0].table
            ),
        )
        for run in _runs(answer.strategies, lambda strategy: not any(strategy.table))
    ]
    note = (
        f"Fewest frames that give at least {keepers_words(answer.want)} with each certainty; in"
        " brackets the keepers to expect on average."
        f" “more”: more than the {answer.frames} of the evening."
    )
    headers = ("certainty", *(write_certainty(certainty) for certainty in CERTAINTIES))
    return table(headers, rows, kind="figures") + paragraphs((note,))


def _runs(strategies: Sequence[Strategy], idle: Callable[[Strategy], bool]) -> list[list[Strategy]]:
    """Return strategies in rows: neighbours that differ in set-ups only and say nothing are one."""

    def kind(pair: tuple[int, Strategy]) -> tuple[object, ...]:
        place, strategy = pair
        manner = strategy.manner
        return (manner.way, manner.every, -1 if idle(strategy) else place)

    return [[one for _, one in run] for _, run in groupby(enumerate(strategies), kind)]


def _asked(answer: PlanAnswer) -> str:
    rows = []
    for strategy, *others in _runs(answer.strategies, lambda one: one.asked is None):
        asked, chance = strategy.asked, strategy.chance
        name = run_words([one.manner for one in (strategy, *others)])
        name += " (quickest)" if strategy is answer.best else ""
        if asked is None or chance is None:
            rows.append((name, "out of reach", "", "", "", ""))
            continue
        rows.append(
            (
                name,
                shared_words(asked.shared),
                str(asked.trimming),
                write_duration(asked.time),
                f"{asked.expected:.1f}",
                f"{write_chance(chance.value)} ({interval(chance)})",
            )
        )
    headers = ("", "frames", "to trim", "time", "keepers on average", "certainty reached")
    return table(headers, rows, kind="figures")


def _evenings(answer: PlanAnswer) -> str:
    rows = [
        (
            manner_words(strategy.manner),
            shared_words(strategy.evening.frames),
            write_chance(strategy.evening.chance),
            f"{strategy.evening.expected:.1f}",
            f"{strategy.evening.low} to {strategy.evening.high}",
            write_percent(strategy.evening.none),
        )
        for strategy in answer.strategies
    ]
    headers = (
        "",
        "frames",
        f"{answer.want} or more",
        "keepers on average",
        "95 evenings in 100",
        "no keeper at all",
    )
    return table(headers, rows, kind="figures")


def _method(answer: PlanAnswer) -> tuple[str, ...]:
    if answer.moving:
        known = (
            "Something drifts in this rig, so every simulated set-up was followed frame by frame"
            " through the evening, trimmed once and trimmed again and again; the keepers among the"
            " first frames were counted. Every trimming of a set-up was read with the same reading"
            " errors, which errs on the careful side. A new set-up begins without drift.",
        )
    else:
        known = (
            "Frames of one set-up share its hit rate. The law of those rates over set-ups was found"
            " as a mixture of binomials, freed of the noise of finite shots; given the rate,"
            " keepers are binomial. Different set-ups are independent.",
        )
    return (
        f"jitter {__version__}. {made(answer)}.".replace(". seed", ". Seed"),
        rates_words(answer),
        alike_words(answer),
        *known,
        f"The interval of a certainty comes from drawing the simulated set-ups {RESAMPLES} times"
        " anew. It holds for this model and these spreads, not for what they leave out.",
        "Held fixed: the frames are decided on beforehand; nobody stops early at enough keepers, or"
        " gives a bad set-up up, which would save frames.",
    )
