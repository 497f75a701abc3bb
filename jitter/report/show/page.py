"""The page of `jitter show`: how a study was understood."""

from __future__ import annotations

from jitter import __version__
from jitter.answers.show.answer import ShowAnswer
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.show.words import band, moment_rows, number_rows, understood
from jitter.report.timeline import bands_figure


def show_page(answer: ShowAnswer) -> str:
    """Return the page of the answer to `jitter show`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    study, layout = answer.study, answer.layout
    method = (
        f"jitter {__version__}, study {study.digest}, seed {layout.seed}. The bands hold nine in"
        f" ten of {layout.setups} set-ups of {layout.shots} shots each, as set by ruler; lines and"
        " numbers are those of the one shot in which nothing strays.",
    )
    headers = ("", "nominal", "nine in ten", "sd", "happens")
    return page(
        heading=study.title,
        about="the study as it will be run",
        findings=understood(answer),
        warnings=answer.warnings,
        body=[
            section(
                "One shot in space and time",
                figure(bands_figure(answer))
                + paragraphs((band(),))
                + table(headers, moment_rows(answer), kind="figures"),
            ),
            section(
                "The numbers of that shot",
                table(("", "", "symbol", "value"), number_rows(answer)),
            ),
            section("Every value", assumptions(study)),
            section("How it was computed", paragraphs(method)),
            cautions(),
        ],
    )
