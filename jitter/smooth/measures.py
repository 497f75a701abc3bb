"""The measures of a frame by which it is a keeper, and their windows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from jitter.arrays import Array
from jitter.stage import Events
from jitter.study.study import Study


@dataclass(frozen=True)
class Measure:
    """A number that must lie in a window.

    Attributes
    ----------
    name
        The event that it is told by.
    of
        Takes the events of a frame.
    window
        Takes the study.
    """

    name: str
    of: Callable[[Events], Array]
    window: Callable[[Study], tuple[float, float]]


def _blur(events: Events) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(np.maximum(events["blur"], events["depth_blur"])))


AGE = Measure(
    "age", lambda events: np.asarray(events["age"]), lambda study: study.window("keeper.age")
)


def _stops(events: Events) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log2(events["exposure"]))


EXPOSURE = Measure(
    "exposure",
    _stops,
    lambda study: (-study.number("keeper.exposure"), study.number("keeper.exposure")),
)
BLUR = Measure("blur", _blur, lambda study: (-np.inf, np.log(study.number("keeper.blur"))))
MEASURES = (AGE, EXPOSURE, BLUR)
"""In an order in which no line moves the measure of an earlier one."""
