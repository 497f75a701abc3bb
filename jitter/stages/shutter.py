"""The shutter: whether the camera sees the light."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Flags
from jitter.quantities import Basis, Mark, Quantity, sd
from jitter.stage import Stage

DECLARES = (
    Quantity(
        key="camera.shutter_opens_before",
        meaning="time from the open shutter to the first valve command",
        symbol="t_o",
        unit="s",
        nominal=0.5,
        lower=-60.0,
        upper=600.0,
        shot=sd(0.050),
        basis=Basis(Mark.ASSUMED),
    ),
    Quantity(
        key="camera.shutter_open",
        meaning="time for which the shutter stays open",
        symbol="t_e",
        unit="s",
        nominal=1.5,
        lower=1e-5,
        upper=3600.0,
        basis=Basis(Mark.ASSUMED, "the room is dark"),
    ),
)


class Light(NamedTuple):
    """The light that makes the picture."""

    no_light: Flags
    light_time: Array


def shutter(
    *,
    flash_time: Array,
    unlit: Flags,
    camera_shutter_opens_before: Array,
    camera_shutter_open: Array,
) -> Light:
    """Return when the light falls that makes the picture, if any does.

    The shutter is open or shut at the light's centroid; its own travel is neglected, which holds
    where it stays open far longer than it travels.

    Parameters
    ----------
    flash_time : array (s, n) [s]
        Centroid of the flash, NaN where it was not commanded.
    unlit : array (s, n) of bool
        Whether the flash stayed dark.
    camera_shutter_opens_before : array (s, n) [s]
        Opening to first valve command.
    camera_shutter_open : array (s, n) [s]
        Opening to closing.

    Returns
    -------
    no_light : array (s, n) of bool
        Whether the flash stayed dark or fell outside the shutter's opening.
    light_time : array (s, n) [s]
        NaN where the picture has no light.

    References
    ----------
    Closed form: times are compared.
    """
    after_opening = flash_time + camera_shutter_opens_before
    shut = (after_opening < 0.0) | (after_opening > camera_shutter_open)
    no_light = unlit | shut
    return Light(no_light=no_light, light_time=np.where(no_light, np.nan, flash_time))


STAGE = Stage(name="shutter", declares=DECLARES, work=shutter)
