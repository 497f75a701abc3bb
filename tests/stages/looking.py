"""What the tests of the look share: shots with something changed, and what is seen in them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS, Look

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]

MEASURED = Look._fields[1:]
# What is not named here is not there to be measured.
SHOWN = {
    "dark": set(),
    "nothing there": set(),
    "one drop in the air": {"drop_height"},
    "column only": {"tip_height"},
    "drop above the column": {"drop_height", "tip_height", "gap", "side"},
}
OF_A_SHEET = {"sheet_width", "side", "meeting_height"}


def word(made: Any) -> str:
    """Return what the frame of a shot is called."""
    code = made["look"] if isinstance(made, dict) else made.look
    return LOOKS[code.item()]


def shown(made: Any) -> set[str]:
    """Return what can be measured in the frame of a shot."""
    values = made if isinstance(made, dict) else made._asdict()
    return {name for name in MEASURED if not np.isnan(values[name].item())}


def again(events: dict[str, Any], **changes: float) -> dict[str, Any]:
    """Return the events of a shot some of which are changed, with all that follows from them."""
    arrays = {name: np.array([[new]]) for name, new in changes.items()}
    return walk(CHAIN.stages, events | arrays, set(changes))


def beside(events: dict[str, Any], *, across: float = 0.0, towards: float = 0.0) -> dict[str, Any]:
    """Return the events of a shot whose second drop falls beside the line."""
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, :, 0, 0] = across, towards
    return walk(CHAIN.stages, events | {"valve_scatter": scatter}, {"valve_scatter"})
