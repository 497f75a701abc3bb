"""Trimming: the photographer's correction of the delay from a few first frames."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, sd
from jitter.stage import Stage

DECLARES = (
    Quantity(
        key="trim.frames",
        meaning="frames shot to trim the delay",
        symbol="N_t",
        unit="1",
        nominal=8.0,
        lower=1.0,
        upper=1000.0,
        kind=Kind.SETTING,
        whole=True,
        basis=Basis(Mark.COMMON, "a few frames before the session"),
    ),
    Quantity(
        key="trim.reading",
        meaning="error in reading a frame's age from its picture",
        symbol="e_r",
        unit="s",
        nominal=0.0,
        lower=-0.1,
        upper=0.1,
        kind=Kind.ERROR,
        shot=sd(0.001),
        basis=Basis(Mark.ASSUMED, "read against frames of known age"),
    ),
    Quantity(
        key="trim.step",
        meaning="step in which the delay is moved when trimming",
        symbol="q_t",
        unit="s",
        nominal=0.001,
        lower=0.0,
        upper=1.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "whole milliseconds"),
    ),
)


class Trimming(NamedTuple):
    """The change of the delay."""

    delay_correction: Array


def trim(
    *,
    age: Array,
    trim_reading: Array,
    trim_step: float,
    keeper_age: tuple[float, float],
) -> Trimming:
    """Return by how much the photographer moves the delay.

    The mean of the ages read is brought to the middle of the window, in whole steps; frames
    without an age say nothing, and a set-up without any is left as it is. That a photographer
    may leave out a frame that looks odd, or trim again until it fits, is neglected. Any number of
    frames from 1 up.

    Parameters
    ----------
    age : array (s, n) [s]
        Of the trimming frames.
    trim_reading : array (s, n) [s]
        Error of reading each.
    trim_step : float [s]
        0 for a delay that can be moved at will.
    keeper_age : pair [s]

    Returns
    -------
    delay_correction : array (s, 1) [s]

    References
    ----------
    How photographers trim; common practice, no source.
    """
    read = age + trim_reading - 0.5 * (keeper_age[0] + keeper_age[1])
    told = ~np.isnan(read)
    count = told.sum(axis=1, keepdims=True)
    mean = np.where(told, read, 0.0).sum(axis=1, keepdims=True) / np.maximum(count, 1)
    if trim_step > 0.0:
        mean = np.rint(mean / trim_step) * trim_step
    return Trimming(delay_correction=-mean)


STAGE = Stage(name="trimming", declares=DECLARES, work=trim)
