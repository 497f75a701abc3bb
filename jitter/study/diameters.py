"""Read a drop given by its diameter."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from jitter.quantities import NONE, Quantity, Shape, Spread
from jitter.study.entries import read_entry
from jitter.study.straying import Complain
from jitter.study.study import Entry


def volume_from_diameter(entry: Entry, raw: Any, complain: Complain) -> Entry:
    """Read a drop given by its diameter.

    Parameters
    ----------
    entry
        The default entry of its volume.
    raw
        What the study gives for the diameter.
    complain
        Called for each fault.

    Returns
    -------
    Entry
        Of the volume. A spread or a drift of the diameter becomes three times the relative one
        in volume, to first order: at 3 % it is 3 % of itself too small.
    """
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        return entry
    ends = [(6.0 / math.pi * end) ** (1.0 / 3.0) for end in (declared.lower, declared.upper)]
    usual = (6.0 / math.pi * entry.number) ** (1.0 / 3.0)
    sphere = replace(declared, unit="m", lower=ends[0], upper=ends[1], nominal=usual)
    read = read_entry(Entry(sphere, usual, entry.setup, entry.shot), raw, complain)
    diameter = read.number
    changes: dict[str, Any] = {"nominal": math.pi / 6.0 * diameter**3, "given": read.given}
    if "nominal" in read.given:
        changes["basis"] = read.basis
    if "alike" in read.given:
        changes["alike"] = read.alike
    if "drift" in read.given:
        changes["drift"] = 0.5 * math.pi * diameter**2 * read.drift
    for level in read.given & {"setup", "shot"}:
        spread: Spread = getattr(read, level)
        share = spread.size if spread.relative else spread.size / diameter
        scaled = spread if spread == NONE else Spread(spread.shape, 3.0 * share, relative=True)
        if spread.shape is Shape.LOGNORMAL:
            scaled = Spread(Shape.LOGNORMAL, 3.0 * spread.size)
        changes[level] = scaled
        changes[f"{level}_basis"] = getattr(read, f"{level}_basis")
    return replace(entry, **changes)
