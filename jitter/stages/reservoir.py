"""The reservoir above the valve: its head drives the drop, so its head makes the drop's size."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Choice, Kind, Mark, Quantity, within
from jitter.stage import Stage

LEAST_FLOW = 0.05
"""A reservoir that runs empty stops dripping; a twentieth of the flow stands for nearly so."""

DECLARES = (
    Quantity(
        key="reservoir.head",
        meaning="height of the liquid above the valve",
        symbol="h",
        unit="m",
        nominal=0.150,
        lower=0.005,
        upper=5.0,
        setup=within(0.002),
        basis=Basis(Mark.ASSUMED, "a small bottle on a stand"),
    ),
    Quantity(
        key="reservoir.bore",
        meaning="inner width of the reservoir",
        symbol="d",
        unit="m",
        nominal=0.060,
        lower=0.002,
        upper=2.0,
        basis=Basis(Mark.ASSUMED, "a small bottle"),
    ),
    Choice(
        key="reservoir.constant_head",
        meaning="whether an air tube keeps the head constant",
        options=("yes", "no"),
        nominal="yes",
        basis=Basis(Mark.PUBLISHED, "Mariotte's bottle: McCarthy 1934, Science 80, 100"),
    ),
    Quantity(
        key="session.frames",
        meaning="frames shot before the rig is touched again",
        symbol="N_f",
        unit="1",
        nominal=100.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        whole=True,
        basis=Basis(Mark.ASSUMED, "an evening"),
    ),
)


class Reservoir(NamedTuple):
    """The flow into each drop, relative to the flow at the nominal head."""

    first_flow: Array
    second_flow: Array


def reservoir(
    *,
    reservoir_head: Array,
    reservoir_head_nominal: float,
    reservoir_bore: Array,
    reservoir_constant_head: str,
    first_dose_nominal: float,
    second_dose_nominal: float,
    frame_number: Array,
) -> Reservoir:
    """Return the flow into each drop relative to the flow at the nominal head.

    Torricelli's law: the flow goes with the square root of the head, where inertia rules it, from
    Reynolds numbers of some hundreds on. In an open reservoir the root falls linearly with the
    volume drawn, V_k / V_0 = 1 - k V_0 / (2 A h_0), to first order in the level's fall, V_0 being
    the drop at the head h_0 of the session's start; refilling, the valve's own resistance, and
    errors of the dose in what was drawn before are neglected.

    Parameters
    ----------
    reservoir_head : array (s, n) [m]
        Head when the session starts.
    reservoir_head_nominal : float [m]
        The head for which the doses are stated.
    reservoir_bore : array (s, n) [m]
        Inner width of the reservoir.
    reservoir_constant_head : str
        "yes" or "no".
    first_dose_nominal : float [m3]
        Drawn by the first drop of a frame.
    second_dose_nominal : float [m3]
        Drawn by the second.
    frame_number : array (1, n) [1]
        Frames shot before this one.

    Returns
    -------
    first_flow : array (s, n) [1]
    second_flow : array (s, n) [1]

    References
    ----------
    Torricelli's law, as in Unwin 1911, Hydraulics, Encyclopaedia Britannica 14, article 17; the
    fall of the level is a closed form. Constant head: McCarthy 1934, Science 80, 100.
    """
    flow = np.sqrt(reservoir_head / reservoir_head_nominal)
    if reservoir_constant_head == "yes":
        return Reservoir(first_flow=flow, second_flow=flow)
    area = 0.25 * np.pi * reservoir_bore**2
    both = first_dose_nominal + second_dose_nominal
    before_first = frame_number * both
    before_second = before_first + first_dose_nominal
    first = np.maximum(1.0 - flow * before_first / (2.0 * area * reservoir_head), LEAST_FLOW)
    second = np.maximum(1.0 - flow * before_second / (2.0 * area * reservoir_head), LEAST_FLOW)
    return Reservoir(first_flow=flow * first, second_flow=flow * second)


STAGE = Stage(name="reservoir", declares=DECLARES, work=reservoir)
