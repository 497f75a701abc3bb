"""The session: how far into it a frame is shot."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity
from jitter.stage import Stage

DECLARES = (
    Quantity(
        key="session.cadence",
        meaning="time from one frame to the next",
        symbol="T_f",
        unit="s",
        nominal=15.0,
        lower=0.1,
        upper=86400.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "time for the surface to calm"),
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


class Session(NamedTuple):
    """The place of each frame in the session."""

    frame_number: Array


def session(*, session_frames: float, progress: Array) -> Session:
    """Return how many frames of the set-up were shot before each frame.

    Parameters
    ----------
    session_frames : float [1]
        Frames of a set-up.
    progress : array (1, n) [1]
        Share of the set-up's shots that lie before this one.

    Returns
    -------
    frame_number : array (1, n) [1]
        The simulated shots are spread evenly over the session, however many there are.
    """
    # A hair more than nothing, so that a border that is exact in decimals is not missed.
    return Session(frame_number=np.floor(progress * session_frames + 1e-9))


STAGE = Stage(name="session", declares=DECLARES, work=session)
