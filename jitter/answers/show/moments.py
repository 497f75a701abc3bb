"""What happens in a shot, in the order of time."""

from __future__ import annotations

import math

from jitter.stage import Events
from jitter.study.study import Study
from jitter.trial import single

COMMANDS = ("first_command", "second_command")
"""What the timer does to the valve; no stage has an event for it."""

_HAPPENINGS = (
    ("first drop leaves the nozzle", "first_release"),
    ("second drop leaves the nozzle", "second_release"),
    ("timer starts", "start_time"),
    ("first drop lands", "first_landing"),
    ("jet emerges", "jet_emerges"),
    ("drop and jet meet", "meeting_time"),
    ("light", "light_time"),
    ("jet would stand highest", "jet_peaks"),
    ("jet would be gone", "jet_gone"),
)


def happenings(study: Study, nominal: Events) -> tuple[tuple[str, str, float], ...]:
    """Return what happens in the shot in which nothing strays, in the order of time.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of that shot.

    Returns
    -------
    tuple of (what happens, event, seconds from the first valve command)
        Without what does not happen.
    """
    rows = [
        ("first valve command", COMMANDS[0], 0.0),
        ("second valve command", COMMANDS[1], single(nominal, "valve_interval")),
        *((what, event, single(nominal, event)) for what, event in _HAPPENINGS),
    ]
    by_valve = study.entries["timer.start"].nominal == "valve"
    told = [
        row for row in rows if not math.isnan(row[2]) and not (by_valve and row[1] == "start_time")
    ]
    return tuple(sorted(told, key=lambda row: row[2]))
