"""The page of `jitter power`: what to set, what blurs, what is lost, what it costs."""

from __future__ import annotations

from collections.abc import Iterable

from jitter import __version__
from jitter.answers.power.answer import PowerAnswer
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, contents, figure, page, paragraphs, section, table
from jitter.report.power.figures import blur_figure, losses_figure
from jitter.report.power.rows import (
    LOST,
    blur_rows,
    cost_rows,
    hidden,
    light_rows,
    loss_rows,
    means_rows,
    several_rows,
    streak_rows,
)
from jitter.report.power.settings import BY
from jitter.report.power.words import findings, first_note, held
from jitter.report.words import NONE_TOLD, UNCLEAR
from jitter.trial import single
from jitter.units.writing import write_number, write_value


def power_page(answer: PowerAnswer) -> str:
    """Return the page of the answer to `jitter power`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    means = answer.means[0] if answer.best is None else answer.best.pick.tried.setting.means
    made = f"jitter {__version__}, study {answer.study.digest}."
    several = section("More flashes", _several(answer), name="more") if answer.several else ""
    return page(
        heading=answer.study.title,
        about="which flash power",
        findings=findings(answer),
        warnings=answer.warnings,
        body=[
            contents((name, words) for name, words in SECTIONS if name != "more" or answer.several),
            section("Keepers against power", _keepers(answer, means), name="keepers"),
            section("Blur against power", _blur(answer), name="blur"),
            section("What it costs", _costs(answer), name="costs"),
            several,
            section("Measure your own flash", _streak(answer), name="streak"),
            section("What was assumed", assumptions(answer.study), name="assumed"),
            section("How it was computed", paragraphs((made, *held(answer), *NEGLECTED))),
            cautions(),
        ],
    )


SECTIONS = (
    ("keepers", "Keepers"),
    ("blur", "Blur"),
    ("costs", "What it costs"),
    ("more", "More flashes"),
    ("streak", "Measure your own flash"),
    ("assumed", "What was assumed"),
)
NEGLECTED = (
    "Apertures and speeds are those marked on lens and camera, a third of a stop apart; the delay"
    " follows the middle of the light at every power, and all else stands as in the study.",
    "A guide number holds from some five widths of the flash's window on; nearer, light falls off"
    " more slowly. Light from behind the drops makes their edges brighter than it says: try one"
    " frame.",
)


def _marked(headers: Iterable[str], rows: Iterable[tuple[str, ...]]) -> str:
    """Return a table whose rows have their mark, the second cell, beside the power."""
    joined = [(f"{power} ({mark})" if mark else power, *rest) for power, mark, *rest in rows]
    return table(headers, joined, kind="figures")


def _keepers(answer: PowerAnswer, means: str) -> str:
    headers = ("power", "set to", "as set", "trimmed", *LOST)
    best = ("", "power", "set to", "as set by ruler", "after trimming")
    note = (
        f"Lost frames count under the first reason that is true. The table is of exposure kept"
        f" right by {BY[means]}; gear at its end leaves some powers over- or under-exposed.",
        *(f"{words}." for words in (first_note(answer), hidden(answer)) if words),
    )
    return (
        figure(losses_figure(answer, means))
        + "<h3>The first choice by each means of exposure</h3>"
        + table(best, means_rows(answer))
        + f"<h3>Exposure by {BY[means]}</h3>"
        + _marked(headers, loss_rows(answer, means))
        + paragraphs(note)
    )


def _blur(answer: PowerAnswer) -> str:
    light = (
        "power",
        "t0.5 (µs)",
        "t0.1 (µs)",
        "t0.1, 8 of 10 flashes of this kind (µs)",
        "rim, 8 in 10 frames (µm)",
        "drop (µm)",
        "jet's tip (µm)",
        "light later by (µs)",
        "recharged in",
    )
    sizes = ("power", "rim, middle frame", "rim, 9 in 10 below", "falling drop", "jet's tip")
    speeds = answer.speeds
    pixel, circle = (
        write_value(size, "m", digits=3)
        for size in (
            answer.study.number("camera.pixel"),
            single(answer.nominal, "circle_of_confusion"),
        )
    )
    said = (
        "Blur is the disc on the camera's sensor that looks as soft as the streak. The rim's is of"
        " frames of a wanted age: it is fast when the sheet is young and stands still when it is"
        f" widest. The drop falls at {write_value(speeds.drop, 'm/s', digits=3)} as it meets the"
        " jet.",
    )
    return (
        figure(blur_figure(answer))
        + paragraphs(said)
        + _marked(light, light_rows(answer))
        + f"<h3>In pixels of {pixel} (px) and circles of confusion of {circle} (c)</h3>"
        + _marked(sizes, blur_rows(answer))
    )


def _costs(answer: PowerAnswer) -> str:
    headers = (
        "power",
        "guide number",
        "set to",
        "stops over",
        "working aperture",
        "depth of field",
        "diffraction (µm)",
        "noise (stops of ISO)",
        "room light (stops)",
    )
    parts = [
        f"<h3>Exposure by {BY[means]}</h3>" + _marked(headers, cost_rows(answer, means))
        for means in answer.means
    ]
    note = (
        "Guide number: of all flashes together, at that power and ISO 100. Stops over: what steps"
        " and ends of the gear leave of a wrong exposure. Noise: stops of ISO above the camera's"
        " lowest. Room light: against mid-grey, over the whole opening of the shutter; above -6"
        " expect a second image.",
    )
    return "".join(parts) + paragraphs(note)


def _several(answer: PowerAnswer) -> str:
    headers = (
        "flashes",
        "each at",
        "t0.1 (µs)",
        "first to last (µs)",
        "edges apart (µm)",
        "drop (µm)",
        "as set",
        "trimmed",
    )
    note = (
        "Guide numbers add as their squares do: twice the flashes at half the power give the same"
        " light. Flashes that do not fire together, the last so much later than the first, draw"
        " every edge twice: edges apart is how far the two are from each other on the camera's"
        " sensor, for a falling drop, and drop its blur. The last two columns are"
        f" keepers in 100 gained over the recommended setting; {NONE_TOLD}: {UNCLEAR}.",
    )
    return table(headers, several_rows(answer), kind="figures") + paragraphs(note)


def _streak(answer: PowerAnswer) -> str:
    speed = write_value(single(answer.nominal, "impact_speed"), "m/s", digits=3)
    size = write_number(single(answer.nominal, "magnification"), 2)
    said = (
        "No two units last equally long, and yours is the largest unknown here. Photograph single"
        " falling drops just above the surface: the flash mirrored in the drop is a bright glint,"
        " and the light draws it into a streak. Read its length in a file without gamma, where it"
        " has a tenth of its greatest brightness: that is t0.1. Take off the length of the glint"
        " itself, from a frame with the shortest light, and come close enough that the streak is"
        " several glints long.",
        f"duration = (streak − glint)/(magnification × speed). Here a drop falls at {speed} just"
        f" above the surface, at {size} of life size:",
    )
    headers = ("power", "t0.1 (µs)", "streak (µm)", "in pixels", "one pixel is")
    after = (
        "Write what you find into flash.tenth_durations or flash.half_durations: pairs of power and"
        " duration.",
    )
    return paragraphs(said) + _marked(headers, streak_rows(answer)) + paragraphs(after)
