"""The jet that the first drop's crater throws up."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, sd
from jitter.stage import Stage
from jitter.stages.drag import GRAVITY

WORTHINGTON = Basis(
    Mark.DERIVED,
    "our fit to the photographs of Worthington 1895, The Splash of a Drop, and 1908, A Study of "
    "Splashes; they cover Froude numbers from 106 to 163",
)
EMERGES, PEAKS, GONE = 1.48, 3.27, 5.06
HEIGHT = 2.0

DECLARES = (
    Quantity(
        key="jet.time_scale",
        meaning="how slow the jet is against the law",
        symbol="s_t",
        unit="1",
        nominal=1.0,
        lower=0.2,
        upper=5.0,
        setup=sd(0.04, relative=True),
        shot=sd(0.02, relative=True),
        basis=WORTHINGTON,
        setup_basis=Basis(
            Mark.DERIVED,
            "spread of Worthington's series about the emergence; the top of his Series I came 17 %"
            " before the law's",
        ),
    ),
    Quantity(
        key="jet.height_scale",
        meaning="how high the jet is against the law",
        symbol="s_h",
        unit="1",
        nominal=1.0,
        lower=0.05,
        upper=10.0,
        setup=sd(0.20, relative=True),
        shot=sd(0.05, relative=True),
        basis=WORTHINGTON,
        setup_basis=Basis(Mark.DERIVED, "spread of Worthington's series"),
    ),
    Quantity(
        key="jet.lean",
        meaning="sideways error of the jet's tip, each direction",
        symbol="l",
        unit="m",
        nominal=0.0,
        lower=-0.1,
        upper=0.1,
        kind=Kind.ERROR,
        shot=sd(0.0003),
        per_axis=True,
        basis=Basis(Mark.ASSUMED, "the jet stands upright on average"),
    ),
    Quantity(
        key="jet.head_ratio",
        meaning="width of the jet's head against the first drop",
        symbol="r_j",
        unit="1",
        nominal=1.4,
        lower=0.1,
        upper=5.0,
        basis=Basis(
            Mark.PUBLISHED, "1.3 to 1.5: Worthington 1908, A Study of Splashes, Series I-a"
        ),
    ),
)


class Jet(NamedTuple):
    """The jet's times, counted from the first valve command, and its height."""

    energy_length: Array
    jet_emerges: Array
    jet_peaks: Array
    jet_gone: Array
    jet_height: Array


def energy_length(*, diameter: Array, impact_speed: Array) -> Array:
    """Return the radius of the crater whose making takes the drop's kinetic energy [m].

    R_E = D (Fr/3)^(1/4) with Fr = U²/(g D), from the potential energy of a hemispherical crater.
    Surface energy, viscosity and the crown are neglected, so the real crater is smaller.

    Parameters
    ----------
    diameter : array (s, n) [m]
        Of the drop.
    impact_speed : array (s, n) [m/s]

    References
    ----------
    Engel 1966, J. Appl. Phys. 37, 3798; Pumphrey & Elmore 1990, J. Fluid Mech. 220, 539.
    """
    length: Array = diameter * np.sqrt(impact_speed / np.sqrt(3.0 * GRAVITY * diameter))
    return length


def jet(
    *,
    first_diameter: Array,
    impact_speed: Array,
    first_landing: Array,
    jet_time_scale: Array,
    jet_height_scale: Array,
) -> Jet:
    """Return when the jet emerges, peaks and is gone, and how high it rises.

    With s0 = √(R_E/g): emerges at 1.48 s0, peaks at 3.27 s0, gone at 5.06 s0 after landing,
    height 2.0 R_E; the tip moves along the parabola through these. Water and milk, Froude
    numbers 106 to 163; outside them an extrapolation. Viscosity, pool depth and bubble
    entrapment, which change the jet, are neglected here and warned of.

    Parameters
    ----------
    first_diameter : array (s, n) [m]
    impact_speed : array (s, n) [m/s]
    first_landing : array (s, n) [s]
    jet_time_scale : array (s, n) [1]
        Multiplies the times.
    jet_height_scale : array (s, n) [1]
        Multiplies the height.

    Returns
    -------
    energy_length : array (s, n) [m]
    jet_emerges : array (s, n) [s]
    jet_peaks : array (s, n) [s]
    jet_gone : array (s, n) [s]
    jet_height : array (s, n) [m]

    References
    ----------
    Our fit to Worthington 1895, The Splash of a Drop, and 1908, A Study of Splashes.
    """
    length = energy_length(diameter=first_diameter, impact_speed=impact_speed)
    pace = np.sqrt(length * (1.0 / GRAVITY)) * jet_time_scale
    return Jet(
        energy_length=length,
        jet_emerges=first_landing + EMERGES * pace,
        jet_peaks=first_landing + PEAKS * pace,
        jet_gone=first_landing + GONE * pace,
        jet_height=(HEIGHT * length) * jet_height_scale,
    )


STAGE = Stage(name="jet", declares=DECLARES, work=jet)
