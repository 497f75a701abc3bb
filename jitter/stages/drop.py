"""The two drops: how large they are."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Mark, Quantity, sd
from jitter.stage import Stage

SOLENOID_SCATTER = Basis(
    Mark.PUBLISHED,
    "solenoid dispensers 1.6 % (water), 4.5 % (66 % glycerol): Bammesberger et al. 2013, "
    "Micromachines 4, 9; below 3 % with feedback: Liu et al. 2013",
)
SMALLEST = np.pi / 6.0 * 0.5e-3**3
LARGEST = np.pi / 6.0 * 9e-3**3
USUAL = np.pi / 6.0 * 4.5e-3**3


def _volume(which: str) -> Quantity:
    return Quantity(
        key=f"valve.{which}_volume",
        meaning=f"volume of the {which} drop",
        symbol="V" + {"first": "₁", "second": "₂"}[which],
        unit="m3",
        nominal=USUAL,
        lower=SMALLEST,
        upper=LARGEST,
        setup=sd(0.03, relative=True),
        shot=sd(0.015, relative=True),
        basis=Basis(Mark.DERIVED, "a sphere of 4.5 mm"),
        setup_basis=SOLENOID_SCATTER,
        shot_basis=SOLENOID_SCATTER,
        together="valve.volume",
        diameter_key=f"valve.{which}_diameter",
    )


DECLARES = (_volume("first"), _volume("second"))


class Drops(NamedTuple):
    """Diameters of the spheres of the drops' volumes."""

    first_diameter: Array
    second_diameter: Array


def drops(
    *,
    valve_first_volume: Array,
    valve_second_volume: Array,
    first_flow: Array,
    second_flow: Array,
) -> Drops:
    """Return the diameters of the two drops as spheres.

    Oscillation after release is neglected; drops above about 7 mm break up on a long fall.

    Parameters
    ----------
    valve_first_volume : array (s, n) [m3]
        Volume of the first drop at the nominal head.
    valve_second_volume : array (s, n) [m3]
        Volume of the second.
    first_flow : array (s, n) [1]
        Flow relative to the nominal head's.
    second_flow : array (s, n) [1]
        The same for the second drop.

    Returns
    -------
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    """
    return Drops(
        first_diameter=np.cbrt(valve_first_volume * first_flow * (6.0 / np.pi)),
        second_diameter=np.cbrt(valve_second_volume * second_flow * (6.0 / np.pi)),
    )


STAGE = Stage(name="drop size", declares=DECLARES, work=drops)
