"""A study to begin with: a rig that runs as it is, to be overwritten with one's own numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from jitter.answers.reference.examples import Line
from jitter.answers.reference.items import Heading, Item, every_item
from jitter.quantities import NONE, Declaration, Mark, Quantity
from jitter.stage import Chain
from jitter.units.reading import read_measure
from jitter.units.writing import write_fahrenheit, write_feet, write_inches

MAIN = (
    *("liquid.kind", "liquid.temperature"),
    *("valve.first_diameter", "valve.second_diameter", "valve.nozzle_height", "valve.latency"),
    *("valve.release_speed", "valve.scatter", "valve.interval"),
    *("reservoir.head", "reservoir.constant_head", "session.frames"),
    *("timer.start", "timer.delay", "sensor.height", "sensor.offset", "pool.depth", "pool.level"),
    *("flash.kind", "flash.power", "camera.magnification", "camera.aperture", "camera.iso"),
    *("keeper.age", "keeper.off_centre", "keeper.blur"),
)
"""What every rig has, and its owner can set or measure."""

RARE = (
    *("liquid.glycerol", "air.altitude", "air.temperature", "valve.wobble", "reservoir.bore"),
    *("session.cadence", "timer.step", "timer.clock_error"),
    *("sensor.width", "sensor.response", "sensor.miss_chance", "pool.width"),
    *("jet.time", "jet.height", "jet.lean", "sheet.spread_scale"),
    *("flash.link", "flash.count", "flash.half_durations", "flash.delay", "flash.dark_chance"),
    *("flash.guide_number", "camera.frame_width", "camera.focal_length", "camera.focus"),
    *("camera.pixel", "camera.shutter_open", "camera.ambient"),
    *("keeper.depth", "keeper.exposure", "trim.frames", "trim.reading"),
)
"""What stands as a comment; each is valid beside what is written out, and beside all the others."""

ALWAYS_METRIC = ("camera.frame_width", "camera.focal_length")
"""What stands in millimetres on cameras and lenses everywhere."""

ROOM = 100
"""Columns of the text."""

RULED, SPREAD = 0.01, 0.1
"""How far a value in inches may be from the one in millimetres, and how far a spread: a share."""

HEAD = """\
# A rig to be overwritten with your own numbers: every number here is a default, none is yours yet,
# but answers take what stands here awake for yours.
#
# Each value may stray in two ways. setup: drawn once, until the rig is touched again: how well you
# can set it. shot: drawn anew for each shot: how well the machine repeats it. Write "sd 0.3 ms" for
# a standard deviation, "within 1 mm" for a half width, "none" for no spread.
#
# A line of a value with # before it is asleep: take the # away, and it counts. What no line says
# takes its default. Asleep are rarer things, and values whose spread is an assumption of ours: as
# long as they sleep, answers mark them with a star. Wake them when you have measured.
# `jitter quantities valve` tells everything that [valve] may say.
"""

TITLE = '"My rig, to be overwritten with my own numbers"'

_MEASURE = re.compile(r'"(?P<spread>[a-z ]+ )?(?P<size>[^" ]+ (?P<unit>mm|m|C|K))"')


def starter(chain: Chain, *, inches: bool = False) -> str:
    """Return the text of a study to begin with.

    Parameters
    ----------
    chain
        The stages whose declarations say what a study may hold.
    inches
        Whether lengths that are measured at the table are in inches and feet, and temperatures in
        Fahrenheit. Such a value is the metric one to 1 %, such a spread to 10 %, so that rulers
        have marks for most of them.

    Returns
    -------
    str
        What is written out has its default and its default spreads. A value whose default spread is
        an assumption is a comment, for an answer would take it for measured; what is rare is one,
        too, with its default alone, or a likely value where it has none.
    """
    items = every_item(chain)
    said = [HEAD]
    for section in dict.fromkeys(item.section for item in items):
        lines = [line for item in items if item.section == section for line in _said(item)]
        if section and lines:
            said.append(f"[{section}]")
        # What is written out comes first, what is rare last.
        for one in sorted(lines, key=lambda one: (one.asleep, _key(one.line) in RARE)):
            line = _in_inches(one.line) if inches else one.line
            said += _told(line, one.meaning, asleep=one.asleep)
        said += [""] if lines else []
    return "\n".join(said)


class _Said(NamedTuple):
    """A line that gives a value, what the value is, and whether the line is a comment."""

    line: Line
    meaning: str
    asleep: bool


def _said(item: Item) -> Iterator[_Said]:
    """Yield the lines that give a value in such a study."""
    if not item.section:
        line = item.lines[-1]
        line = replace(line, parts=(("", TITLE),)) if item.key == "title" else line
        yield _Said(line, item.meaning, False)
    for key, lines in zip(item.keys, item.ways, strict=True):
        line, meaning = lines[-1], item.meaning
        if item.sphere is not None and key == item.sphere.key:
            meaning = f"{meaning}, as the {item.sphere.meaning}"
        if item.options:
            meaning = f"{meaning}: {', '.join(item.options[:-1])} or {item.options[-1]}"
        if key in MAIN:
            yield _Said(line, meaning, _assumed(item.declaration))
        elif key in RARE:
            # The default spreads go with it.
            yield _Said(replace(line, parts=(("", line.parts[0][1]),)), meaning, True)


def _assumed(declared: Declaration | Heading) -> bool:
    """Whether a default spread is an assumption."""
    return isinstance(declared, Quantity) and any(
        spread != NONE and basis.mark is Mark.ASSUMED
        for spread, basis in (
            (declared.setup, declared.setup_basis),
            (declared.shot, declared.shot_basis),
        )
    )


def _key(line: Line) -> str:
    return f"{line.section}.{line.name}"


def _told(line: Line, meaning: str, *, asleep: bool) -> Iterator[str]:
    """Yield a line with its meaning behind it, or above it where there is no room."""
    said = f"{'# ' if asleep else ''}{line.toml()}"
    whole = f"{said}  # {meaning}"
    if len(whole) <= ROOM:
        yield whole
    else:
        yield f"# {meaning}:"
        yield said


def _in_inches(line: Line) -> Line:
    """Return a line in inches, feet and Fahrenheit; micrometres stay."""
    if _key(line) in ALWAYS_METRIC:
        return line
    return replace(
        line, parts=tuple((part, _MEASURE.sub(_other, text)) for part, text in line.parts)
    )


def _other(measure: re.Match[str]) -> str:
    unit, spread = measure["unit"], measure["spread"]
    si = "m" if unit in ("mm", "m") else "K"
    value = read_measure(measure["size"], si, difference=unit == "K").value
    if si == "K":
        written = write_fahrenheit(value, difference=unit == "K")
    elif unit == "m":
        written = write_feet(value)
    else:
        written = write_inches(value, share=SPREAD if spread else RULED)
    return f'"{spread or ""}{written}"'
