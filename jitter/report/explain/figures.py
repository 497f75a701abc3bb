"""The figures of `jitter explain`: what was seen and what was to be expected, and the course."""

from __future__ import annotations

import html

import numpy as np
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from jitter.answers.explain.answer import ExplainAnswer
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg
from jitter.report.explain.words import findings, odd_looks
from jitter.stages.look import KEPT, LOOKS

WINDOW = 10
"""Frames over which the running share is taken."""


def looks_figure(answer: ExplainAnswer) -> str:
    """Draw how many frames have each look, and how many the rig as described gives.

    Parameters
    ----------
    answer
        The answer.
    """
    if answer.fit is None:
        return ""
    rows = answer.fit.expected
    odd = {one.look for one in odd_looks(answer)}
    with sheet(WIDTH, 1.0 + 0.34 * len(rows)) as (figure, axes):
        for place, one in enumerate(rows):
            axes.hlines(place, one.low, one.high, color=AS_SET, lw=9, alpha=0.55)
            axes.plot(one.middle, place, "|", ms=11, mew=1.5, color=INK)
            marker, colour = ("D", TRIMMED) if one.look in odd else ("o", INK)
            axes.plot(one.seen, place, marker, ms=8, mfc=colour, mec="white")
        axes.plot([], [], "o", ms=8, mfc=INK, mec="white", ls="", label="seen")
        axes.plot([], [], "D", ms=8, mfc=TRIMMED, mec="white", ls="", label="seen, not by luck")
        axes.set_yticks(range(len(rows)), [LOOKS[one.look] for one in rows])
        axes.set_ylim(len(rows) - 0.4, -0.6)
        axes.xaxis.set_major_locator(MaxNLocator(integer=True))
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel("frames")
        usual = Patch(color=AS_SET, alpha=0.55, label="nine logs in ten of this rig")
        handles = [usual, *axes.get_legend_handles_labels()[0]]
        figure.legend(handles=handles, loc="outside lower left", ncols=3)
        bare(axes)
        label = f"Frames of each look, seen and expected. {findings(answer)[0]}"
        return to_svg(figure, label=html.escape(label), name="looks")


def course_figure(answer: ExplainAnswer) -> str:
    """Draw the frames in their order: keepers above, others below, and the running share.

    Parameters
    ----------
    answer
        The answer.
    """
    kept = np.array(
        [frame.look == KEPT for frame in answer.log.frames if frame.look is not None], dtype=float
    )
    if len(kept) < 2 * WINDOW:
        return ""
    places = np.arange(1, len(kept) + 1)
    running = 100.0 * np.convolve(kept, np.full(WINDOW, 1.0 / WINDOW), mode="valid")
    with sheet(WIDTH, 3.0) as (figure, axes):
        axes.plot(places[WINDOW - 1 :], running, color=TRIMMED, lw=2)
        marks = "|" if len(kept) > 150 else "o"
        axes.plot(places[kept > 0], np.full(int(kept.sum()), 104.0), marks, ms=4, color=INK)
        missed = np.full(int((1 - kept).sum()), -4.0)
        axes.plot(places[kept == 0], missed, marks, ms=4, mfc="white", color=AS_SET)
        change = answer.facts.change
        if change is not None and change.chance < 0.05:
            lines = [frame.line for frame in answer.log.frames if frame.look is not None]
            axes.axvline(lines.index(change.line) + 0.5, color=INK, lw=1.0, ls=":")
        axes.xaxis.set_major_locator(MaxNLocator(integer=True))
        axes.set(xlabel="frames in their order", ylabel=f"keepers of {WINDOW} frames (%)")
        axes.set(ylim=(-9, 109), yticks=(0, 25, 50, 75, 100))
        axes.grid(axis="y", color=PALE, lw=0.6)
        label = (
            f"Share of keepers over every {WINDOW} frames in their order; dots above are keepers,"
            " dots below are not."
        )
        return to_svg(figure, label=html.escape(label), name="course")
