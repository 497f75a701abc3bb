"""The page of `jitter fit`: measurements, the new study, and what it changes."""

from __future__ import annotations

from html import escape

from jitter import __version__
from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Finding
from jitter.answers.hits import WAYS
from jitter.report.assumed import assumptions
from jitter.report.compare.figures import drivers_figure
from jitter.report.compare.words import name_of
from jitter.report.fit.figures import compared, spreads_figure
from jitter.report.fit.screen import titled
from jitter.report.fit.words import (
    change_interval,
    change_of,
    findings,
    interval_of,
    made,
    old_of,
    ranked,
    uncertainty_of,
    written,
)
from jitter.report.html import (
    cautions,
    figure,
    page,
    paragraphs,
    scrolling,
    section,
    table,
)
from jitter.report.words import NONE_TOLD, UNCLEAR


def fit_page(answer: FitAnswer) -> str:
    """Return the page of the answer to `jitter fit`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    measured = figure(spreads_figure(answer)) if compared(answer) else ""
    comparison = answer.comparison
    study = answer.study if answer.fitted is None else answer.fitted
    return page(
        heading=answer.study.title,
        about="measurements turned into a study",
        findings=findings(answer),
        warnings=() if comparison is None else comparison.warnings,
        body=[
            section("What was measured", measured + "".join(map(_finding, answer.findings))),
            *([section("What each change does", _changes(answer))] if ranked(answer) else []),
            *([section("The new study", _text(answer.text))] if answer.text is not None else []),
            section("What is assumed now", assumptions(study)),
            section("How it was computed", paragraphs((*_method(answer), *answer.notes))),
            cautions(),
        ],
    )


def _finding(finding: Finding) -> str:
    rows = [
        (
            number.name,
            written(number, number.estimate.value),
            uncertainty_of(number),
            interval_of(number),
            old_of(number),
            number.place or "–",
        )
        for number in finding.numbers
    ]
    headers = ("", "measured", "uncertainty", "sure to 95 %", "the study said", "written to")
    notes = [f"{note[0].upper()}{note[1:]}." for note in finding.notes]
    told = table(headers, rows) if rows else ""
    return f"<h3>{escape(titled(finding))}</h3>{told}{paragraphs(notes)}"


def _changes(answer: FitAnswer) -> str:
    drivers = ranked(answer)
    drive = answer.comparison.drive if answer.comparison is not None else None
    picture = figure(drivers_figure(drive)) if drive is not None and len(drivers) > 1 else ""
    rows = [
        (
            name_of(driver.difference),
            *(
                f"{change_of(effect)} ({change_interval(effect)})"
                for way in WAYS
                for effect in (driver.alone[way], driver.last[way])
            ),
        )
        for driver in drivers
    ]
    headers = ("change", "as set, alone", "as set, last", "trimmed, alone", "trimmed, last")
    note = (
        "Points by which the hit rate changes when a number is taken over alone, and when all the"
        f" others are taken over already. {NONE_TOLD}: {UNCLEAR}."
    )
    return picture + table(headers, rows, kind="figures") + paragraphs((note,))


def _text(text: str) -> str:
    return scrolling(f"<pre>{escape(text)}</pre>", about="lines of a study file")


def _method(answer: FitAnswer) -> tuple[str, ...]:
    return (
        f"jitter {__version__}; {made(answer)}.",
        "Means are those of the set-ups, or of the readings of the only one, with the standard"
        " uncertainty s/√n and Student's interval (JCGM 100:2008, 4.2). Spreads from shot to shot"
        " and from set-up to set-up are separated by the one-way analysis of variance with random"
        " set-ups; what is known otherwise is taken off as variances, and nothing falls below 0."
        " Their intervals are generalised confidence intervals. All of it takes readings as normal"
        " and as independent of each other within a set-up.",
        "A spread that cannot be told from 0 is not said to be 0: the study's own stays, unless it"
        " is larger than the readings allow. Everything that was not measured stands in the new"
        " study word for word.",
        "What the new numbers change is told by both studies on the same draws, with the intervals"
        " of paired differences.",
    )
