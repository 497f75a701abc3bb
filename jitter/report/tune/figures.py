"""The figures of `jitter tune`: the plateau as a map, and the slack of each setting."""

from __future__ import annotations

import html

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch

from jitter.answers.hits import WAYS
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START
from jitter.answers.tune.plateau import PlateauMap, Slack
from jitter.arrays import Array
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg
from jitter.report.tune.words import NAMES, WHICH, shown_setting, slack_words
from jitter.units.writing import write_percent

SHADING = "cividis"
"""Even to the eye, and from dark to light also to eyes that miss colours, and in print without."""
STEPS = (1, 2, 5, 10)
"""Keepers in 100 between two shades: the smallest that needs no more than twelve of them."""
OUTLINES = ((1.0, INK, "-"), (2.0, INK, "--"))
"""Frames in 100 lost against the recommended settings."""
UNITS = {DELAY: "s", INTERVAL: "s", HEIGHT: "m"}
REACH = 25.0
"""The bars of slack end so many milliseconds or millimetres from the setting."""


def map_figure(answer: TuneAnswer, plateau: PlateauMap) -> str:
    """Draw keepers over delay and interval, the plateau outlined, yours and the best marked.

    Parameters
    ----------
    answer
        The answer.
    plateau
        Its map.
    """
    with sheet(WIDTH, 5.0) as (figure, axes):
        delays = 1e3 * plateau.delays
        intervals = np.broadcast_to(1e3 * plateau.intervals[:, None], delays.shape)
        shares = 100.0 * plateau.as_set
        levels = _levels(float(shares.max()))
        shaded = axes.contourf(delays, intervals, shares, levels=levels, cmap=SHADING, zorder=0)
        axes.contour(
            delays, intervals, shares, levels=levels, colors="white", linewidths=0.4, zorder=0
        )
        # Hundreds of shapes would make a heavy page: the shading is a picture, its edges are not.
        axes.set_rasterization_zorder(0.5)
        bar = figure.colorbar(shaded, ax=axes, pad=0.02)
        bar.set_label("keepers in 100 frames, as set by ruler", fontsize=9)
        lost = 100.0 * plateau.loss
        for loss, colour, style in OUTLINES:
            if lost.min() < loss < lost.max():
                axes.contour(
                    *(delays, intervals, lost),
                    levels=[loss],
                    colors=colour,
                    linewidths=2.2,
                    linestyles=style,
                )
        _mark(axes, answer)
        axes.set(xlabel="delay (ms)", ylabel="interval (ms)")
        # Under the picture, where it hides nothing of it.
        figure.legend(*axes.get_legend_handles_labels(), loc="outside lower left", ncols=4)
        best = ", ".join(f"{NAMES[key]} {shown_setting(answer.best, key)}" for key in _pair())
        rate = write_percent(answer.best_hits.rates["as_set"].value)
        label = (
            "Map of keepers over delay and interval, light where there are many; the outlines hold"
            " what loses less than one and two frames in 100."
            f" Best: {best}, {rate} keepers as set by ruler."
        )
        return to_svg(figure, label=html.escape(label), name="plateau")


def _levels(high: float) -> Array:
    """Return round numbers of keepers in 100, from 0 up to the most."""
    step = next(one for one in STEPS if high <= 12 * one)
    return np.arange(0.0, max(high, 0.1) + step, step)


def _pair() -> tuple[str, str]:
    return DELAY, INTERVAL


def own_on_map(answer: TuneAnswer, plateau: PlateauMap) -> bool:
    """Return whether the user's settings lie on the map: its start signal, and within its ends."""
    starts = [study.entries[START].nominal for study in (answer.study, answer.best)]
    delay, interval = (answer.study.number(key) for key in _pair())
    first, last = (np.interp(interval, plateau.intervals, plateau.delays[:, at]) for at in (0, -1))
    inside = plateau.intervals[0] <= interval <= plateau.intervals[-1] and first <= delay <= last
    return starts[0] == starts[1] and bool(inside)


def _mark(axes: Axes, answer: TuneAnswer) -> None:
    for loss, colour, style in OUTLINES:
        axes.plot([], [], style, color=colour, lw=2.2, label=f"{loss:g} in 100 lost")
    at = [1e3 * answer.best.number(key) for key in _pair()]
    axes.plot(*at, "o", ms=10, mfc=TRIMMED, mec="white", mew=1.5, ls="", label="best")
    if answer.plateau is not None and own_on_map(answer, answer.plateau):
        own = [1e3 * answer.study.number(key) for key in _pair()]
        axes.plot(*own, "s", ms=11, mfc="none", mec=INK, mew=2.0, ls="", label="yours")


def slack_figure(answer: TuneAnswer) -> str:
    """Draw how far each setting may go, both ways; an arrow where the bar goes on.

    Parameters
    ----------
    answer
        The answer.
    """
    keys = [key for key in (DELAY, INTERVAL, HEIGHT) if key in answer.slack]
    with sheet(WIDTH, 1.3 + 0.75 * len(keys)) as (figure, axes):
        axes.axvline(0.0, color=INK, lw=0.9)
        for row, key in enumerate(keys):
            for shift, way, colour in ((-0.19, WAYS[0], AS_SET), (0.19, WAYS[1], TRIMMED)):
                at = answer.best.number(key)
                _bar(axes, row + shift, answer.slack[key][way], at=at, colour=colour)
        names = [f"{NAMES[key]}\n{shown_setting(answer.best, key)}" for key in keys]
        axes.set_yticks(range(len(keys)), names)
        axes.set_ylim(len(keys) - 0.5, -0.5)
        axes.set_xlim(-REACH - 3.0, REACH + 3.0)
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel("off the best setting by (ms, or mm of height)\narrow: further still")
        handles = [
            Patch(color=colour, label=WHICH[way])
            for way, colour in zip(WAYS, (AS_SET, TRIMMED), strict=True)
        ]
        figure.legend(handles=handles, loc="outside lower left", ncols=2)
        bare(axes)
        told = "; ".join(
            f"{NAMES[key]} {slack_words(answer.slack[key][WAYS[0]], UNITS[key])}" for key in keys
        )
        label = f"Bars: how far each setting may go for under a frame in 100. As set: {told}."
        return to_svg(figure, label=html.escape(label), name="slack")


def _bar(axes: Axes, row: float, slack: Slack, *, at: float, colour: str) -> None:
    ends = [1e3 * (end.value - at) for end in (slack.low, slack.high)]
    low, high = max(ends[0], -REACH), min(ends[1], REACH)
    axes.barh(row, high - low, left=low, height=0.32, color=colour)
    for place, end, edge in ((low, ends[0], slack.low), (high, ends[1], slack.high)):
        if edge.open or end != place:
            axes.plot(place, row, "<" if place < 0.0 else ">", ms=8, color=colour)
