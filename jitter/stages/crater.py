"""The crater that the first drop makes, from whose collapse the jet comes."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stage import Stage
from jitter.stages.drag import GRAVITY


class Crater(NamedTuple):
    """The size of the crater."""

    energy_length: Array


def crater(*, first_diameter: Array, impact_speed: Array) -> Crater:
    """Return the radius of the crater whose making takes the drop's kinetic energy.

    R_E = D (Fr/3)^(1/4) with Fr = U²/(g D), from the potential energy of a hemispherical crater.
    Surface energy, viscosity and the crown, which take a part of the energy, are neglected, so
    the real crater is smaller; Froude numbers well above 3.

    Parameters
    ----------
    first_diameter : array (s, n) [m]
    impact_speed : array (s, n) [m/s]

    Returns
    -------
    energy_length : array (s, n) [m]

    References
    ----------
    Engel 1966, J. Appl. Phys. 37, 3798; Pumphrey & Elmore 1990, J. Fluid Mech. 220, 539.
    """
    spread = np.sqrt(impact_speed / np.sqrt(3.0 * GRAVITY * first_diameter))
    return Crater(energy_length=first_diameter * spread)


STAGE = Stage(name="crater", work=crater)
