"""The page of `jitter rank`: what costs most, what makes the age and the hit, the budget."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.rank.answer import RankAnswer, Row
from jitter.answers.rank.frames import AGE, HIT
from jitter.answers.rank.steady import Steady
from jitter.quantities import Quantity
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.rank.figures import scaling_figure, shares_figure
from jitter.report.rank.rows import HEADERS, budget_rows, freedom_words
from jitter.report.rank.words import (
    STAR,
    age_finding,
    groups_findings,
    held,
    index_words,
    level,
    name,
    opening,
    scaling_words,
    shares_findings,
    starred,
)
from jitter.report.sorting import RANKING
from jitter.report.words import NONE_TOLD, UNCLEAR
from jitter.units.writing import write_difference, write_spread

SAID = {"as_set": "as set", "as_trimmed": "trimmed"}
TOLD = {AGE: "The age", HIT: "The hit"}


def rank_page(answer: RankAnswer) -> str:
    """Return the page of the answer to `jitter rank`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    return page(
        heading=answer.study.title,
        about="the ranking in full",
        findings=opening(answer),
        warnings=answer.warnings,
        body=[
            section("What each spread costs", figure(scaling_figure(answer)) + _gains(answer)),
            section(
                "What makes the age, and what makes the hit",
                paragraphs(shares_findings(answer))
                + figure(shares_figure(answer))
                + _shares(answer),
            ),
            section("A little more or less", _slopes(answer)),
            section("In groups", paragraphs(groups_findings(answer)) + _groups(answer)),
            section("The uncertainty budget of the age", _budget(answer)),
            section("What was assumed", assumptions(answer.study)),
            section("How it was computed", paragraphs(held(answer))),
            cautions(),
        ],
    )


def _gains(answer: RankAnswer) -> str:
    scalings = ("removed", "halved", "doubled")
    # What the opening names stands first: a spread removed, the delay trimmed.
    rows, ways = [], WAYS[::-1]
    for row in answer.rows:
        source, effects = row.one.source, row.effects
        if source is None or effects is None:
            continue
        gains = [getattr(effects[way], scaling) for way in ways for scaling in scalings]
        spread = write_spread(source.spread, source.unit)
        rows.append((starred(answer, row), level(row), spread, *map(scaling_words, gains)))
    said = (f"{scaling}, {SAID[way]}" for way in ways for scaling in scalings)
    headers = ("source", "level", "spread", *said)
    note = (
        "Percentage points that the hit rate gains or loses if a spread is removed, halved or"
        f" doubled, on the same draws; {NONE_TOLD}: {UNCLEAR}. A loss by removing is real: such a"
        " spread brings frames into the window that would miss it otherwise.",
    )
    star = (f"{STAR}.",) if any(row[0].endswith("*") for row in rows) else ()
    return paragraphs(note) + table(headers, rows, kind=RANKING) + paragraphs(star)


def _size(answer: RankAnswer, one: Steady) -> str:
    declared = answer.study.entries[one.key].declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{one.key} is no number")
    return write_difference(one.size, declared.unit, digits=2)


def _slopes(answer: RankAnswer) -> str:
    spreads = [
        ((name(row), level(row)), [row.effects[way].tenth for way in WAYS])
        for row in answer.rows
        if row.effects is not None
    ]
    values = [
        ((one.key, _size(answer, one)), [one.slopes[way] for way in WAYS]) for one in answer.steady
    ]
    return "".join(
        [
            paragraphs(
                (
                    "Slopes of the hit rate where the rig is now: percentage points by making a"
                    " spread a tenth larger.",
                )
            ),
            _clear(("source", "level"), spreads),
            paragraphs(
                (
                    "And by a value that is off by its own standard uncertainty without your"
                    " knowing, or a setting by a millisecond, as if the slope went on: + means more"
                    " of it keeps more frames. Near 0 the rig is centred in that value.",
                )
            ),
            _clear(("value", "off by"), values),
        ]
    )


def _clear(
    headers: tuple[str, str], rows: Sequence[tuple[tuple[str, str], Sequence[Estimate | None]]]
) -> str:
    """Return a table of the rows that show something."""
    shown = [
        (*names, *(scaling_words(slope) for slope in slopes))
        for names, slopes in rows
        if any(slope is not None and slope.clear for slope in slopes)
    ]
    more = f"{'And ' if shown else ''}{len(rows) - len(shown)} more, {NONE_TOLD}: {UNCLEAR}."
    made = table((*headers, *(SAID[way] for way in WAYS)), shown, kind=RANKING) if shown else ""
    return made + paragraphs((more,) if len(rows) > len(shown) else ())


INDICES = ("first", "total", "shapley")


def _cells(row: Row, what: str) -> list[str]:
    return [index_words(getattr(row.parts[way, what], index)) for way in WAYS for index in INDICES]


def _headers(*first: str) -> tuple[str, ...]:
    words = {"first": "alone", "total": "in all", "shapley": "Shapley"}
    return (*first, *(f"{words[index]}, {SAID[way]}" for way in WAYS for index in INDICES))


def _shares(answer: RankAnswer) -> str:
    note = (
        "Per cent of the variance, ± standard error. Alone: the first-order Sobol' index, what"
        " would go if this were known. In all: the total index, what would stay if all else were"
        " known. For the hit that is how often drawing this anew turns the outcome, over what two"
        " fresh frames would; these do not sum to 100. Shapley: what is shared fairly between"
        " those that act together; these do.",
    )
    said = [paragraphs(note)]
    for what, words in TOLD.items():
        rows = [
            (name(row), level(row), *_cells(row, what))
            for row in sorted(answer.rows, key=lambda one: -_weight(one, what))
        ]
        said.append(f"<h3>{words}</h3>" + table(_headers("source", "level"), rows, kind=RANKING))
    return "".join(said)


def _weight(row: Row, what: str) -> float:
    shares = [row.parts[way, what].shapley.estimate for way in WAYS]
    return max([share.value for share in shares if share.low > 0.0], default=0.0)


def _groups(answer: RankAnswer) -> str:
    note = (
        "Set-up and shot are one division of the sources, timing, aim, picture and mishaps the"
        " other. A group's Shapley share is that of its members together.",
    )
    said = [paragraphs(note)]
    for what, words in TOLD.items():
        rows = [(f"{group.name} ({group.size})", *_cells(group, what)) for group in answer.groups]
        said.append(f"<h3>{words}</h3>" + table(_headers("group"), rows, kind="figures"))
    return "".join(said)


def _budget(answer: RankAnswer) -> str:
    found, seen = answer.budget, answer.ages
    if math.isnan(found.combined):
        return paragraphs((age_finding(answer),))
    note = (
        age_finding(answer),
        "In the form of JCGM 100:2008: what each error does to the age of the shot in which nothing"
        " strays, to first order, the delay as set by ruler. The coefficient is the change of the"
        " age over one standard uncertainty both ways; a spread that is stated rather than"
        " measured has no end of degrees of freedom (G.4.2).",
    )
    pairs = (
        ("from set-up to set-up", found.setup, seen.setup),
        ("from shot to shot", found.shot, seen.shot),
        ("combined standard uncertainty", found.combined, math.hypot(seen.setup, seen.shot)),
    )
    beside = [(words, _time(one), _time(other)) for words, one, other in pairs]
    beside.append(("effective degrees of freedom", freedom_words(found.freedom), ""))
    after = (
        "The budget sees slopes only. An error that moves the age alike whichever way it goes, as"
        " that of a drop off the beam line does, has no slope and no share in it; the simulation"
        " sees that, and bends over wide spreads, which is why the two need not agree. What alike"
        " errors of the two drops add to the variance or take from it is shared out between their"
        " lines, by Shapley's rule.",
    )
    return (
        paragraphs(note)
        + table(HEADERS, budget_rows(found), kind="figures")
        + table(("standard deviation of the age", "budget", "simulated"), beside)
        + paragraphs(after)
    )


def _time(seconds: float) -> str:
    return "none" if math.isnan(seconds) else write_difference(seconds, "s")
