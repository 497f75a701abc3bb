"""The two drops: how large they are."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stage import Stage


class Drops(NamedTuple):
    """Diameters of the spheres of the drops' volumes."""

    first_diameter: Array
    second_diameter: Array


def drops(
    *,
    first_dose: Array,
    second_dose: Array,
    first_flow: Array,
    second_flow: Array,
) -> Drops:
    """Return the diameters of the two drops as spheres.

    Evaporation is neglected; drops above about 7 mm break up on a long fall.

    Parameters
    ----------
    first_dose : array (s, n) [m3]
        Volume of the first drop at the nominal head.
    second_dose : array (s, n) [m3]
        Volume of the second.
    first_flow : array (s, n) [1]
        Flow relative to the nominal head's.
    second_flow : array (s, n) [1]
        The same for the second drop.

    Returns
    -------
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]

    References
    ----------
    Closed form: V = π D³/6.
    """
    return Drops(
        first_diameter=np.cbrt(first_dose * (first_flow * (6.0 / np.pi))),
        second_diameter=np.cbrt(second_dose * (second_flow * (6.0 / np.pi))),
    )


STAGE = Stage(name="drop size", work=drops)
