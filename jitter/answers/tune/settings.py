"""The settings that are tuned: which there are, in which steps, and which have a part in a rig."""

from __future__ import annotations

import math

from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START, WHOLE_LIFE
from jitter.study.study import Nominal, Study

SETTINGS = (START, HEIGHT, INTERVAL, DELAY)
STEPS = {HEIGHT: 1e-3, INTERVAL: 1e-3}
"""What a photographer can set: whole millimetres and milliseconds [SI]."""


def delay_step(window: tuple[float, float]) -> float:
    """Return the step in which a delay is sought: a millisecond, less for a narrow window [s].

    Examples
    --------
    >>> delay_step((0.002, 0.010)), delay_step((0.002, 0.003))
    (0.001, 0.0001)
    """
    fine = 10.0 ** math.floor(math.log10((window[1] - window[0]) / 4.0) + 1e-9)
    return float(f"{min(1e-3, fine):.12g}")


def own_setting(study: Study, key: str) -> Nominal:
    """Return a setting of the user's; None where it has no part in the rig."""
    if key not in study.entries:
        return None
    entry = study.entries[key]
    if not has_part(study, key) and "nominal" not in entry.given:
        return None
    return entry.nominal


def start_of(study: Study) -> Nominal:
    """Return a rig's start signal; None where it has no choice."""
    return study.entries[START].nominal if START in study.entries else None


def has_part(study: Study, key: str) -> bool:
    """Return whether a setting has a part in a rig: a sensor has none where the valve starts."""
    return key in study.entries and not (key == HEIGHT and start_of(study) == "valve")


def allowed(bench: Bench, study: Study) -> bool:
    """Return whether a rig keeps to the limits that the user set, of phase and of reach."""
    ends = {
        INTERVAL: bench.limits.interval if bench.limits.phase != WHOLE_LIFE else None,
        HEIGHT: bench.limits.height if bench.limits.reach_given else None,
    }
    return all(
        end is None or not has_part(study, key) or end[0] <= study.number(key) <= end[1]
        for key, end in ends.items()
    )
