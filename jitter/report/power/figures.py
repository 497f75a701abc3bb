"""The figures of `jitter power`: blur against power, and keepers and losses against power."""

from __future__ import annotations

import html
import math
from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter, NullFormatter

from jitter.answers.power.answer import PowerAnswer
from jitter.answers.power.rungs import Rung
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, sheet, to_svg
from jitter.report.power.advice import advice, is_paid
from jitter.report.power.rows import share_lost
from jitter.report.power.settings import BY, WHICH, in_short, name_power
from jitter.stages.verdict import REASONS
from jitter.trial import single

SOFT, EXPOSED, DARK = "#dba86e", "#435663", "#22303c"
CAUSES = (
    ("smeared", TRIMMED),
    ("soft", SOFT),
    ("wrong exposure", EXPOSED),
    ("no light", DARK),
)
"""The light's own causes, drawn above all others; told apart by lightness in print."""
LINES = {"aperture": ("-", "o"), "iso": ("--", "s"), "distance": (":", "D")}


def places(answer: PowerAnswer) -> list[float]:
    """Return where each power stands on the axis: stops below full power."""
    return [-math.log2(rung.power) for rung in answer.rungs]


def blur_figure(answer: PowerAnswer) -> str:
    """Draw the blur of rim, drop and jet's tip against power, with what a keeper may have.

    Parameters
    ----------
    answer
        The answer.
    """
    stops = places(answer)
    lines: tuple[tuple[str, str, str, Callable[[Rung], float]], ...] = (
        ("falling drop", INK, "-", lambda rung: rung.drop),
        ("rim, middle frame", TRIMMED, "-", lambda rung: rung.bands.rim.middle),
        ("jet's tip", AS_SET, "--", lambda rung: rung.tip),
    )
    limits = (
        ("largest blur\nof a keeper", answer.study.number("keeper.blur")),
        ("circle of\nconfusion", single(answer.nominal, "circle_of_confusion")),
        ("pixel", answer.study.number("camera.pixel")),
    )
    with sheet(WIDTH, 4.6) as (figure, axes):
        band = [(rung.bands.rim.low, rung.bands.rim.high) for rung in answer.rungs]
        low, high = np.array(band).T * 1e6
        axes.fill_between(
            stops, low, high, color=TRIMMED, alpha=0.22, lw=0, label="rim, 8 frames in 10"
        )
        for name, colour, style, read in lines:
            sizes = 1e6 * np.array([read(rung) for rung in answer.rungs])
            if np.isfinite(sizes).any():
                axes.plot(stops, sizes, style, color=colour, lw=2, label=name)
        for name, size in limits:
            axes.axhline(1e6 * size, color=INK, lw=0.8, ls=(0, (2, 3)))
            axes.annotate(
                name,
                (1.0, 1e6 * size),
                xycoords=("axes fraction", "data"),
                xytext=(5, 0),
                textcoords="offset points",
                va="center",
                fontsize=9,
            )
        axes.set_yscale("log")
        axes.yaxis.set_major_formatter(FuncFormatter(lambda size, _: f"{size:g}"))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.set_ylabel("blur by motion (µm on the camera's sensor)")
        _powers(axes, answer)
        _mark_best(axes, answer)
        figure.legend(*axes.get_legend_handles_labels(), loc="outside lower left", ncols=2)
        label = f"Blur by motion against the flash's power. {advice(answer)[0]}"
        return to_svg(figure, label=html.escape(label), name="blur")


def losses_figure(answer: PowerAnswer, means: str) -> str:
    """Draw keepers by each means, and below it what takes the other frames, against power.

    Parameters
    ----------
    answer
        The answer.
    means
        By which the exposure is kept right in the lower picture.
    """
    stops = places(answer)
    with sheet(WIDTH, 6.4, rows=2, gridspec_kw={"height_ratios": (1, 1.25)}) as (figure, both):
        above, below = both
        for one in answer.means:
            style, marker = LINES[one]
            rates = [rung.tried[one].hits.rates[answer.way] for rung in answer.rungs]
            shares = [100.0 * rate.value for rate in rates]
            above.plot(
                stops, shares, style, marker=marker, ms=5, color=INK, lw=1.6, label=f"by {BY[one]}"
            )
        above.set(ylabel=f"keepers {WHICH[answer.way]} (%)", ylim=(0, 100))
        above.grid(axis="y", color=PALE, lw=0.6)
        _mark_best(above, answer)
        _stack(below, answer, means, stops)
        below.set(ylabel=f"frames lost (%), by {BY[means]}", ylim=(0, 100))
        _powers(below, answer)
        _mark_best(below, answer, name=False)
        handles, labels = above.get_legend_handles_labels()
        handles += [Patch(color=colour) for _, colour in CAUSES] + [Patch(color=PALE)]
        labels += [*(reason for reason, _ in CAUSES), "start, timing and aim"]
        figure.legend(handles, labels, loc="outside lower left", ncols=3, columnspacing=1.0)
        label = (
            f"Above: keepers {WHICH[answer.way]} against the flash's power. Below: frames lost by"
            f" cause, the exposure kept right by {BY[means]}. {advice(answer)[0]}"
        )
        return to_svg(figure, label=html.escape(label), name="losses")


def _stack(axes: Axes, answer: PowerAnswer, means: str, stops: Sequence[float]) -> None:
    hits = [rung.tried[means].hits for rung in answer.rungs]
    own = {reason for reason, _ in CAUSES}
    rest = [reason for reason in REASONS if reason not in own]
    base = np.array(
        [100.0 * sum(share_lost(one, answer.way, reason) for reason in rest) for one in hits]
    )
    gaps = np.diff(stops)
    width = 0.8 * float(gaps.min()) if len(stops) > 1 else 0.5
    axes.bar(stops, base, width=width, color=PALE)
    for reason, colour in CAUSES:
        shares = np.array([100.0 * share_lost(one, answer.way, reason) for one in hits])
        axes.bar(stops, shares, bottom=base, width=width, color=colour)
        base = base + shares


def _powers(axes: Axes, answer: PowerAnswer) -> None:
    """Name the powers at whole stops, full at the left."""
    stops = places(answer)
    last = max(stops)
    named = [stop for stop in stops if abs(stop - round(stop)) < 1e-6]
    marked = named if len(named) > 1 or len(stops) == 1 else stops
    axes.set_xticks(marked, [name_power(2.0**-stop) for stop in marked])
    axes.set_xlim(-0.6, last + 0.6)
    axes.set_xlabel("power of the flash (share of full)")


def _mark_best(axes: Axes, answer: PowerAnswer, *, name: bool = True) -> None:
    own = -math.log2(answer.study.number("flash.power"))
    top = ("data", "axes fraction")
    if answer.best is None or own != -math.log2(answer.best.pick.rung.power):
        axes.axvline(own, color=INK, lw=0.9, ls=":")
        if name:
            axes.annotate("yours", (own, 1.0), xycoords=top, ha="center", va="bottom", fontsize=9)
    if answer.best is None:
        return
    best = -math.log2(answer.best.pick.rung.power)
    axes.axvline(best, color=TRIMMED, lw=1.2)
    if name:
        said = f"{'put first' if is_paid(answer) else 'best'}: {in_short(answer, answer.best.pick)}"
        near = abs(best - own) < 1.5 and best != own
        axes.annotate(
            said,
            (best, 1.07 if near else 1.0),
            xycoords=top,
            ha="center",
            va="bottom",
            fontsize=9,
            color=TRIMMED,
            weight="bold",
        )
