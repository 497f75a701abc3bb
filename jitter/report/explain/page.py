"""The page of `jitter explain`: what the log says, the suspects, the next test, the looks."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from jitter import __version__
from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.typical import Example
from jitter.report.assumed import assumptions
from jitter.report.explain.figures import course_figure, looks_figure
from jitter.report.explain.names import outcome_key
from jitter.report.explain.rows import (
    LOOK_KEY,
    look_rows,
    needed_rows,
    outcome_rows,
    series_rows,
    setup_rows,
    suspect_rows,
)
from jitter.report.explain.words import findings, held, notes, source
from jitter.report.frames.gallery import gallery
from jitter.report.html import cautions, contents, figure, page, paragraphs, section, table


def explain_page(answer: ExplainAnswer, examples: Mapping[int, Example]) -> str:
    """Return the page of the answer to `jitter explain`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    examples
        A typical frame of each look, drawn in the gallery.
    """
    made = f"jitter {__version__}. {source(answer)}"
    parts = [
        ("frames", "The frames", _frames(answer)),
        ("suspects", "Suspects", _suspects(answer)),
        ("next", "What to shoot next", _next(answer)),
        ("one", "What that frame took", _single(answer)),
    ]
    shown = [(name, title, content) for name, title, content in parts if content]
    return page(
        heading=answer.study.title,
        about="what a log of frames says",
        findings=findings(answer),
        warnings=(),
        body=[
            *(
                f'<p class="warning"><strong>Note.</strong> {escape(note)}</p>'
                for note in notes(answer)
            ),
            contents([*((name, title) for name, title, _ in shown), ("gallery", "The looks")]),
            *(section(title, content, name=name) for name, title, content in shown),
            section("The looks", gallery(answer.study, examples), name="gallery"),
            section("What was assumed", assumptions(answer.study)),
            section("How it was computed", paragraphs((made, *held(answer)))),
            cautions(),
        ],
    )


def _frames(answer: ExplainAnswer) -> str:
    rows = look_rows(answer)
    if not rows:
        return ""
    parts = [
        figure(looks_figure(answer)),
        table(("look", "seen", "expected", ""), rows, kind="figures"),
        paragraphs((f"{LOOK_KEY.capitalize()}.",)),
    ]
    course = course_figure(answer)
    if course:
        parts.append(figure(course))
    by_setup = setup_rows(answer)
    if by_setup:
        parts.append(table(("set-up", "keepers", "frames", "share"), by_setup, kind="figures"))
    return "".join(parts)


def _suspects(answer: ExplainAnswer) -> str:
    rows = suspect_rows(answer)
    if not rows:
        return ""
    headers = ("group", "suspect", "its share", "group’s", "what it would mean")
    note = (
        "Suspects of one group would give such a log alike: this log cannot tell them apart. In"
        " brackets: sure to 90 %, if that suspect is to blame."
    )
    return table(headers, rows, kind="wordy") + paragraphs((note,))


def _next(answer: ExplainAnswer) -> str:
    rows = series_rows(answer)
    if not rows:
        return ""
    note = "Settles: how much of the remaining doubt about who is to blame the series would end."
    return (
        table(("frames", "how", "settles"), rows)
        + paragraphs((note,))
        + "<h3>What the first would show</h3>"
        + table(("if to blame is", "the frames show"), outcome_rows(answer))
        + paragraphs((f"{outcome_key(answer.tests[0]).capitalize()}.",))
    )


def _single(answer: ExplainAnswer) -> str:
    rows = needed_rows(answer)
    note = "Each error in its own standard deviations: up to 2 is nothing unusual, 3 is rare."
    return table(("error", "what it is"), rows) + paragraphs((note,)) if rows else ""
