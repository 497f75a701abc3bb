"""The page of `jitter tune`: what to set, the plateau, the slack."""

from __future__ import annotations

from jitter import __version__
from jitter.answers.tune.answer import TuneAnswer
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.tune.figures import map_figure, own_on_map, slack_figure
from jitter.report.tune.rows import held, keeper_rows, setting_rows, start_rows
from jitter.report.tune.words import findings


def tune_page(answer: TuneAnswer) -> str:
    """Return the page of the answer to `jitter tune`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    made = f"jitter {__version__}, study {answer.study.digest}."
    return page(
        heading=answer.study.title,
        about="which settings are best",
        findings=findings(answer),
        warnings=answer.warnings,
        body=[
            *_plateau(answer),
            section("Slack", figure(slack_figure(answer))) if answer.slack else "",
            section("Settings", _settings(answer)),
            section("Keepers", _keepers(answer)),
            *_starts(answer),
            section("What was assumed", assumptions(answer.study)),
            section("How it was computed", paragraphs((made, *held(answer)))),
            cautions(),
        ],
    )


def _settings(answer: TuneAnswer) -> str:
    headers = ("", "yours", "best", "slack as set by ruler", "slack after trimming")
    note = (
        "Between the ends of its slack a setting costs less than one frame in 100, all others as"
        " they stand.",
    )
    return table(headers, setting_rows(answer)) + paragraphs(note)


def _keepers(answer: TuneAnswer) -> str:
    return table(("", "yours", "best", "gain in 100", "sure to 95 %"), keeper_rows(answer))


def _plateau(answer: TuneAnswer) -> list[str]:
    plateau = answer.plateau
    if plateau is None:
        return []
    where = "the square is yours" if own_on_map(answer, plateau) else "yours is not on this map"
    note = (
        "Light: many keepers as set by ruler. Inside the solid line less than one frame in 100 is"
        f" lost against the best, the dot, inside the broken one less than two; {where}. The sensor"
        " and the start signal are as recommended. A map after trimming would show stripes: the"
        " delay hardly matters then.",
    )
    return [section("The plateau", figure(map_figure(answer, plateau)) + paragraphs(note))]


def _starts(answer: TuneAnswer) -> list[str]:
    rows = start_rows(answer)
    if not rows:
        return []
    headers = ("start signal", "delay", "interval", "sensor height", "as set", "after trimming")
    return [section("Each start signal at its best", table(headers, rows))]
