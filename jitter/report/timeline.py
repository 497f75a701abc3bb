"""The time line of one shot, drawn: heights of drops and jet, and what the machine does."""

from __future__ import annotations

import html

import numpy as np
from matplotlib.axes import Axes

from jitter.answers.run import RunAnswer
from jitter.arrays import Array
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, sheet, to_svg
from jitter.stages.fall import fall_distance
from jitter.trial import Events, single
from jitter.units.writing import write_value

POINTS = 960


def moments(nominal: Events) -> list[tuple[str, float]]:
    """Return the events of the nominal shot in the order of time, from the first valve command.

    Parameters
    ----------
    nominal
        Events of the shot in which nothing strays.

    Returns
    -------
    list of (what happens, seconds)
        Without what does not happen.
    """
    rows = [
        ("first valve command", 0.0),
        ("first drop leaves the nozzle", single(nominal, "first_release")),
        ("second valve command", single(nominal, "valve_interval")),
        ("second drop leaves the nozzle", single(nominal, "second_release")),
        ("timer starts", single(nominal, "start_time")),
        ("first drop lands", single(nominal, "first_landing")),
        ("jet emerges", single(nominal, "jet_emerges")),
        ("drop and jet meet", single(nominal, "meeting_time")),
        ("light", single(nominal, "light_time")),
        ("jet would stand highest", single(nominal, "jet_peaks")),
        ("jet would be gone", single(nominal, "jet_gone")),
    ]
    told = [(what, when) for what, when in rows if not np.isnan(when)]
    return sorted(told, key=lambda row: row[1])


def _drop_heights(nominal: Events, which: str, times: Array) -> Array:
    """Return the height of a drop's centre until it lands or meets the jet [m]."""
    elapsed = times - single(nominal, f"{which}_release")
    fallen = fall_distance(nominal[f"{which}_fall"], elapsed[None, :])[0]
    height = single(nominal, "valve_nozzle_height") - fallen
    end = single(nominal, f"{which}_landing")
    if which == "second" and not np.isnan(single(nominal, "meeting_time")):
        end = single(nominal, "meeting_time")
    return np.where((elapsed >= 0.0) & (times <= end), height, np.nan)


def timeline_figure(answer: RunAnswer) -> str:
    """Draw the shot in which nothing strays: height against time, and the machine's own lanes."""
    nominal = answer.nominal
    last = max(single(nominal, "jet_gone"), np.nan_to_num(single(nominal, "light_time")))
    times = np.linspace(0.0, 1.04 * last, POINTS)
    with sheet(7.2, 5.2, rows=2, height_ratios=(3.4, 1.0)) as (figure, (space, lanes)):
        for which, colour, style in (("first", AS_SET, "-"), ("second", TRIMMED, "--")):
            heights = 1e3 * _drop_heights(nominal, which, times)
            space.plot(1e3 * times, heights, style, color=colour, lw=2.4, label=f"{which} drop")
        _draw_jet(space, nominal, times)
        beam = 1e3 * single(nominal, "sensor_height")
        start = single(nominal, "start_time")
        if answer.study.entries["timer.start"].nominal != "valve":
            space.axhline(beam, color=INK, lw=0.9, ls=":")
            space.annotate("sensor's beam", (0.0, beam - 8), ha="left", va="top", fontsize=9)
        space.axhline(1e3 * single(nominal, "surface"), color=PALE, lw=2)
        light, meeting = single(nominal, "light_time"), single(nominal, "meeting_time")
        if not np.isnan(meeting):
            height = 1e3 * _drop_heights(nominal, "second", np.array([meeting]))[0]
            space.plot(1e3 * meeting, height, "o", ms=9, mfc="none", mec=INK)
            space.annotate(
                "meeting",
                (1e3 * meeting, height),
                xytext=(-10, 16),
                ha="right",
                textcoords="offset points",
                fontsize=9,
            )
        if not np.isnan(light):
            for axes in (space, lanes):
                axes.axvline(1e3 * light, color=INK, lw=1.2)
            space.annotate("light", (1e3 * light, space.get_ylim()[1]), ha="center", fontsize=9)
        space.set(ylabel="height above the surface (mm)")
        space.legend(loc="center left")
        _draw_lanes(lanes, nominal, start, light)
        said = ", ".join(f"{what} at {write_value(when, 's')}" for what, when in moments(nominal))
        label = f"Height against time of both drops and of the jet in one shot: {said}."
        return to_svg(figure, label=html.escape(label), name="timeline")


def _draw_jet(axes: Axes, nominal: Events, times: Array) -> None:
    emerges, peaks = single(nominal, "jet_emerges"), single(nominal, "jet_peaks")
    share = (times - peaks) / (peaks - emerges)
    top = single(nominal, "surface") + single(nominal, "jet_height") * (1.0 - share**2)
    there = np.abs(share) <= 1.0
    axes.fill_between(
        1e3 * times[there],
        1e3 * single(nominal, "surface"),
        1e3 * top[there],
        color=PALE,
        ec=INK,
        lw=0.8,
        label="jet",
    )


def _draw_lanes(axes: Axes, nominal: Events, start: float, light: float) -> None:
    valve = [
        (0.0, single(nominal, "first_release")),
        (single(nominal, "valve_interval"), single(nominal, "second_release")),
    ]
    wait = [] if np.isnan(start) or np.isnan(light) else [(start, light)]
    jet = [(single(nominal, "jet_emerges"), single(nominal, "jet_gone"))]
    rows = (
        ("valve opens", valve, AS_SET),
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
    axes.set_xlabel("time after the first valve command (ms)")
