"""The jet that the first drop's crater throws up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Level, Mark, Quantity, sd
from jitter.stage import Adapted, Stage
from jitter.stages.drag import GRAVITY
from jitter.stages.liquid import nominal_liquid

WORTHINGTON = Basis(
    Mark.DERIVED,
    "our fit to the photographs of Worthington 1895, The Splash of a Drop, and 1908, A Study of "
    "Splashes; they cover Froude numbers from 106 to 163",
)
EMERGES, PEAKS, GONE = 1.48, 3.27, 5.06
HEIGHT = 2.0
THICK = 5e-3
"""Viscosity [Pa s] above which nothing behind the law speaks for the liquid."""
THICK_TIME, THICK_HEIGHT = 0.15, 0.50
THICK_BASIS = Basis(
    Mark.ASSUMED, "wide, because the law was found with thin liquids: measure your jet"
)

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
        key="jet.time",
        meaning="time from the first drop's landing to the jet's top, if measured",
        symbol="t_j",
        unit="s",
        nominal=None,
        lower=0.005,
        upper=1.0,
        setup=sd(0.003),
        shot=sd(0.02, relative=True),
        basis=Basis(Mark.ASSUMED),
        setup_basis=Basis(Mark.ASSUMED, "read from frames a few milliseconds apart"),
        instead=("jet.time_scale",),
    ),
    Quantity(
        key="jet.height",
        meaning="height of the jet's top above the surface, if measured",
        symbol="H",
        unit="m",
        nominal=None,
        lower=0.001,
        upper=0.5,
        setup=sd(0.05, relative=True),
        shot=sd(0.05, relative=True),
        basis=Basis(Mark.ASSUMED),
        setup_basis=Basis(Mark.ASSUMED, "read from a frame with a scale in it"),
        instead=("jet.height_scale",),
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

    jet_emerges: Array
    jet_peaks: Array
    jet_gone: Array
    jet_top: Array


def jet(
    *,
    energy_length: Array,
    energy_length_nominal: float,
    first_landing: Array,
    jet_time_scale: Array | None,
    jet_height_scale: Array | None,
    jet_time: Array | None,
    jet_height: Array | None,
) -> Jet:
    """Return when the jet emerges, peaks and is gone, and how high it rises.

    With s0 = √(R_E/g): emerges at 1.48 s0, peaks at 3.27 s0, gone at 5.06 s0 after landing,
    height 2.0 R_E; the tip moves along the parabola through these. Where the user measured the
    time or the height of the top, the measurement stands for the law at the nominal crater and
    goes with R_E as the law does. Water and milk, Froude numbers 106 to 163; outside them an
    extrapolation. Viscosity, pool depth and bubble entrapment, which change the jet, are
    neglected here and warned of.

    Parameters
    ----------
    energy_length : array (s, n) [m]
    energy_length_nominal : float [m]
    first_landing : array (s, n) [s]
    jet_time_scale : array (s, n) [1]
        Multiplies the times, or None where the time was measured.
    jet_height_scale : array (s, n) [1]
        Multiplies the height, or None where it was measured.
    jet_time : array (s, n) [s]
        Measured time from landing to top, or None.
    jet_height : array (s, n) [m]
        Measured height of the top, or None.

    Returns
    -------
    jet_emerges : array (s, n) [s]
    jet_peaks : array (s, n) [s]
    jet_gone : array (s, n) [s]
    jet_top : array (s, n) [m]
        Height of the top above the surface.

    References
    ----------
    Our fit to Worthington 1895, The Splash of a Drop, and 1908, A Study of Splashes.
    """
    if jet_time is not None:
        pace = np.sqrt(energy_length * (1.0 / energy_length_nominal)) * (jet_time / PEAKS)
    else:
        pace = np.sqrt(energy_length * (1.0 / GRAVITY)) * _given(jet_time_scale)
    if jet_height is not None:
        top = energy_length * (jet_height / energy_length_nominal)
    else:
        top = (HEIGHT * energy_length) * _given(jet_height_scale)
    return Jet(
        jet_emerges=first_landing + EMERGES * pace,
        jet_peaks=first_landing + PEAKS * pace,
        jet_gone=first_landing + GONE * pace,
        jet_top=top,
    )


def _given(scale: Array | None) -> Array:
    if scale is None:
        raise ValueError("the jet needs a scale or a measurement")
    return scale


def widen_for_thick(nominals: Mapping[str, Any]) -> Adapted:
    """Return wide set-up spreads for the law's scales [1] where the liquid is thick.

    Above 5 mPa s, all of them alike; how the jet changes with viscosity is neglected. Assumed.

    Parameters
    ----------
    nominals
        Of every value, by argument.
    """
    if nominal_liquid(nominals).viscosity <= THICK:
        return {}
    return {
        ("jet.time_scale", Level.SETUP): (sd(THICK_TIME, relative=True), THICK_BASIS),
        ("jet.height_scale", Level.SETUP): (sd(THICK_HEIGHT, relative=True), THICK_BASIS),
    }


STAGE = Stage(name="jet", declares=DECLARES, work=jet, adapt=widen_for_thick)
