"""The figures of the validation: where a curve tells more than a row."""

from __future__ import annotations

import html

import numpy as np

from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WANTED, WIDTH, bare, sheet, to_svg
from jitter.stages.pulse import KINDS, USUAL_HALF, pulse
from jitter.validation.checks import STAGES
from jitter.validation.fall_tables import GUNN_KINZER
from jitter.validation.falling import terminal_speed
from jitter.validation.flashes import POWERS, PRINTED
from jitter.validation.jets import FROUDE, froude_of, splash, tip_heights
from jitter.validation.liquids import viscosity_rows
from jitter.validation.propagation import propagated
from jitter.validation.rig import STARTS, shot
from jitter.validation.validate import Validation
from jitter.validation.whole import LIKENESSES, simulated
from jitter.validation.wobbles import AMPLITUDES, shifts
from jitter.validation.worthington import SERIES

LEAST = 1e-4
"""Strains below this share of what is claimed stand at the left edge."""
STYLES = ("-", "--", ":")
MARKERS = ("o", "s", "^")


def strains_figure(found: Validation) -> str:
    """Draw every check as a dot: its deviation over what is claimed."""
    order = [stage for stage in STAGES if any(check.stage == stage for check in found.checks)]
    with sheet(WIDTH, 1.3 + 0.26 * len(order)) as (figure, axes):
        axes.axvspan(LEAST / 2, 1.0, color=WANTED, lw=0)
        axes.axvline(1.0, color=INK, lw=1.0)
        for row, stage in enumerate(order):
            own = [check for check in found.checks if check.stage == stage]
            strain = np.maximum([check.strain for check in own], LEAST)
            # Spread over the row's height, evenly and always the same.
            heights = row + 0.6 * (np.arange(len(own)) * 0.618 % 1.0 - 0.5)
            good = np.array([check.agrees for check in own])
            axes.plot(strain[good], heights[good], "o", ms=3.2, mfc=AS_SET, mec=INK, mew=0.3)
            axes.plot(strain[~good], heights[~good], "D", ms=4.2, mfc=TRIMMED, mec=INK, mew=0.4)
        axes.set_xscale("log")
        axes.set_xlim(LEAST / 2, 20.0)
        axes.set_xticks([LEAST, 1e-3, 1e-2, 0.1, 1.0, 10.0])
        axes.set_xticklabels(["less", "1/1000", "1/100", "1/10", "1", "10"])
        axes.set_yticks(range(len(order)), order)
        axes.set_ylim(len(order) - 0.4, -0.6)
        axes.set_xlabel("deviation over what is claimed\nshaded: agrees, diamonds: does not")
        bare(axes)
        label = (
            f"Dots: {len(found.checks)} checks by step of the shot, deviation over what is claimed;"
            f" {sum(not check.agrees for check in found.checks)} lie beyond 1."
        )
        return to_svg(figure, label=html.escape(label), name="strains")


def terminal_figure() -> str:
    """Draw terminal speeds against Gunn & Kinzer, flattened and rigid."""
    sizes = np.linspace(0.2, 6.0, 80)
    with sheet(WIDTH, 3.6) as (figure, axes):
        for rigid, colour, style, name in (
            (False, TRIMMED, "-", "jitter: drops that flatten"),
            (True, AS_SET, "--", "rigid spheres"),
        ):
            speeds = [terminal_speed(1e-3 * size, rigid=rigid) for size in sizes]
            axes.plot(sizes, speeds, style, color=colour, lw=2, label=name)
        axes.plot(
            list(GUNN_KINZER),
            list(GUNN_KINZER.values()),
            "o",
            ms=4.5,
            mfc="white",
            mec=INK,
            label="Gunn & Kinzer 1949, measured",
        )
        axes.set(xlabel="diameter of the drop (mm)", ylabel="terminal speed (m/s)")
        axes.set(xlim=(0, 6), ylim=(0, 14))
        axes.legend(loc="upper left", fontsize=9)
        label = "Terminal speed against diameter: ours on Gunn & Kinzer's points, spheres above."
        return to_svg(figure, label=html.escape(label), name="terminal")


def viscosity_figure() -> str:
    """Draw the residuals of the viscosity of aqueous glycerol."""
    rows = np.array([(percent, 100.0 * (ours / theirs - 1.0), celsius)
                     for percent, celsius, ours, theirs in viscosity_rows()])  # fmt: skip
    with sheet(WIDTH, 3.2) as (figure, axes):
        axes.axhspan(-3.5, 3.5, color=WANTED, lw=0)
        axes.axhline(0.0, color=INK, lw=0.8)
        for low, high, colour, marker in ((0, 30, TRIMMED, "o"), (40, 100, AS_SET, "s")):
            own = rows[(rows[:, 2] >= low) & (rows[:, 2] <= high)]
            axes.plot(
                own[:, 0],
                own[:, 1],
                marker,
                ms=4,
                mfc=colour,
                mec=INK,
                mew=0.4,
                label=f"{low} to {high} °C",
            )
        axes.set(xlabel="glycerol (% by mass)", ylabel="law over measured, less 1 (%)")
        axes.set_ylim(-5, 5)
        axes.legend(loc="lower left", fontsize=9, ncols=2)
        label = "Deviations of the viscosity law from Segur & Oberstar 1951, all within 3.5 %."
        return to_svg(figure, label=html.escape(label), name="viscosity")


def tip_figure() -> str:
    """Draw the height of the jet's tip against time in Worthington's series."""
    with sheet(WIDTH, 5.6, rows=2) as (figure, both):
        for axes, (name, series) in zip(both, list(SERIES.items())[:2], strict=True):
            _, made = splash(series.diameter, series.fall)
            times = np.linspace(made.jet_emerges, made.jet_gone, 241)
            tip, doubt = tip_heights(made, times)
            axes.fill_between(
                1e3 * times,
                np.maximum(1e3 * (tip - 2.0 * doubt), 0.0),
                1e3 * (tip + 2.0 * doubt),
                color=PALE,
                lw=0,
                label="twice the law's spreads",
            )
            axes.plot(1e3 * times, 1e3 * tip, color=TRIMMED, lw=2, label="the law")
            axes.errorbar(
                list(series.tip),
                list(series.tip.values()),
                yerr=series.reading,
                fmt="o",
                ms=5,
                mfc="white",
                mec=INK,
                ecolor=INK,
                lw=1,
                label="plates, each of another splash",
            )
            axes.set_title(
                f"Worthington's Series {name}: {series.diameter:g} mm from {series.fall:g} cm,"
                f" Fr {froude_of(series.diameter, series.fall):.0f}",
                loc="left",
                fontsize=10,
            )
            axes.set(ylabel="tip above the surface (mm)", ylim=(-5, 62))
        figure.legend(*both[0].get_legend_handles_labels(), loc="outside lower left", ncols=2)
        both[1].set_xlabel("time after the landing (ms)")
        label = (
            "Height of the jet's tip against time: the law, its doubt, and Worthington's plates."
        )
        return to_svg(figure, label=html.escape(label), name="tips")


def froude_figure() -> str:
    """Draw the jet's height over the drop's diameter against the Froude number."""
    froude = np.geomspace(60.0, 900.0, 100)
    middle = float(np.sqrt(FROUDE[0] * FROUDE[1]))
    law = 2.0 * (froude / 3.0) ** 0.25
    events = shot()
    with sheet(WIDTH, 4.0) as (figure, axes):
        axes.axvspan(*FROUDE, color=WANTED, lw=0, label="photographs behind the law")
        axes.plot(froude, law, color=TRIMMED, lw=2, label="the law, Fr^0.25")
        steeper = 2.0 * (middle / 3.0) ** 0.25 * (froude / middle) ** 0.27
        measured = froude >= 127.0
        axes.plot(
            froude[measured],
            steeper[measured],
            "--",
            color=INK,
            lw=1.4,
            label="Fr^0.27, Watson et al. 2024, second-hand",
        )
        for name, series in SERIES.items():
            if len(series.tip) > 1:
                axes.errorbar(
                    froude_of(series.diameter, series.fall),
                    max(series.tip.values()) / series.diameter,
                    yerr=series.reading / series.diameter,
                    fmt="o",
                    ms=6,
                    mfc="white",
                    mec=INK,
                    ecolor=INK,
                    label="Worthington's tops" if name == "I" else None,
                )
        own = float(events["froude"].item())
        height = float((events["jet_top"] / events["first_diameter"]).item())
        axes.plot(own, height, "s", ms=7, mfc=TRIMMED, mec=INK, label="the default rig")
        axes.set_xscale("log")
        axes.set_xticks([60, 100, 200, 400, 800], ["60", "100", "200", "400", "800"])
        axes.minorticks_off()
        axes.set(xlabel="Froude number of the landing", ylabel="height of the jet (drops)")
        axes.set_ylim(3, 11)
        figure.legend(*axes.get_legend_handles_labels(), loc="outside lower left", ncols=2)
        label = "Height of the jet over the drop's diameter against the Froude number."
        return to_svg(figure, label=html.escape(label), name="froude")


def wobble_figure() -> str:
    """Draw by how much an oscillating drop is late at the beam and at the surface."""
    phases = np.linspace(0.0, 1.0, 41)
    with sheet(WIDTH, 3.2) as (figure, axes):
        axes.axhline(0.0, color=INK, lw=0.8)
        for amplitude, style in zip(AMPLITUDES, STYLES, strict=True):
            crossing, landing, _ = shifts(amplitude, phases)
            axes.plot(
                phases, 1e6 * crossing, style, color=TRIMMED, label=f"beam, amplitude {amplitude:g}"
            )
            axes.plot(
                phases,
                1e6 * landing,
                style,
                color=AS_SET,
                label=f"surface, amplitude {amplitude:g}",
            )
        axes.set(xlabel="phase at pinch-off (periods)", ylabel="later than a round drop (µs)")
        axes.set_xlim(0, 1)
        axes.legend(fontsize=8.5, ncols=2, bbox_to_anchor=(0.5, 1.02), loc="lower center")
        label = "Shift of the second drop's crossing and landing against its phase at pinch-off."
        return to_svg(figure, label=html.escape(label), name="wobble")


def likeness_figure() -> str:
    """Draw the spread of the age against how alike the two drops are, for each start signal."""
    likenesses = np.linspace(0.0, 1.0, 41)
    with sheet(WIDTH, 3.6) as (figure, axes):
        for start, colour, style, marker in zip(
            STARTS, (TRIMMED, AS_SET, INK), STYLES, MARKERS, strict=True
        ):
            spread = [1e3 * propagated(start, float(alike)) for alike in likenesses]
            axes.plot(likenesses, spread, style, color=colour, lw=2, label=f"{start}, by the law")
            axes.plot(
                LIKENESSES,
                [1e3 * simulated(start, alike) for alike in LIKENESSES],
                marker,
                ms=6,
                mfc="white",
                mec=colour,
                label=f"{start}, simulated",
            )
        axes.set(xlabel="how alike the two drops' errors are", ylabel="sd of the age (ms)")
        axes.set(xlim=(-0.02, 1.02), ylim=(0, 3.2))
        axes.legend(
            fontsize=8.5,
            ncols=3,
            columnspacing=0.8,
            handlelength=1.6,
            bbox_to_anchor=(0.45, 1.02),
            loc="lower center",
        )
        label = (
            "Standard deviation of the age from shot to shot against the likeness of the drops,"
            " for the three start signals."
        )
        return to_svg(figure, label=html.escape(label), name="likeness")


def durations_figure() -> str:
    """Draw the duration of each kind of flash against its power."""
    powers = np.geomspace(1.0 / 256.0, 1.0, 120)
    usual = np.array(USUAL_HALF)
    with sheet(WIDTH, 3.6) as (figure, axes):
        for kind, colour in zip(KINDS, (TRIMMED, INK, AS_SET), strict=True):
            made = pulse(kind, powers, usual)
            half, tenth = (np.broadcast_to(1e6 * one, powers.shape) for one in made[1:])
            if kind == "full discharge":
                axes.plot([1.0, 1.0], [half[-1], tenth[-1]], "D", ms=6, mfc=colour, mec=colour,
                          label="full discharge, t0.5 and t0.1")  # fmt: skip
                continue
            axes.plot(powers, half, "-", color=colour, lw=2, label=f"{kind}, t0.5")
            axes.plot(powers, tenth, ":", color=colour, lw=2, label=f"{kind}, t0.1")
        axes.plot(
            POWERS,
            [1e6 / printed for printed in PRINTED],
            "o",
            ms=6,
            mfc="white",
            mec=INK,
            label="one unit's table of t0.5 (from memory)",
        )
        axes.set_xscale("log", base=2)
        axes.set_yscale("log")
        ticks = [1 / 256, 1 / 64, 1 / 16, 1 / 4, 1]
        axes.set_xticks(ticks, ["1/256", "1/64", "1/16", "1/4", "full"])
        axes.set_yticks([1e1, 1e2, 1e3, 1e4], ["10 µs", "100 µs", "1 ms", "10 ms"])
        axes.set(xlabel="power", ylabel="duration", ylim=(10, 1e5))
        axes.legend(fontsize=8.5, ncols=2, bbox_to_anchor=(0.5, 1.02), loc="lower center")
        label = "Duration against power: shorter at low power where the light is cut, longer where"
        label += " the voltage is lowered."
        return to_svg(figure, label=html.escape(label), name="durations")
