"""The figures of `jitter compare`: paired differences, and reasons stacked for each study."""

from __future__ import annotations

import html

import matplotlib as mpl
import numpy as np

from jitter.answers.compare.answer import CompareAnswer
from jitter.answers.compare.drivers import Drive
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.arrays import Array
from jitter.report.compare.words import LETTERS, WAY_WORDS, findings, name_of
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WANTED, WIDTH, bare, sheet, to_svg
from jitter.stages.verdict import REASONS
from jitter.units.writing import write_percent

COLOURS = {"as_set": AS_SET, "as_trimmed": TRIMMED}
MARKERS = {"as_set": "s", "as_trimmed": "o"}
SHIFTS = {"as_set": -0.14, "as_trimmed": 0.14}
SHOWN = 12
LONGEST = 34


def _short(name: str) -> str:
    return name if len(name) <= LONGEST else name[: LONGEST - 1] + "…"


def differences_figure(answer: CompareAnswer) -> str:
    """Draw by how much each study is above the first, both ways, with intervals."""
    rows = [
        (f"{LETTERS[pair.other]} {_short(answer.contenders[pair.other].name)}", pair.change)
        for pair in answer.against_first
    ]
    label = f"Dots: keepers in 100 frames more than A, with intervals. {findings(answer)[0]}"
    axis = "keepers in 100 frames more than A\n(hollow: perhaps none)"
    return _dots(rows, axis=axis, label=label, name="differences")


def drivers_figure(drive: Drive) -> str:
    """Draw what each difference does after trimming: alone, and with all others changed."""
    shown = [driver for driver in drive.ranked("as_trimmed") if driver.fits["as_trimmed"]][:SHOWN]
    rows = [(_short(name_of(one.difference)), (one.alone, one.last)) for one in shown]
    told = [
        (name, {"as_set": alone["as_trimmed"], "as_trimmed": last["as_trimmed"]})
        for name, (alone, last) in rows
    ]
    words = {"as_set": "alone", "as_trimmed": "all others changed already"}
    first = rows[0][0] if rows else "none"
    return _dots(
        told,
        axis="keepers gained in 100 frames\nafter trimming (hollow: perhaps none)",
        label=f"Dots: what each difference does after trimming; the one that does most: {first}.",
        name="drivers",
        words=words,
    )


def _dots(
    rows: list[tuple[str, dict[str, Estimate]]],
    *,
    axis: str,
    label: str,
    name: str,
    words: dict[str, str] = WAY_WORDS,
) -> str:
    with sheet(WIDTH, 1.3 + 0.42 * max(len(rows), 1)) as (figure, axes):
        axes.axvline(0.0, color=INK, lw=0.8)
        for place, (_, change) in enumerate(rows):
            for way in WAYS:
                estimate, row, colour = change[way], place + SHIFTS[way], COLOURS[way]
                axes.hlines(row, 100 * estimate.low, 100 * estimate.high, color=colour, lw=2)
                axes.plot(
                    100 * estimate.value,
                    row,
                    MARKERS[way],
                    ms=6,
                    mfc=colour if estimate.clear else "white",
                    mec=colour,
                    label=words[way] if place == 0 else None,
                )
        axes.set_yticks(range(len(rows)), [title for title, _ in rows])
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel(axis)
        if rows:
            figure.legend(loc="outside upper center", ncols=2)
        bare(axes)
        return to_svg(figure, label=html.escape(label), name=name)


def apart(count: int) -> Array:
    """Return so many places on a scale of shades, neighbours far from each other."""
    even = np.linspace(0.05, 0.95, max(count, 2))
    half = (len(even) + 1) // 2
    return np.array([even[(place // 2) + (place % 2) * half] for place in range(count)])


def reasons_figure(answer: CompareAnswer) -> str:
    """Draw the frames of each study, stacked by reason, both ways."""
    seen = [
        reason
        for reason in REASONS
        if any(one.reasons[way][reason].value > 0.0 for one in answer.contenders for way in WAYS)
    ]
    bars = [
        (f"{LETTERS[place]}, {words}", contender, way)
        for place, contender in enumerate(answer.contenders)
        for way, words in (("as_set", "as set"), ("as_trimmed", "trimmed"))
    ]
    shades = mpl.colormaps["cividis"](apart(len(seen)))
    with sheet(WIDTH, 1.6 + 0.4 * len(bars)) as (figure, axes):
        left = np.array([100.0 * one.hits.rates[way].value for _, one, way in bars])
        places = range(len(bars))
        axes.barh(places, left, color=WANTED, edgecolor=INK, lw=0.6, label="keepers")
        for place, share in enumerate(left):
            axes.annotate(write_percent(share / 100.0), (1.0, place), va="center", fontsize=9)
        for reason, shade in zip(seen, shades, strict=False):
            shares = np.array([100.0 * one.reasons[way][reason].value for _, one, way in bars])
            axes.barh(places, shares, left=left, color=shade, edgecolor=INK, lw=0.4, label=reason)
            left = left + shares
        axes.set_yticks(places, [name for name, _, _ in bars])
        axes.invert_yaxis()
        axes.set(xlabel="share of all frames (%)", xlim=(0, 100))
        figure.legend(loc="outside lower center", ncols=4, fontsize=9)
        bare(axes)
        label = (
            "Stacked bars: keepers and reasons of each study, as set by ruler and after trimming."
            f" {findings(answer)[0]}"
        )
        return to_svg(figure, label=html.escape(label), name="reasons")
