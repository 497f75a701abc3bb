"""Read what tightening each spread costs: an effort file, judged against a study.

A TOML file of its own. Under the section of a quantity stands, for each level at which tightening
it has a price, what its present spread costs and by which law the cost grows::

    [sensor.height]
    setup = { cost = 10 }

    [valve.release_speed]
    shot = { cost = 40, law = "inverse square" }

Cost is any number above 0, in any unit as long as it is the same for all. By the law "inverse",
which counts where none is given, half the spread costs twice as much; by "inverse square", four
times. What the file does not name stays as it is.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from jitter.errors import Fault, MistakeError, shown
from jitter.quantities import Kind, Level, Quantity, Shape
from jitter.study.lines import find_lines
from jitter.study.names import key_meant, name_hint
from jitter.study.study import Entry, Study

LAWS = {"inverse": 1.0, "inverse square": 2.0}
EXAMPLE = 'write such as setup = { cost = 10, law = "inverse" }'
PARTS = ("cost", "law")

Place = Callable[[str, str, str], None]
"""Takes a key, what is wrong with it and what would be right."""


@dataclass(frozen=True)
class Effort:
    """What one spread costs.

    Attributes
    ----------
    key, level
        The spread.
    cost
        Of the spread as it is.
    power
        The cost grows with this power of the present spread over the new one.
    """

    key: str
    level: Level
    cost: float
    power: float


def read_efforts(text: str, *, source: str, study: Study) -> tuple[Effort, ...]:
    """Read an effort file.

    Parameters
    ----------
    text
        The TOML document.
    source
        Its name, for messages.
    study
        The rig whose spreads are to be tightened.

    Returns
    -------
    tuple of Effort
        In the order of the file.

    Raises
    ------
    MistakeError
        With every fault found.
    """
    try:
        document = tomllib.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as broken:
        at = re.search(r"\(at line (\d+)", str(broken))
        wrong = f"it cannot be read: {broken}"
        fault = Fault(source, int(at[1]) if at else None, "the file", wrong, EXAMPLE)
        raise MistakeError([fault]) from None
    lines = find_lines(text)
    faults: list[Fault] = []

    def place(key: str, wrong: str, right: str) -> None:
        parts = key.split(".")
        at = [lines.get(".".join(parts[:many])) for many in range(len(parts), 0, -1)]
        line = next((one for one in at if one is not None), None)
        faults.append(Fault(source, line, key, wrong, right))

    found: list[Effort] = []
    taken: dict[tuple[str, Level], str] = {}
    for section, content in document.items():
        if not isinstance(content, Mapping):
            place(section, f"{shown(content)} belongs to no quantity", f"{EXAMPLE} under its name")
            continue
        for name, levels in content.items():
            for effort in _read_quantity(study, f"{section}.{name}", levels, place):
                draw = (_draw(study, effort), effort.level)
                if draw in taken:
                    wrong = f"{taken[draw]} says already what this spread costs"
                    place(f"{section}.{name}.{effort.level}", wrong, "say it once")
                    continue
                taken[draw] = f"{section}.{name}"
                found.append(effort)
    if not found and not faults:
        place("the file", "it says of no spread what it costs", EXAMPLE)
    if faults:
        raise MistakeError(sorted(faults, key=lambda fault: (fault.line is None, fault.line or 0)))
    return tuple(found)


def _draw(study: Study, effort: Effort) -> str:
    """Return the name of the draw, which several quantities may share in a set-up."""
    declared = study.entries[effort.key].declaration
    shares = isinstance(declared, Quantity) and effort.level is Level.SETUP
    return (declared.together if shares and isinstance(declared, Quantity) else "") or effort.key


def _read_quantity(study: Study, name: str, levels: Any, place: Place) -> list[Effort]:
    key = key_meant(study, name)
    if not key:
        place(name, "there is no such quantity", name_hint(study, name))
        return []
    if not isinstance(levels, Mapping):
        place(name, f"{shown(levels)} does not say at which level", EXAMPLE)
        return []
    found = []
    for level, parts in levels.items():
        if level not in tuple(Level):
            place(f"{name}.{level}", f"{shown(level)} is no level", "write setup or shot")
        elif not _strays(study.entries[key], Level(level)):
            wrong = f"it has no {level} spread in this study, so there is nothing to tighten"
            place(f"{name}.{level}", wrong, "leave it out, or give the spread in the study")
        elif not isinstance(parts, Mapping):
            place(f"{name}.{level}", f"{shown(parts)} is no cost", EXAMPLE)
        else:
            cost, power = _read_parts(f"{name}.{level}", parts, place)
            found.append(Effort(key, Level(level), cost, power))
    return found


def _strays(entry: Entry, level: Level) -> bool:
    declared = entry.declaration
    if not isinstance(declared, Quantity) or entry.nominal is None:
        return False
    if declared.kind in (Kind.CHANCE, Kind.TICK):
        return level is Level.SHOT and entry.number > 0.0
    spread = entry.setup if level is Level.SETUP else entry.shot
    return spread.shape is not Shape.NONE and spread.size > 0.0


def _read_parts(name: str, parts: Mapping[str, Any], place: Place) -> tuple[float, float]:
    for part in parts:
        if part not in PARTS:
            place(f"{name}.{part}", f"{shown(part)} is not known here", "write cost and law")
    raw, law = parts.get("cost"), parts.get("law", "inverse")
    cost = float(raw) if isinstance(raw, int | float) and not isinstance(raw, bool) else 0.0
    if not (math.isfinite(cost) and cost > 0.0):
        wrong = "the cost is missing" if raw is None else f"{shown(raw)} is no cost"
        place(f"{name}.cost", wrong, "write a number above 0, such as cost = 10")
    if not isinstance(law, str) or law not in LAWS:
        near = get_close_matches(str(law), LAWS, n=1)
        guess = f"did you mean {near[0]}? " if near else ""
        place(
            f"{name}.law", f"{shown(law)} is no law", f'{guess}write "inverse" or "inverse square"'
        )
        law = "inverse"
    return cost, LAWS[law]
