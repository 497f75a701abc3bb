"""The time line of one shot, drawn: heights of drops and jet, and what the machine does."""

from __future__ import annotations

import html

import numpy as np
from matplotlib.axes import Axes

from jitter.answers.show.answer import Moment, Paths, ShowAnswer, nominal_paths, shot_paths
from jitter.answers.show.moments import happenings
from jitter.arrays import Array
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, sheet, to_svg
from jitter.stage import Events
from jitter.study.study import Study
from jitter.trial import single
from jitter.units.writing import write_difference, write_value


def timeline_figure(study: Study, nominal: Events) -> str:
    """Draw the shot in which nothing strays: height against time, and the machine's own lanes.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of that shot.
    """
    return _draw(study, nominal, nominal_paths(nominal), ())


def bands_figure(answer: ShowAnswer) -> str:
    """Draw the nominal shot with the bands that hold nine in ten shots.

    Parameters
    ----------
    answer
        The answer to `jitter show`.
    """
    return _draw(answer.study, answer.nominal, shot_paths(answer), answer.moments)


def _draw(study: Study, nominal: Events, paths: Paths, moments: tuple[Moment, ...]) -> str:
    banded = bool(moments)
    tall, ratios = (6.8, (3.0, 2.1)) if banded else (5.2, (3.4, 1.0))
    with sheet(WIDTH, tall, rows=2, height_ratios=ratios) as (figure, axes):
        space, lanes = axes
        _draw_paths(space, nominal, paths, banded=banded)
        start = single(nominal, "start_time")
        if study.entries["timer.start"].nominal != "valve":
            beam = 1e3 * single(nominal, "sensor_height")
            space.axhline(beam, color=INK, lw=0.9, ls=":")
            space.annotate("sensor's beam", (6.0, beam - 8), ha="left", va="top", fontsize=9)
        space.axhline(1e3 * single(nominal, "surface"), color=PALE, lw=2)
        _mark_meeting(space, nominal, paths)
        light = single(nominal, "light_time")
        for moment in moments:
            if moment.what == "light" and not np.isnan(moment.low):
                space.axvspan(1e3 * moment.low, 1e3 * moment.high, color=INK, alpha=0.13, lw=0)
        if not np.isnan(light):
            for panel in (space,) if banded else (space, lanes):
                panel.axvline(1e3 * light, color=INK, lw=1.2)
            space.annotate("light", (1e3 * light, space.get_ylim()[1]), ha="center", fontsize=9)
        last = np.nanmax([paths.times[-1], *(moment.high for moment in moments)])
        space.set(ylabel="height above the surface (mm)", xlim=(0.0, 1e3 * float(last)))
        space.legend(loc="center left")
        if banded:
            _draw_moments(lanes, moments)
        else:
            _draw_lanes(lanes, nominal, start, light)
        lanes.set_xlabel("time after the first valve command (ms)")
        said = ", ".join(
            f"{what} at {write_value(when, 's')}" for what, _, when in happenings(study, nominal)
        )
        label = f"Height against time of both drops and of the jet in one shot: {said}."
        return to_svg(figure, label=html.escape(label), name="timeline")


def _draw_paths(axes: Axes, nominal: Events, paths: Paths, *, banded: bool) -> None:
    times = 1e3 * paths.times
    surface = 1e3 * single(nominal, "surface")
    low, tip, high = 1e3 * paths.jet
    there = ~np.isnan(tip)
    axes.fill_between(
        times[there], surface, tip[there], color=PALE, ec=INK, lw=0.8, label="jet", zorder=1
    )
    if banded:
        _shade(axes, times, low, high, INK)
    for name, path, colour, style in (
        ("first drop", paths.first, AS_SET, "-"),
        ("second drop", paths.second, TRIMMED, "--"),
    ):
        if banded:
            _shade(axes, times, 1e3 * path[0], 1e3 * path[2], colour)
        axes.plot(times, 1e3 * path[1], style, color=colour, lw=2.0, label=name)


def _shade(axes: Axes, times: Array, low: Array, high: Array, colour: str) -> None:
    there = ~np.isnan(low) & ~np.isnan(high)
    axes.fill_between(times, low, high, where=there.tolist(), color=colour, alpha=0.3, lw=0)


def _mark_meeting(axes: Axes, nominal: Events, paths: Paths) -> None:
    meeting = single(nominal, "meeting_time")
    if np.isnan(meeting):
        return
    share = single(nominal, "peak_share")
    height = single(nominal, "jet_top") * (1.0 - share**2) + single(nominal, "surface")
    height = 1e3 * (height + 0.5 * single(nominal, "second_diameter"))
    axes.plot(1e3 * meeting, height, "o", ms=9, mfc="none", mec=INK)
    axes.annotate(
        "meeting",
        (1e3 * meeting, height),
        xytext=(-10, 16),
        ha="right",
        textcoords="offset points",
        fontsize=9,
    )


def _draw_moments(axes: Axes, moments: tuple[Moment, ...]) -> None:
    """Draw a row for each moment: a bar from the low to the high end, a tick at the nominal."""
    shown = [moment for moment in moments if moment.sd > 0.0]
    for place, moment in enumerate(shown):
        low, high = 1e3 * moment.low, 1e3 * moment.high
        axes.barh(place, high - low, left=low, height=0.7, color=AS_SET, ec=INK, lw=0.5)
        axes.plot([1e3 * moment.nominal] * 2, [place - 0.42, place + 0.42], color=INK, lw=1.2)
        axes.annotate(
            f"{moment.what}, sd {write_difference(moment.sd, 's', digits=2)}",
            (low if place > 3 else high, place),
            xytext=(-5 if place > 3 else 5, 0),
            textcoords="offset points",
            ha="right" if place > 3 else "left",
            va="center",
            fontsize=8.5,
        )
    axes.set_yticks([])
    axes.set_ylim(len(shown) - 0.4, -0.6)
    axes.spines["left"].set_visible(False)


def _draw_lanes(axes: Axes, nominal: Events, start: float, light: float) -> None:
    valve = [
        (0.0, single(nominal, "first_release")),
        (single(nominal, "valve_interval"), single(nominal, "second_release")),
    ]
    wait = [] if np.isnan(start) or np.isnan(light) else [(start, light)]
    jet = [(single(nominal, "jet_emerges"), single(nominal, "jet_gone"))]
    rows = (
        ("valve works", valve, AS_SET),
        ("timer waits", wait, TRIMMED),
        ("jet stands", jet, PALE),
    )
    for place, (_, spans, colour) in enumerate(rows):
        bars = [(1e3 * begin, 1e3 * (end - begin)) for begin, end in spans]
        axes.broken_barh(bars, (place - 0.32, 0.64), facecolor=colour, edgecolor=INK, lw=0.6)
    axes.set_yticks(range(len(rows)), [name for name, *_ in rows])
    axes.invert_yaxis()
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)
