"""The figures of `jitter plan`: certainty against frames, and where the time goes."""

from __future__ import annotations

import html

import numpy as np

from jitter.answers.plan.answer import PlanAnswer
from jitter.answers.plan.planning import Strategy
from jitter.answers.plan.prospects import chance_of, shared_out
from jitter.arrays import Array
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg
from jitter.report.plan.words import findings, keepers_words, manner_words, write_certainty

COLOURS = {"as_set": AS_SET, "as_trimmed": TRIMMED}
LINES = {1: "-", 3: "--"}
"""Set-ups drawn, each with its line."""
PLACES = 80
MARGIN = 1.6


def certainty_figure(answer: PlanAnswer) -> str:
    """Draw the certainty of enough keepers against the frames, for one set-up and for three."""
    needed = [one.asked.frames for one in answer.strategies if one.asked is not None]
    last = min(answer.frames, int(MARGIN * max(needed))) if needed else answer.frames
    places = np.unique(np.linspace(1, last, min(PLACES, last)).astype(int))
    with sheet(WIDTH, 4.0) as (figure, axes):
        for strategy in answer.strategies:
            manner = strategy.manner
            if manner.every or manner.setups not in LINES:
                continue
            prospect = answer.foresight[manner.way].prospects[0]
            chances = [
                100.0 * chance_of(prospect, shared_out(int(place), manner.setups), answer.want)
                for place in places
            ]
            axes.plot(
                places,
                chances,
                LINES[manner.setups],
                color=COLOURS[manner.way],
                lw=2,
                label=manner_words(manner),
            )
        axes.axhline(100.0 * answer.sure, color=INK, lw=0.9, ls=":")
        axes.annotate(
            f"wanted: {write_certainty(answer.sure)}",
            (places[0], 100.0 * answer.sure),
            xytext=(0, -12),
            textcoords="offset points",
            fontsize=9,
        )
        axes.set(
            xlabel="frames shot in all, those to trim not counted",
            ylabel=f"certainty of {keepers_words(answer.want)} or more (%)",
            ylim=(0, 101),
        )
        axes.grid(axis="y", color=PALE, lw=0.6)
        axes.legend(loc="lower right", fontsize=9)
        label = (
            f"Curves: certainty of at least {keepers_words(answer.want)} against the frames shot."
            f" {findings(answer)[0]}"
        )
        return to_svg(figure, label=html.escape(label), name="certainty")


def time_figure(answer: PlanAnswer) -> str:
    """Draw where the time goes with each strategy that reaches the certainty asked for."""
    reached = [one for one in answer.strategies if one.asked is not None]
    names = [manner_words(one.manner) for one in reached]
    with sheet(WIDTH, 1.4 + 0.32 * max(len(reached), 1)) as (figure, axes):
        left = np.zeros(len(reached))
        for name, colour, times in _parts(answer, reached):
            axes.barh(range(len(reached)), times, left=left, color=colour, height=0.7, label=name)
            left = left + times
        axes.set_yticks(range(len(names)), names)
        axes.invert_yaxis()
        axes.set_xlabel("minutes")
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_axisbelow(True)
        if reached:
            figure.legend(loc="outside upper center", ncols=3, fontsize=9)
        bare(axes)
        label = (
            "Bars: minutes that each strategy takes, for setting up, trimming and shooting;"
            f" {len(reached)} strategies reach the certainty."
        )
        return to_svg(figure, label=html.escape(label), name="time")


def _parts(answer: PlanAnswer, reached: list[Strategy]) -> list[tuple[str, str, Array]]:
    """Return the parts of the time: name, colour and minutes by strategy."""
    costs = answer.costs
    needs = [(one.manner, one.asked) for one in reached if one.asked is not None]
    return [
        ("setting up", PALE, np.array([m.setups * costs.setup / 60.0 for m, _ in needs])),
        (
            "trimming",
            AS_SET,
            np.array([need.trimming * costs.cadence / 60.0 for _, need in needs]),
        ),
        ("frames", TRIMMED, np.array([need.frames * costs.cadence / 60.0 for _, need in needs])),
    ]
