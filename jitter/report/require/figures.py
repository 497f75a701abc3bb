"""The figures of `jitter require`: hit rate against spread and offset, and what is required."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter, NullLocator

from jitter.answers.hits import WAYS
from jitter.answers.ranking import Source
from jitter.answers.require.answer import Asked, RequireAnswer
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.every import RequireAllAnswer
from jitter.answers.require.prices import LEAST
from jitter.arrays import Array
from jitter.quantities import Shape
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, bare, sheet, to_svg
from jitter.report.require.all_words import tightest
from jitter.report.require.sizes import (
    offset_written,
    spread_written,
    write_bare,
    write_offset,
)
from jitter.report.require.words import BOTH, offset_findings, spread_findings
from jitter.report.words import share_words

COLOURS = dict(zip(WAYS, (AS_SET, TRIMMED), strict=True))
Legend = Literal["lower left", "lower center"]
SHOWN = 14
ABOVE = 26
"""Per cent of the height at which a word stands clear of the legend."""
DECADES = range(-12, 8)
"""Powers of ten at which marks are looked for: from nanolitres to pressures of the air, in SI."""
DENSE = 12
"""Points that a curve is drawn through, from each size that was worked out to the next."""
SMALLEST = 0.01
"""No ratio is drawn below this."""
WIDE = 50.0
"""A scale of ratios wider than this has marks at powers of ten alone."""
MARKS = dict(zip(WAYS, ("s", "o"), strict=True))


def spread_figure(answer: RequireAnswer) -> str:
    """Draw the hit rate against the spread, with the target and the limits.

    Each way that is answered; empty where none is.
    """
    subject = answer.subject
    if not answer.ways:
        return ""
    with sheet(WIDTH, 3.8) as (figure, axes):
        sizes = answer.spread.curve.sizes
        for way in answer.ways:
            _band(axes, 1.0, answer.spread, way, name=BOTH[way])
        _limits(axes, [(1.0, answer.spread)], answer.ways)
        if subject.present > 0.0:
            axes.axvline(subject.present, color=INK, lw=0.9, ls=":")
            axes.annotate(" as it is", (subject.present, ABOVE), fontsize=9)
        _dress(
            axes,
            sizes,
            answer.target,
            lambda size: write_bare(subject, size),
            lambda told: spread_written(subject, told),
            legend="lower left",
        )
        shape = subject.source.spread.shape
        what = "chance" if shape is Shape.CHANCE else "spread"
        axes.set_xlabel(f"{what} of {subject.name} (logarithmic)")
        label = f"Hit rate against the spread. {' '.join(spread_findings(answer))}"
        return to_svg(figure, label=html.escape(label), name="spread")


def offset_figure(answer: RequireAnswer) -> str:
    """Draw the hit rate against a steady offset; empty where nothing can be off, or be told."""
    sides = [(sign, side) for sign, side in ((-1.0, answer.down), (1.0, answer.up)) if side]
    if not sides or not answer.ways:
        return ""
    with sheet(WIDTH, 3.8) as (figure, axes):
        for place, (sign, side) in enumerate(sides):
            for way in answer.ways:
                _band(axes, sign, side, way, name=BOTH[way] if place == 0 else None)
        _limits(axes, sides, answer.ways)
        sizes = np.concatenate([sign * side.curve.sizes for sign, side in sides])
        _dress(
            axes,
            sizes,
            answer.target,
            lambda size: write_offset(answer.subject, size),
            lambda told: offset_written(answer.subject, told),
            legend="lower center",
        )
        axes.set_xlabel(
            f"steady error of {answer.subject.name}\n(logarithmic either way; 0: as reckoned)"
        )
        label = f"Hit rate against a steady error. {' '.join(offset_findings(answer))}"
        return to_svg(figure, label=html.escape(label), name="offset")


def _band(axes: Axes, sign: float, asked: Asked, way: str, *, name: str | None) -> None:
    known = asked.curve.sizes
    between = np.linspace(0.0, 1.0, DENSE, endpoint=False)
    parts = [low + between * (high - low) for low, high in pairwise(known)]
    sizes = np.concatenate([*parts, known[-1:]])
    low, middle, high = (100.0 * one for one in asked.curve.between(way, sizes))
    axes.fill_between(sign * sizes, low, high, color=COLOURS[way], alpha=0.25, lw=0)
    axes.plot(sign * sizes, middle, color=COLOURS[way], lw=2, label=name)


def _limits(axes: Axes, sides: list[tuple[float, Asked]], ways: Sequence[str]) -> None:
    for sign, side in sides:
        for way in ways:
            limit = side.needs[way].limit
            if limit is not None and not limit.whole:
                rate = 100.0 * side.curve.at(way, limit.most)
                axes.hlines(rate, sign * limit.low, sign * limit.high, color=INK, lw=1.2)
                axes.plot(
                    sign * limit.most, rate, MARKS[way], ms=7, mfc=COLOURS[way], mec=INK, zorder=3
                )


def _dress(
    axes: Axes,
    sizes: Array,
    target: float,
    write: Callable[[float], str],
    written: Callable[[float], float],
    *,
    legend: Legend,
) -> None:
    """Give axes a scale that is logarithmic either way from none, and the target.

    Its marks stand at what is written as a power of ten.
    """
    smallest, largest = float(np.abs(sizes[sizes != 0.0]).min()), float(np.abs(sizes).max())
    axes.axhline(100.0 * target, color=INK, lw=0.9, ls="--", label=f"wanted: {share_words(target)}")
    axes.set_xscale("symlog", linthresh=smallest, linscale=0.5)
    ends = (float(sizes.min()), float(sizes.max()))
    powers = [sign * 10.0**decade for decade in DECADES for sign in (-1.0, 1.0)]
    ticks = [tick for tick in map(written, powers) if smallest * (1.0 - 1e-9) <= abs(tick)]
    inside = [tick for tick in ticks if ends[0] <= tick <= ends[1]]
    axes.set_xticks([0.0, *(inside or [tick for tick in (-largest, largest) if tick in ends])])
    axes.xaxis.set_major_formatter(FuncFormatter(lambda size, _: write(size)))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.tick_params(axis="x", labelsize=8.5)
    axes.set(xlim=ends, ylim=(0, 100), ylabel="keepers (% of frames)")
    axes.grid(axis="y", color=PALE, lw=0.6)
    # On a ground of its own: a line that marks a size may run behind it.
    axes.legend(loc=legend, fontsize=9, frameon=True, facecolor="white", edgecolor="none")


Row = tuple[str, dict[str, tuple[float, float, float, bool]]]
"""A name, and by way the least, the likely and the most of a ratio; whether it goes on beyond."""


def room_figure(answer: RequireAllAnswer) -> str:
    """Draw how many times its present size the tightest spreads may have; empty where none may."""
    rows: list[Row] = []
    for need in tightest(answer)[:SHOWN]:
        ratios = {}
        for way in answer.ways:
            limit, now = need.needs[way].limit, need.subject.present
            if limit is not None:
                ratios[way] = (limit.low / now, limit.most / now, limit.high / now, limit.whole)
        rows.append((_row_name(need.subject.source), ratios))
    if not rows:
        return ""
    wanted = share_words(answer.target)
    label = f"Dots: how many times its present size each spread may have for {wanted}."
    what = "largest spread over the present one\n(hollow: looked at no further)"
    return _ratios(rows, what=what, label=label, name="room")


def factors_figure(answer: CheapestAnswer) -> str:
    """Draw how many times its present size each priced spread has; empty where none is told."""
    rows: list[Row] = []
    for place, price in enumerate(answer.prices):
        ratios = {}
        for way in answer.ways:
            plan = answer.plans[way]
            if plan is not None:
                factor = float(plan.factors[place])
                ends = (factor < LEAST * 1.001, factor > 0.999 * float(plan.most[place]))
                ratios[way] = (factor, factor, factor, any(ends))
        rows.append((_row_name(price.source), ratios))
    if not any(ratios for _, ratios in rows):
        return ""
    label = f"Dots: the cheapest spreads for {share_words(answer.target)} over the present ones."
    what = "spread over the present one\n(hollow: looked at no further)"
    return _ratios(rows, what=what, label=label, name="factors")


def _row_name(source: Source) -> str:
    return f"{source.keys[0]}, {source.level.value.replace('setup', 'set-up')}"


def _ratios(rows: list[Row], *, what: str, label: str, name: str) -> str:
    with sheet(WIDTH, 1.4 + 0.34 * len(rows)) as (figure, axes):
        axes.set_xscale("log")
        for place, (_, ratios) in enumerate(rows):
            for shift, way in zip((-0.14, 0.14), WAYS, strict=True):
                if way not in ratios:
                    continue
                *ends, whole = ratios[way]
                low, likely, high = (max(end, SMALLEST) for end in ends)
                colour = COLOURS[way]
                axes.hlines(place + shift, low, high, color=colour, lw=2)
                face = "white" if whole else colour
                axes.plot(likely, place + shift, MARKS[way], ms=6, mfc=face, mec=colour)
        for way in [way for way in WAYS if any(way in ratios for _, ratios in rows)]:
            axes.plot([], [], MARKS[way], color=COLOURS[way], label=BOTH[way])
        axes.axvline(1.0, color=INK, lw=0.8)
        drawn = [
            max(end, SMALLEST) for _, ratios in rows for part in ratios.values() for end in part[:3]
        ]
        wide = not drawn or max(*drawn, 1.0) > WIDE * min(*drawn, 1.0)
        axes.xaxis.set_major_locator(LogLocator(subs=(1.0,) if wide else (1.0, 2.0, 5.0)))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda ratio, _: f"{ratio:g}"))
        axes.xaxis.set_minor_formatter(NullFormatter())
        axes.set_yticks(range(len(rows)), [row[0] for row in rows])
        axes.invert_yaxis()
        axes.grid(axis="x", color=PALE, lw=0.6)
        axes.set_xlabel(what)
        figure.legend(loc="outside upper right", ncols=2, fontsize=9)
        bare(axes)
        return to_svg(figure, label=html.escape(label), name=name)
