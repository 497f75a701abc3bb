"""How far a value may be moved before a study makes no sense."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jitter.answers.variants import with_values
from jitter.quantities import Quantity
from jitter.stage import Chain
from jitter.study.sense import find_nonsense, nominal_sizes
from jitter.study.study import Nominal, Study

HALVINGS = 30
ROOM = 1.0 - 1e-6
"""Values stay this share inside what a study may say, so that rounding does not leave it."""


def leeway(study: Study, chain: Chain, keys: Sequence[str], sign: float) -> float:
    """Return how far some numbers may be moved together, in SI.

    Up to a limit of one of them, or to a place where they no longer fit the other values: a beam
    above the nozzle.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    keys
        The numbers.
    sign
        1 up, -1 down.
    """
    entries = [study.entries[key] for key in keys]
    room = math.inf
    for entry in entries:
        declared = entry.declaration
        if isinstance(declared, Quantity):
            end = declared.upper if sign > 0.0 else declared.lower
            room = min(room, abs(end - entry.number) * ROOM)

    def sense(distance: float) -> bool:
        moved: dict[str, Nominal] = {
            entry.declaration.key: entry.number + sign * distance for entry in entries
        }
        other = with_values(study, moved)
        sizes = nominal_sizes(other, chain)
        faults = () if sizes is None else find_nonsense(other, sizes)
        return not any(set(keys).intersection(fault.keys) for fault in faults)

    if math.isinf(room) or sense(room):
        return room
    low, high = 0.0, room
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if sense(middle) else (low, middle)
    return low
