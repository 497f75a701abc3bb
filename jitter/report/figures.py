"""The figures of the main answer: reasons, ages, ranking."""

from __future__ import annotations

import html

from matplotlib.patches import Patch

from jitter.answers.run import RunAnswer
from jitter.answers.tally import age_edges
from jitter.quantities import Level
from jitter.report.drawing import (
    AS_SET,
    BAR,
    BARS,
    INK,
    PALE,
    TRIMMED,
    WANTED,
    WIDTH,
    bare,
    sheet,
    to_svg,
)
from jitter.report.words import leading_reasons
from jitter.units.writing import write_percent

WAYS = ("as set by ruler", "after trimming")
COLOURS = dict(zip(WAYS, (AS_SET, TRIMMED), strict=True))
SHOWN = 12


def reasons_figure(answer: RunAnswer) -> str:
    """Draw the share of frames lost to each reason, both ways."""
    ways = dict(zip(WAYS, (answer.as_set, answer.as_trimmed), strict=True))
    reasons = list(answer.as_set.reasons)
    seen = [each for each in reasons if any(way.reasons[each].value > 0.0 for way in ways.values())]
    shown = seen or reasons
    with sheet(WIDTH, 1.2 + 0.42 * len(shown)) as (figure, axes):
        for shift, (name, way) in zip(BARS, ways.items(), strict=True):
            for place, reason in enumerate(shown):
                share, middle = way.reasons[reason], place + shift
                axes.barh(middle, 100 * share.value, BAR, color=COLOURS[name])
                axes.hlines(middle, 100 * share.low, 100 * share.high, color=INK, lw=1.2)
                axes.annotate(
                    write_percent(share.value),
                    (100 * share.high, middle),
                    xytext=(5, 0),
                    textcoords="offset points",
                    va="center",
                    fontsize=9,
                )
        axes.set_yticks(range(len(shown)), shown)
        axes.set_ylim(len(shown) - 0.5, -0.5)
        axes.set_xlabel("share of all frames (%)")
        axes.margins(x=0.12)
        figure.legend(
            handles=[Patch(color=colour, label=name) for name, colour in COLOURS.items()],
            loc="outside lower left",
            ncols=2,
        )
        bare(axes)
        told = ", ".join(
            f"{reason} {share}" for reason, share in leading_reasons(answer.as_trimmed, 3)
        )
        label = f"Bars: share of frames lost to each reason. After trimming: {told or 'none'}."
        return to_svg(figure, label=html.escape(label), name="reasons")


def ages_figure(answer: RunAnswer) -> str:
    """Draw the ages of all frames against the window wanted, both ways."""
    window = answer.study.window("keeper.age")
    edges = 1e3 * age_edges(window)
    with sheet(WIDTH, 4.2, rows=2, sharey=True) as (figure, both):
        ways = zip(WAYS, (answer.as_set, answer.as_trimmed), both, strict=True)
        for name, way, axes in ways:
            frames = 100.0 / (answer.layout.setups * answer.layout.shots)
            others, keepers = way.histogram * frames
            axes.axvspan(1e3 * window[0], 1e3 * window[1], color=WANTED, lw=0)
            axes.stairs(others + keepers, edges, fill=True, color=PALE, label="other frames")
            axes.stairs(keepers, edges, fill=True, color=COLOURS[name], label="keepers")
            axes.stairs(others + keepers, edges, color=INK, lw=0.7)
            axes.set_title(name, loc="left", fontsize=10.5, pad=3)
            axes.set_yticks([])
            axes.spines["left"].set_visible(False)
            axes.legend(loc="upper right", fontsize=9)
            axes.set_xlim(edges[0], edges[-1])
        both[1].set_xlabel("age of the sheet at the light (ms after the meeting); shaded: wanted")
        label = (
            "Two histograms of the sheet's age against the window wanted, as set by ruler and after"
            f" trimming; {write_percent(answer.as_trimmed.hit_rate.value)} are keepers after it."
        )
        return to_svg(figure, label=html.escape(label), name="ages")


def ranking_figure(answer: RunAnswer) -> str:
    """Draw what each spread costs: the gain if it were removed, both ways, with intervals."""
    shown = answer.ranking[:SHOWN]
    level = {Level.SETUP: "set-up", Level.SHOT: "shot"}
    names = [f"{rank.source.keys[0]}, {level[rank.source.level]}" for rank in shown]
    with sheet(WIDTH, 1.2 + 0.34 * max(len(shown), 1)) as (figure, axes):
        axes.axvline(0.0, color=INK, lw=0.8)
        for place, rank in enumerate(shown):
            for shift, name, gain, marker in (
                (-0.14, WAYS[0], rank.as_set.removed, "s"),
                (0.14, WAYS[1], rank.as_trimmed.removed, "o"),
            ):
                row = place + shift
                axes.hlines(row, 100 * gain.low, 100 * gain.high, color=COLOURS[name], lw=2)
                filled = COLOURS[name] if gain.clear else "white"
                axes.plot(
                    100 * gain.value,
                    row,
                    marker,
                    ms=6,
                    mfc=filled,
                    mec=COLOURS[name],
                    label=name if place == 0 else None,
                )
        axes.set_yticks(range(len(names)), names)
        axes.invert_yaxis()
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel("keepers gained in 100 frames\n(hollow: perhaps none)")
        if shown:
            axes.legend(loc="lower right")
        bare(axes)
        first = names[0] if names else "none"
        label = (
            f"Dots: keepers gained in 100 frames if a spread were removed; the largest: {first}."
        )
        return to_svg(figure, label=html.escape(label), name="ranking")
