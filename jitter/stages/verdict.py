"""The verdict: whether a frame is a keeper, and if not, why."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from jitter.arrays import Array, Codes, Flags
from jitter.quantities import Basis, Kind, Mark, Quantity, Window
from jitter.stage import Stage

REASONS = (
    "no start",
    "no light",
    "no jet",
    "passed aside",
    "early",
    "late",
    "lopsided",
    "wrong exposure",
    "smeared",
    "soft",
)
"""Why a frame is not a keeper, in causal order: the first that is true is *the* reason."""

KEEPER = len(REASONS)
"""The code of a keeper, one past the last reason."""

_BITS = tuple(np.uint16(1 << place) for place in range(KEEPER))
# The lowest set bit of every pattern of reasons; the empty pattern is a keeper.
_FIRST = np.array(
    [KEEPER] + [(bits & -bits).bit_length() - 1 for bits in range(1, 2**KEEPER)], dtype=np.uint8
)

DECLARES = (
    Window(
        key="keeper.age",
        meaning="age of the sheet that the photographer wants",
        symbol="a",
        unit="s",
        nominal=(0.002, 0.010),
        lower=-0.1,
        upper=0.5,
        basis=Basis(Mark.ASSUMED, "what the photographer wants"),
    ),
    Quantity(
        key="keeper.off_centre",
        meaning="largest off-centre B of a keeper",
        symbol="B",
        unit="1",
        nominal=0.25,
        lower=0.0,
        upper=1.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.MEMORY, "above 0.2 to 0.3 the sheet lops"),
    ),
    Quantity(
        key="keeper.blur",
        meaning="largest blur of a keeper on the camera's sensor",
        symbol="b",
        unit="m",
        nominal=90e-6,
        lower=1e-6,
        upper=0.01,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "three circles of confusion of 30 µm"),
    ),
    Quantity(
        key="keeper.exposure",
        meaning="largest exposure error of a keeper, either way",
        symbol="ΔE",
        unit="stop",
        nominal=0.5,
        lower=0.0,
        upper=10.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "what a raw file forgives"),
    ),
)


class Verdict(NamedTuple):
    """The verdict on each frame."""

    reason: Codes
    reasons: NDArray[np.uint16]


def verdict(
    *,
    start_time: Array,
    no_light: Flags,
    jet_stands: Flags,
    off_centre: Array,
    age: Array,
    exposure: Array,
    motion_blur: Array,
    blur: Array,
    depth_blur: Array,
    keeper_age: tuple[float, float],
    keeper_off_centre: float,
    keeper_blur: float,
    keeper_exposure: float,
) -> Verdict:
    """Return why each frame is not a keeper.

    Comparisons with NaN are false: what did not happen is neither early nor soft. That frames
    differ in how good they are within the limits, and whatever else may spoil one (drops on the
    lens, waves, what stands in the background), is neglected.

    Parameters
    ----------
    start_time : array (s, n) [s]
        NaN: no start.
    no_light : array (s, n) of bool
    jet_stands : array (s, n) of bool
    off_centre : array (s, n) [1]
    age : array (s, n) [s]
    exposure : array (s, n) [1]
        Relative to a right one.
    motion_blur : array (s, n) [m]
    blur : array (s, n) [m]
    depth_blur : array (s, n) [m]
    keeper_age : pair [s]
        Window of the age.
    keeper_off_centre : float [1]
    keeper_blur : float [m]
    keeper_exposure : float [stop]

    Returns
    -------
    reason : array (s, n) of codes
        Index into `REASONS`, or `KEEPER`.
    reasons : array (s, n) of bits
        Bit k is set where `REASONS[k]` is true.

    References
    ----------
    What a keeper is, is the photographer's word; common practice, no source.
    """
    tests = (
        np.isnan(start_time),
        no_light,
        ~jet_stands,
        off_centre >= 1.0,
        age < keeper_age[0],
        age > keeper_age[1],
        off_centre > keeper_off_centre,
        (exposure < 2.0**-keeper_exposure) | (exposure > 2.0**keeper_exposure),
        motion_blur > keeper_blur,
        # NaN where there is no sheet, whose depth then is not soft either.
        np.maximum(blur, depth_blur) > keeper_blur,
    )
    shape = np.broadcast_shapes(*(test.shape for test in tests))
    bits = np.zeros(shape, dtype=np.uint16)
    for bit, test in zip(_BITS, tests, strict=True):
        bits |= test * bit
    return Verdict(reason=_FIRST.take(bits), reasons=bits)


STAGE = Stage(name="verdict", declares=DECLARES, work=verdict)
