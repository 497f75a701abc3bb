"""A value of a study in words: the number, its spreads, and where they come from."""

from __future__ import annotations

import math

from jitter.quantities import Curve, Kind, Mark, Quantity, Shape, Window
from jitter.study.samples import write_in_table, write_nominal
from jitter.study.study import Entry
from jitter.units.writing import write_difference, write_number, write_spread, write_value

NOT_USED = "–"


def write_entry(entry: Entry) -> str:
    """Write the nominal of an entry as people read it; a dash where it has no part.

    Parameters
    ----------
    entry
        The value.
    """
    declared, nominal = entry.declaration, entry.nominal
    if nominal is None:
        return NOT_USED
    if isinstance(nominal, str):
        return nominal
    if isinstance(declared, Window) and isinstance(nominal, tuple):
        return " to ".join(write_value(float(str(end)), declared.unit) for end in nominal)
    if isinstance(declared, Curve) and isinstance(nominal, tuple):
        pairs = [pair for pair in nominal if isinstance(pair, tuple)]
        first, last = (
            ": ".join(map(write_in_table, pair, declared.units)) for pair in (pairs[0], pairs[-1])
        )
        return f"{len(pairs)} pairs, {first} … {last}"
    if not isinstance(declared, Quantity):
        return str(nominal)
    written = write_nominal(declared, entry.number)
    if declared.diameter_key:
        written += f" ({write_value(math.cbrt(6.0 / math.pi * entry.number), 'm')} wide)"
    return written


def write_level(entry: Entry, level: str) -> str:
    """Write the spread of an entry at a level, ``setup`` or ``shot``; empty where it has none."""
    declared = entry.declaration
    if not isinstance(declared, Quantity) or not declared.strays or entry.nominal is None:
        return ""
    spread = entry.setup if level == "setup" else entry.shot
    said = write_spread(spread, declared.unit)
    if level == "shot" and entry.alike > 0.0:
        said += f", alike {write_number(entry.alike)}"
    return said


def write_drift(entry: Entry) -> str:
    """Write the drift of an entry; empty where it stands still."""
    declared = entry.declaration
    if not isinstance(declared, Quantity) or entry.drift == 0.0:
        return ""
    return f"{write_difference(entry.drift, declared.unit)} a frame"


def origin(entry: Entry) -> str:
    """Say whether a value is the user's, in part or whole, or a default, and the default's mark."""
    if entry.idle:
        return "not used"
    declared = entry.declaration
    only_strays = isinstance(declared, Quantity) and declared.kind is Kind.ERROR
    if "nominal" in entry.given or (only_strays and entry.given):
        return str(Mark.USER)
    if entry.given:
        return f"part {Mark.USER}"
    if entry.nominal is None:
        return "not given"
    return f"default: {entry.basis.mark}" if entry.basis is not None else "default"


def bases(entry: Entry) -> str:
    """Say where the value and its spreads come from, in one line."""
    if entry.idle:
        return entry.idle
    said = []
    for name, basis, shown in (
        ("value", entry.basis, True),
        ("set-up", entry.setup_basis, entry.setup.shape is not Shape.NONE),
        ("shot", entry.shot_basis, entry.shot.shape is not Shape.NONE),
    ):
        if basis is not None and shown:
            said.append(f"{name}: {basis.mark}{', ' + basis.source if basis.source else ''}")
    return "; ".join(said)
