"""Whether a study makes physical sense: judged after every single value has been read."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from jitter.study.study import Study
from jitter.units.writing import write_value


class Nonsense(NamedTuple):
    """Values that do not fit together.

    Attributes
    ----------
    keys
        The values concerned; the first is the one to change.
    wrong, right
        What is wrong, and what would be right.
    """

    keys: tuple[str, ...]
    wrong: str
    right: str


def find_nonsense(study: Study) -> Iterator[Nonsense]:
    """Yield what does not fit together in a study.

    Parameters
    ----------
    study
        With every value read.
    """
    nozzle, level = study.number("valve.nozzle_height"), study.number("pool.level")
    volumes = ("valve.first_volume", "valve.second_volume")
    diameters = [(6.0 / math.pi * study.number(key)) ** (1.0 / 3.0) for key in volumes]
    largest, smallest = max(diameters), min(diameters)
    if nozzle - level <= 1.5 * largest:
        yield Nonsense(
            ("valve.nozzle_height", "pool.level", *volumes),
            f"the nozzle ({write_value(nozzle, 'm')}) is too close to the surface "
            f"({write_value(level, 'm')}) for a drop to fall",
            f"raise it above {write_value(level + 1.5 * largest, 'm')}",
        )
    if study.number("reservoir.bore") <= largest:
        yield Nonsense(
            ("reservoir.bore", *volumes),
            "the reservoir is narrower than a drop",
            f"write a width above {write_value(largest, 'm')}",
        )
    if study.entries["timer.start"].nominal == "valve":
        return
    beam, offset = study.number("sensor.height"), abs(study.number("sensor.offset"))
    if not level < beam < nozzle - largest:
        yield Nonsense(
            ("sensor.height", "valve.nozzle_height", "pool.level", "timer.start", *volumes),
            f"the beam ({write_value(beam, 'm')}) is not between the surface "
            f"({write_value(level, 'm')}) and the nozzle ({write_value(nozzle, 'm')})",
            f"put it above {write_value(level, 'm')} and, a drop under the nozzle, below "
            f"{write_value(nozzle - largest, 'm')}",
        )
    if offset >= 0.5 * smallest:
        yield Nonsense(
            ("sensor.offset", "timer.start", *volumes),
            f"the beam passes {write_value(offset, 'm')} beside the fall line, so it misses the "
            "drop",
            f"keep it under {write_value(0.5 * smallest, 'm')}, half a drop",
        )
