"""The camera: how sharp the picture on the camera's sensor is."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, within
from jitter.stage import Stage
from jitter.stages.fall import Fall, fall_speed

MOTION_WEIGHT = 1.1686
"""Disc of the same MTF50 as a streak of length 1."""
DIFFRACTION_WEIGHT = 1.7454
"""Disc of the same MTF50 as the diffraction pattern, in units of λ N."""

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
        key="camera.pupil_ratio",
        meaning="exit pupil over entrance pupil of the lens",
        symbol="P",
        unit="1",
        nominal=1.0,
        lower=0.1,
        upper=10.0,
        basis=Basis(Mark.ASSUMED, "a symmetrical lens"),
    ),
    Quantity(
        key="camera.iso",
        meaning="speed setting of the camera (ISO)",
        symbol="S",
        unit="1",
        nominal=200.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED),
    ),
    Quantity(
        key="camera.wavelength",
        meaning="wavelength of the light, for diffraction",
        symbol="λ",
        unit="m",
        nominal=0.55e-6,
        lower=0.2e-6,
        upper=2e-6,
        basis=Basis(Mark.COMMON, "green, the middle of white light"),
    ),
    Quantity(
        key="camera.focus",
        meaning="plane of focus towards the camera from the fall line",
        symbol="y_f",
        unit="m",
        nominal=0.0,
        lower=-0.5,
        upper=0.5,
        setup=within(0.001),
        basis=Basis(Mark.COMMON, "focused on a rod held in the fall line"),
    ),
    Quantity(
        key="camera.pixel",
        meaning="width of a pixel of the camera's sensor",
        symbol="p_x",
        unit="m",
        nominal=6e-6,
        lower=0.5e-6,
        upper=50e-6,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "24 million pixels on 36 by 24 mm"),
    ),
    Quantity(
        key="camera.ambient",
        meaning="light in the dark room, on the subject",
        symbol="E_a",
        unit="lx",
        nominal=0.05,
        lower=0.0,
        upper=1e5,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "a shaded lamp in a corner"),
    ),
)


class Picture(NamedTuple):
    """Blur."""

    motion_blur: Array
    defocus_blur: Array
    diffraction_blur: Array
    blur: Array


def effective_aperture(
    *, camera_aperture: Array, camera_magnification: Array, camera_pupil_ratio: Array
) -> Array:
    """Return the working aperture number N (1 + m/P) [1].

    Holds at any magnification of a lens that is focused by moving the whole of it; that lenses
    which focus inside change their focal length on the way is neglected.

    Parameters
    ----------
    camera_aperture : array (s, n) [1]
    camera_magnification : array (s, n) [1]
    camera_pupil_ratio : array (s, n) [1]

    References
    ----------
    Close-up rule of photographic optics; common practice, no source.

    Examples
    --------
    >>> one = np.ones(())
    >>> float(effective_aperture(
    ...     camera_aperture=8 * one, camera_magnification=one, camera_pupil_ratio=one))
    16.0
    """
    return camera_aperture * (1.0 + camera_magnification / camera_pupil_ratio)


def picture(
    *,
    camera_magnification: Array,
    camera_aperture: Array,
    camera_pupil_ratio: Array,
    camera_wavelength: Array,
    camera_focus: Array,
    valve_scatter: Array,
    light_time: Array,
    flash_duration: Array,
    age: Array,
    rim_speed: Array,
    second_fall: Fall,
    second_release: Array,
) -> Picture:
    """Return the blur on the camera's sensor.

    Motion: m v t0.1, v being the rim's speed after the meeting and the falling drop's before it
    (t0.1 is 0 to 22 % longer than the streak of the same MTF50 for every cut exponential).
    Defocus: a disc m² |y - y_f| / N_eff. Diffraction: the disc of equal MTF50, 1.7454 λ N_eff.
    Together √((1.1686 motion)² + defocus² + diffraction²), within 8 % of the product of the
    transfer functions; lens faults and the camera's pixels are neglected.

    Parameters
    ----------
    camera_magnification : array (s, n) [1]
    camera_aperture : array (s, n) [1]
    camera_pupil_ratio : array (s, n) [1]
    camera_wavelength : array (s, n) [m]
    camera_focus : array (s, n) [m]
    valve_scatter : array (2, 2, s, n) [m]
        The second drop's y is where the sheet stands.
    light_time : array (s, n) [s]
    flash_duration : array (s, n) [s]
        t0.1.
    age : array (s, n) [s]
    rim_speed : array (s, n) [m/s]
    second_fall
    second_release : array (s, n) [s]

    Returns
    -------
    motion_blur : array (s, n) [m]
        Of equal MTF50 as a disc; NaN without age.
    defocus_blur : array (s, n) [m]
        Negative where the sheet stands behind the plane of focus.
    diffraction_blur : array (s, n) [m]
    blur : array (s, n) [m]
        All parts together; NaN without age.

    References
    ----------
    Discs of equal MTF50: derived from the transfer functions sin(x)/x, 2 J1(x)/x and that of a lens
    without faults; held against them in `jitter.validation.pictures`. t0.1: ISO 2827:1988 (read
    second-hand).
    """
    speed = rim_speed
    before = age < 0.0
    if before.any():
        falling = fall_speed(second_fall, light_time - second_release)
        speed = np.where(before, falling, rim_speed)
    working = effective_aperture(
        camera_aperture=camera_aperture,
        camera_magnification=camera_magnification,
        camera_pupil_ratio=camera_pupil_ratio,
    )
    motion = (MOTION_WEIGHT * camera_magnification) * flash_duration * speed
    defocus = (camera_magnification**2 / working) * (valve_scatter[1, 1] - camera_focus)
    diffraction = DIFFRACTION_WEIGHT * camera_wavelength * working
    return Picture(
        motion_blur=motion,
        defocus_blur=defocus,
        diffraction_blur=diffraction,
        blur=np.sqrt(motion**2 + defocus**2 + diffraction**2),
    )


STAGE = Stage(name="picture", declares=DECLARES, work=picture)
