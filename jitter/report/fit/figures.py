"""The figure of `jitter fit`: measured spreads against those that the study says."""

from __future__ import annotations

import html
import math

from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Number
from jitter.report.drawing import INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg

LEAST, MOST = 0.02, 50.0
"""Ends of the scale: what goes beyond is drawn at its edge."""


def compared(answer: FitAnswer) -> list[Number]:
    """Return the spreads for which the study says one too."""
    return [
        number
        for finding in answer.findings
        for number in finding.numbers
        if number.spread and number.old
    ]


def _short(name: str) -> str:
    return name.replace(", sd from shot to shot", ", shot").replace(
        ", sd from set-up to set-up", ", set-up"
    )


def spreads_figure(answer: FitAnswer) -> str:
    """Draw each measured spread over the study's, with its interval."""
    shown = compared(answer)
    with sheet(WIDTH, 1.3 + 0.42 * len(shown)) as (figure, axes):
        axes.axvline(1.0, color=INK, lw=0.8)
        for place, number in enumerate(shown):
            value, low, high = (
                min(max(end / (number.old or 1.0), LEAST), MOST)
                for end in (number.estimate.value, number.estimate.low, number.estimate.high)
            )
            agrees = low <= 1.0 <= high
            axes.hlines(place, low, high, color=TRIMMED, lw=2)
            axes.plot(value, place, "o", ms=6, mfc="white" if agrees else TRIMMED, mec=TRIMMED)
        axes.set_xscale("log")
        axes.set_xlim(LEAST, MOST)
        axes.set_xticks([0.1, 1.0, 10.0], ["a tenth", "the same", "ten times"])
        axes.minorticks_off()
        axes.set_yticks(range(len(shown)), [_short(number.name) for number in shown])
        axes.set_ylim(len(shown) - 0.5, -0.5)
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel("measured over the study's\n(hollow: they agree)")
        bare(axes)
        apart = [
            number.name
            for number in shown
            if not number.estimate.low <= (number.old or math.nan) <= number.estimate.high
        ]
        label = (
            "Dots with intervals: each measured spread against the one that the study says."
            f" Apart from it: {', '.join(apart) or 'none'}."
        )
        return to_svg(figure, label=html.escape(label), name="spreads")
