"""The settings that a log's frames were shot with: few enough to simulate each of them."""

from __future__ import annotations

from dataclasses import replace

from jitter.answers.explain.views import conditions
from jitter.errors import Fault, MistakeError
from jitter.records.log import Log

MOST = 12
"""So many different settings of delay, interval and power are simulated one by one."""
STEPS = (0.5e-3, 1e-3, 2e-3)
"""To which delays and intervals are rounded where there are more [s]."""


def few_settings(log: Log) -> Log:
    """Return a log whose frames were shot with no more than `MOST` different settings.

    Near delays and intervals are taken together where there are more, and a note says so.

    Parameters
    ----------
    log
        The log.

    Raises
    ------
    MistakeError
        If even then there are too many.
    """
    if len(conditions(log)) <= MOST:
        return log
    for step in STEPS:
        frames = tuple(
            replace(
                frame,
                delay=_rounded(frame.delay, step),
                interval=_rounded(frame.interval, step),
            )
            for frame in log.frames
        )
        said = f"delays and intervals were rounded to {1e3 * step:g} ms, so that few are left"
        rounded = replace(log, frames=frames, notes=(*log.notes, said))
        if len(conditions(rounded)) <= MOST:
            return rounded
    many = len(conditions(log))
    wrong = f"its frames were shot with {many} different settings of delay, interval and power"
    right = (
        f"keep to {MOST} in one log, or leave out the column of what hardly differs; a sweep of"
        " delays belongs into logs of its own"
    )
    raise MistakeError([Fault(log.source, None, "delay, interval, power", wrong, right)])


def _rounded(time: float | None, step: float) -> float | None:
    return None if time is None else round(time / step) * step
