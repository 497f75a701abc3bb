"""The lens: how large it draws, how much light it lets through, how deep it is sharp."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity
from jitter.stage import Stage

CIRCLES = 1200.0
"""So many circles of confusion to the width of the frame, where the study gives none."""

DECLARES = (
    Quantity(
        key="camera.magnification",
        meaning="size on the camera's sensor over real size",
        symbol="m",
        unit="1",
        nominal=0.4,
        lower=0.01,
        upper=10.0,
        basis=Basis(Mark.ASSUMED, "a sheet of some centimetres fills the frame"),
    ),
    Quantity(
        key="camera.field_width",
        meaning="how much of a ruler in the plane of focus the frame is wide",
        symbol="W",
        unit="m",
        nominal=None,
        sample=0.09,
        lower=0.5e-3,
        upper=20.0,
        basis=Basis(Mark.DERIVED, "width of the frame over the magnification"),
        instead=("camera.magnification",),
    ),
    Quantity(
        key="camera.frame_width",
        meaning="width of the camera's sensor",
        symbol="w",
        unit="m",
        nominal=36e-3,
        lower=2e-3,
        upper=0.3,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "the full frame, 36 by 24 mm"),
    ),
    Quantity(
        key="camera.circle_of_confusion",
        meaning="largest disc on the camera's sensor that passes for a point",
        symbol="c",
        unit="m",
        nominal=None,
        sample=30e-6,
        lower=0.5e-6,
        upper=1e-3,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "width of the frame over 1200: 30 µm on the full frame"),
    ),
    Quantity(
        key="camera.focal_length",
        meaning="focal length of the lens as it is focused",
        symbol="f",
        unit="m",
        nominal=None,
        sample=0.1,
        lower=1e-3,
        upper=2.0,
        basis=Basis(Mark.ASSUMED, "nothing but the working distance hangs on it"),
    ),
    Quantity(
        key="camera.aperture",
        meaning="aperture number set on the lens",
        symbol="N",
        unit="1",
        nominal=13.0,
        lower=0.7,
        upper=128.0,
        basis=Basis(Mark.COMMON, "stopped down for depth of field"),
    ),
    Quantity(
        key="camera.widest_aperture",
        meaning="smallest aperture number that the lens has",
        symbol="N_w",
        unit="1",
        nominal=None,
        sample=2.8,
        lower=0.7,
        upper=128.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "f/2.8 where a question needs it"),
    ),
    Quantity(
        key="camera.narrowest_aperture",
        meaning="largest aperture number that the lens has",
        symbol="N_n",
        unit="1",
        nominal=None,
        sample=22.0,
        lower=0.7,
        upper=128.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "f/32 where a question needs it"),
    ),
    Quantity(
        key="camera.pupil_ratio",
        meaning="exit pupil over entrance pupil of the lens",
        symbol="P",
        unit="1",
        nominal=1.0,
        lower=0.1,
        upper=10.0,
        basis=Basis(Mark.ASSUMED, "a symmetrical lens"),
    ),
)


class Lens(NamedTuple):
    """What the lens does to size, light and depth."""

    magnification: Array
    working_aperture: Array
    circle_of_confusion: Array
    depth_of_field: Array
    working_distance: Array


def lens(
    *,
    camera_magnification: Array | None,
    camera_field_width: Array | None,
    camera_frame_width: float,
    camera_circle_of_confusion: float | None,
    camera_focal_length: Array | None,
    camera_aperture: Array,
    camera_pupil_ratio: Array,
) -> Lens:
    """Return the magnification, the working aperture and the depth of field.

    The magnification is the given one, or the width of the frame over that of the field. The
    working aperture is N (1 + m/P). A point is sharp where its disc is no wider than the circle of
    confusion c: over a depth of 2 c N (1 + m/P)/m² / (1 - (c N/(f m))²), whose last factor is left
    out where no focal length is given; it is 1.002 at m = 0.1 with a lens of 100 mm at f/13, and
    the depth has no end once c N reaches f m. The working distance, from the plane of focus to the
    front principal plane, is f (1 + 1/m). Holds at any magnification; that lenses which focus
    inside change their focal length on the way, and the faults of lenses, are neglected.

    Parameters
    ----------
    camera_magnification : array (s, n) [1]
        None where the field's width is given.
    camera_field_width : array (s, n) [m]
        None where the magnification is given.
    camera_frame_width : float [m]
    camera_circle_of_confusion : float [m]
        None for the frame's width over 1200.
    camera_focal_length : array (s, n) [m]
        None where it is not known.
    camera_aperture : array (s, n) [1]
    camera_pupil_ratio : array (s, n) [1]

    Returns
    -------
    magnification : array (s, n) [1]
    working_aperture : array (s, n) [1]
        N (1 + m/P).
    circle_of_confusion : array (s, n) [m]
    depth_of_field : array (s, n) [m]
        From the nearest to the farthest sharp point; infinite where nothing behind is unsharp.
    working_distance : array (s, n) [m]
        NaN without a focal length.

    References
    ----------
    Close-up rule and circle of confusion: common practice, no source. Depth of field: closed form
    of the thin lens with pupils, held against ray geometry in `jitter.validation.lenses`.
    """
    if camera_field_width is not None:
        size = camera_frame_width / camera_field_width
    else:
        size = np.asarray(camera_magnification)
    working = camera_aperture * (1.0 + size / camera_pupil_ratio)
    circle = camera_circle_of_confusion
    disc = np.full((1, 1), camera_frame_width / CIRCLES if circle is None else circle)
    depth = 2.0 * disc * working / size**2
    if camera_focal_length is None:
        return Lens(size, working, disc, depth, np.full((1, 1), np.nan))
    left = 1.0 - (disc * camera_aperture / (camera_focal_length * size)) ** 2
    with np.errstate(divide="ignore"):
        depth = depth / np.maximum(left, 0.0)
    return Lens(size, working, disc, depth, camera_focal_length * (1.0 + 1.0 / size))


STAGE = Stage(name="lens", declares=DECLARES, work=lens)
