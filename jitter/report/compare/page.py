"""The page of `jitter compare`: studies on the same draws."""

from __future__ import annotations

from collections.abc import Sequence

from jitter import __version__
from jitter.answers.compare.answer import CompareAnswer, Pair
from jitter.answers.compare.drivers import Drive
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.report.assumed import assumptions
from jitter.report.compare.figures import differences_figure, drivers_figure, reasons_figure
from jitter.report.compare.words import (
    LETTERS,
    findings,
    letter,
    made,
    name_of,
    points_interval,
    sides,
)
from jitter.report.effort import effort_words
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.words import NONE_TOLD, UNCLEAR, gained, interval
from jitter.stages.verdict import REASONS
from jitter.units.writing import write_percent


def compare_page(answer: CompareAnswer) -> str:
    """Return the page of the answer to `jitter compare`: HTML without network and script.

    Parameters
    ----------
    answer
        The answer.
    """
    first = answer.contenders[0]
    drive = answer.drive
    return page(
        heading=first.study.title,
        about="studies compared",
        findings=findings(answer),
        warnings=answer.warnings,
        body=[
            section("Keepers", figure(differences_figure(answer)) + _keepers(answer)),
            section("Why frames miss", figure(reasons_figure(answer)) + _reasons(answer)),
            *([section("What drove it", _drive(drive))] if drive is not None else []),
            *(
                section(
                    f"What {letter(answer, pair.other)} says otherwise than A", _differences(pair)
                )
                for pair in answer.against_first
            ),
            section(f"What was assumed of A, {first.name}", assumptions(first.study)),
            section("How it was computed", paragraphs(_method(answer))),
            cautions(),
        ],
    )


def _told(estimate: Estimate) -> str:
    """Write a difference with its interval, or that it cannot be told from none."""
    said = gained(estimate)
    return f"{said} ({points_interval(estimate)})"


def _keepers(answer: CompareAnswer) -> str:
    against = {pair.other: pair.change for pair in answer.against_first}
    rows = []
    for place, contender in enumerate(answer.contenders):
        rates = [contender.hits.rates[way] for way in WAYS]
        change = against.get(place)
        rows.append(
            (
                letter(answer, place),
                *(f"{write_percent(rate.value)} ({interval(rate)})" for rate in rates),
                *("" if change is None else _told(change[way]) for way in WAYS),
            )
        )
    headers = ("study", "as set", "trimmed", "as set, less A", "trimmed, less A")
    said = table(headers, rows, kind="figures")
    if len(answer.contenders) > 2:
        pairs = [
            (
                f"{LETTERS[pair.other]} less {LETTERS[pair.one]}",
                *(_told(pair.change[way]) for way in WAYS),
            )
            for pair in answer.pairs
        ]
        said += table(("each against each", "as set", "trimmed"), pairs, kind="figures")
    return said


def _reasons(answer: CompareAnswer) -> str:
    pairs = answer.against_first
    headers = [
        "change in 100 frames",
        *(
            f"{LETTERS[pair.other]} less A, {words}"
            for pair in pairs
            for words in ("as set", "trimmed")
        ),
    ]
    rows = [
        (reason, *(_told(pair.reasons[way][reason]) for pair in pairs for way in WAYS))
        for reason in REASONS
        if any(
            contender.reasons[way][reason].value > 0.0
            for contender in answer.contenders
            for way in WAYS
        )
    ]
    return table(headers, rows, kind="figures")


def _drive(drive: Drive) -> str:
    rows = [
        (
            name_of(driver.difference),
            *(_told(effect[way]) for way in WAYS for effect in (driver.alone, driver.last)),
            "" if driver.fits["as_trimmed"] else "needs others",
        )
        for driver in drive.ranked("as_trimmed")
    ]
    rows += [(name_of(one), "", "", "", "", "cannot be fired alone") for one in drive.unfired]
    headers = (
        "difference",
        "as set, alone",
        "as set, last",
        "trimmed, alone",
        "trimmed, last",
        "",
    )
    notes = [
        "Points by which the hit rate changes when a difference is taken over alone, and when all"
        f" others are changed already; {effort_words(drive.effort)}. {NONE_TOLD}: {UNCLEAR}. “Needs"
        " others”: taken over alone, or left out alone, it spoils even the shot in which nothing"
        " strays.",
    ]
    if all(driver.fits["as_trimmed"] for driver in drive.drivers) and not drive.unfired:
        notes.append(
            "What the differences do together beyond the sum of what each does alone, after"
            f" trimming: {_told(drive.together['as_trimmed'])}."
        )
    pictured = len(drive.drivers) > 1
    return (
        (figure(drivers_figure(drive)) if pictured else "")
        + table(headers, rows, kind="figures")
        + paragraphs(notes)
    )


def _differences(pair: Pair) -> str:
    rows: Sequence[tuple[str, str, str]] = [
        row for difference in pair.differences for row in sides(difference)
    ]
    return table(("", "A", LETTERS[pair.other]), rows)


def _method(answer: CompareAnswer) -> tuple[str, ...]:
    return (
        f"jitter {__version__}; {made(answer)}.",
        "Every source of error has a stream of random numbers of its own, keyed by its name, so"
        " that all studies see the same draws: what differs between their answers is what differs"
        " between the studies, not luck. The intervals are those of paired differences, set-ups"
        " being the independent units. At 95 %, one clear row in twenty may be luck.",
        "Held fixed: everything that the studies say alike. A choice and the values that hang on"
        " it, a value and the one that it takes the place of, and spreads that share one draw are"
        " one difference.",
    )
