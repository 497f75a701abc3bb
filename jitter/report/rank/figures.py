"""The figures of the full ranking: what scaling a spread does, and age against hit."""

from __future__ import annotations

import html

from matplotlib.patches import Patch

from jitter.answers.rank.answer import InputRow, RankAnswer
from jitter.answers.rank.effects import Effect
from jitter.answers.rank.frames import AGE, HIT
from jitter.report.drawing import AS_SET, BAR, BARS, INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg
from jitter.report.rank.words import level, name, shapley, starred

SHOWN = 12
SCALINGS = (
    ("removed", "removed", "o", TRIMMED),
    ("halved", "halved", "D", AS_SET),
    ("doubled", "doubled", "X", INK),
)
OUTPUTS = {AGE: "share of the age's variance", HIT: "share of the hit's variance"}
COLOURS = dict(zip(OUTPUTS.values(), (AS_SET, TRIMMED), strict=True))


def label(row: InputRow) -> str:
    """Return a row's name and level."""
    return f"{name(row)}, {level(row)}"


def scaling_figure(answer: RankAnswer) -> str:
    """Draw what removing, halving and doubling each spread does to the trimmed hit rate."""
    rows = [(row, row.effects["as_trimmed"]) for row in answer.rows if row.effects is not None]
    largest = sorted(rows, key=lambda row: -_largest(row[1]))[:SHOWN]
    # In the table's order, whose headline is removing; doubling alone may order them otherwise.
    shown = [row for row in rows if any(row is one for one in largest)]
    with sheet(WIDTH, 1.2 + 0.34 * max(len(shown), 1)) as (figure, axes):
        axes.axvline(0.0, color=INK, lw=0.8)
        for place, (_, effect) in enumerate(shown):
            for field, words, marker, colour in SCALINGS:
                found = getattr(effect, field)
                if found is None:
                    continue
                axes.hlines(place, 100 * found.low, 100 * found.high, color=colour, lw=2)
                axes.plot(
                    100 * found.value,
                    place,
                    marker,
                    ms=6.5,
                    mfc=colour if found.clear else "white",
                    mec=colour,
                    label=words if place == 0 else None,
                    ls="",
                )
        names = [f"{starred(answer, row)}, {level(row)}" for row, _ in shown]
        axes.set_yticks(range(len(shown)), names)
        axes.invert_yaxis()
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel(
            "trimmed keepers gained in 100 frames\n(hollow: perhaps none; *: our assumption)"
        )
        if shown:
            axes.legend(loc="lower left")
        bare(axes)
        first = label(shown[0][0]) if shown else "none"
        told = (
            "Dots: trimmed keepers gained or lost in 100 frames if a spread is removed, halved or"
            f" doubled; the costliest: {first}."
        )
        return to_svg(figure, label=html.escape(told), name="scaling")


def _largest(effect: Effect) -> float:
    found = (effect.removed, effect.halved, effect.doubled)
    return max((abs(each.value) for each in found if each is not None and each.clear), default=0.0)


def shares_figure(answer: RankAnswer) -> str:
    """Draw the Shapley shares of age and hit side by side, the delay trimmed."""

    def weight(row: InputRow) -> float:
        shares = [shapley(row, "as_trimmed", what).estimate for what in OUTPUTS]
        return max([share.value for share in shares if share.low > 0.0], default=0.0)

    shown = [row for row in sorted(answer.rows, key=weight, reverse=True) if weight(row) > 0.0]
    shown = shown[:SHOWN]
    with sheet(WIDTH, 1.2 + 0.42 * max(len(shown), 1)) as (figure, axes):
        for shift, (what, words) in zip(BARS, OUTPUTS.items(), strict=True):
            for place, row in enumerate(shown):
                found, middle = shapley(row, "as_trimmed", what).estimate, place + shift
                low, high = (100.0 * max(end, 0.0) for end in (found.low, found.high))
                axes.barh(middle, 100.0 * max(found.value, 0.0), BAR, color=COLOURS[words])
                axes.hlines(middle, low, high, color=INK, lw=1.2)
        if shown:
            axes.set_yticks(range(len(shown)), [label(row) for row in shown])
            axes.set_ylim(len(shown) - 0.5, -0.5)
        handles = [Patch(color=colour, label=words) for words, colour in COLOURS.items()]
        axes.legend(handles=handles, loc="lower right")
        axes.set_xlabel("Shapley share after trimming (%)\nlines: 95 % intervals")
        bare(axes)
        told = ", ".join(
            f"{label(row)} {100 * shapley(row, 'as_trimmed', AGE).estimate.value:.0f} % and"
            f" {100 * shapley(row, 'as_trimmed', HIT).estimate.value:.0f} %"
            for row in shown[:3]
        )
        words = f"Bars: shares of the variance of the age and of the hit. {told or 'None'}."
        return to_svg(figure, label=html.escape(words), name="shares")
