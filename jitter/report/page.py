"""An answer as a self-contained page: finding, pictures, tables, assumptions, method, cautions."""

from __future__ import annotations

import math

from jitter import __version__
from jitter.answers.run import RunAnswer
from jitter.report.assumed import assumptions, times
from jitter.report.figures import ages_figure, ranking_figure, reasons_figure
from jitter.report.frames.contact import ages_sheet, contact_sheet, missed_sheet
from jitter.report.html import cautions, contents, figure, page, paragraphs, section, table
from jitter.report.session_figure import session_section
from jitter.report.sorting import RANKING
from jitter.report.timeline import timeline_figure
from jitter.report.words import NONE_TOLD, UNCLEAR, findings, gained, interval
from jitter.units.writing import write_difference, write_percent, write_spread


def run_page(answer: RunAnswer) -> str:
    """Return the page of the answer to `jitter run`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    parts = _parts(answer)
    return page(
        heading=answer.study.title,
        about="keepers and misses",
        findings=findings(answer),
        warnings=answer.warnings,
        body=[
            contents((name, title) for name, title, _ in parts),
            *(section(title, content, name=name) for name, title, content in parts),
            cautions(),
        ],
    )


def _parts(answer: RunAnswer) -> list[tuple[str, str, str]]:
    """Return the sections: name for links, title, HTML; what is to be mended comes early."""
    frames, session = answer.frames, answer.session
    timeline = timeline_figure(answer.study, answer.nominal)
    parts = [
        ("seen", "What the camera would see", contact_sheet(answer, frames) if frames else ""),
        ("keepers", "Keepers", _keepers(answer)),
        ("misses", "Why the rest miss", _misses(answer)),
        ("costs", "What costs most", figure(ranking_figure(answer)) + _ranking(answer)),
        ("ages", "The age against the window", _ages(answer)),
        ("session", "Over the session", session_section(session) if session else ""),
        (
            "shot",
            "One shot in which nothing strays",
            figure(timeline) + times(answer.study, answer.nominal),
        ),
        ("assumed", "What was assumed", assumptions(answer.study)),
        ("computed", "How it was computed", _method(answer)),
    ]
    return [part for part in parts if part[-1]]


def _keepers(answer: RunAnswer) -> str:
    ways = (answer.as_set, answer.as_trimmed)

    def time(seconds: float) -> str:
        return "none" if math.isnan(seconds) else write_difference(seconds, "s")

    rows = [
        ("share of frames", *(write_percent(way.hit_rate.value) for way in ways)),
        ("sure to 95 %", *(interval(way.hit_rate) for way in ways)),
        ("a bad set-up, one in ten", *(write_percent(way.by_setup.p10) for way in ways)),
        ("a middling set-up", *(write_percent(way.by_setup.p50) for way in ways)),
        ("a good set-up, one in ten", *(write_percent(way.by_setup.p90) for way in ways)),
        ("age, mean", *(time(way.ages.mean) for way in ways)),
        ("age, sd from set-up to set-up", *(time(way.ages.setup) for way in ways)),
        ("age, sd from shot to shot", *(time(way.ages.shot) for way in ways)),
    ]
    return table(("", "as set by ruler", "after trimming"), rows)


def _misses(answer: RunAnswer) -> str:
    frames = answer.frames
    drawn = missed_sheet(answer, frames) if frames is not None and frames.missed else ""
    return figure(reasons_figure(answer)) + drawn + _reasons(answer)


def _ages(answer: RunAnswer) -> str:
    frames = answer.frames
    drawn = ages_sheet(answer, frames) if frames is not None and frames.by_age else ""
    return figure(ages_figure(answer)) + drawn


def _reasons(answer: RunAnswer) -> str:
    rows = [
        (
            reason,
            write_percent(share.value, digits=2),
            interval(share, digits=2),
            write_percent(answer.as_trimmed.reasons[reason].value, digits=2),
            interval(answer.as_trimmed.reasons[reason], digits=2),
        )
        for reason, share in answer.as_set.reasons.items()
    ]
    headers = ("reason", "as set", "sure to 95 %", "trimmed", "sure to 95 %")
    note = "<p>A frame with several reasons counts under the first of them, in the order below.</p>"
    return note + table(headers, rows, kind="figures")


def _ranking(answer: RunAnswer) -> str:
    rows = []
    for rank in answer.ranking:
        source = rank.source
        share = "" if math.isnan(rank.age_share) else write_percent(rank.age_share)
        gains = [
            getattr(way, name)
            for name in ("removed", "halved")
            for way in (rank.as_trimmed, rank.as_set)
        ]
        rows.append(
            (
                " and ".join(source.keys),
                source.level.value.replace("setup", "set-up"),
                *map(gained, gains),
                write_spread(source.spread, source.unit),
                share,
            )
        )
    # What is sought first stands where a phone shows it without scrolling.
    headers = (
        "quantity",
        "level",
        "removed, trimmed",
        "removed, as set",
        "halved, trimmed",
        "halved, as set",
        "spread",
        "share of the age",
    )
    note = (
        "<p>Percentage points that the hit rate gains if a spread is removed or halved, on the same"
        f" draws; {NONE_TOLD}: {UNCLEAR}. A loss is real: such a spread brings frames into the"
        " window that would miss it otherwise.</p>"
    )
    return note + table(headers, rows, kind=RANKING)


def _method(answer: RunAnswer) -> str:
    layout = answer.layout
    sentences = (
        f"jitter {__version__}, study {answer.study.digest}, seed {layout.seed}: {layout.setups}"
        f" set-ups of {layout.shots} shots each, every one fired twice on the same draws, with the"
        " delay as set by ruler and with the delay trimmed.",
        "Intervals hold to 95 % and take set-ups as the independent units: shots of one set-up"
        " share its errors. The hit rates of bad and good set-ups are freed of the noise of finite"
        " shots.",
        f"The ranking fires the first {answer.ranked_setups} set-ups again with one spread removed"
        " or halved and all draws kept. At 95 %, one row in twenty may look clear by luck.",
        "The share of the age's variance is the mean square by which removing the spread moves the"
        " age, over the age's variance.",
    )
    return paragraphs(sentences)
