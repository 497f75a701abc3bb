"""The camera: how sharp the picture on the camera's sensor is."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, within
from jitter.stage import Stage
from jitter.stages.fall import Fall, fall_of, fall_speed

MOTION_WEIGHT = 1.1686
"""Disc of the same MTF50 as a streak of length 1."""
DIFFRACTION_WEIGHT = 1.7454
"""Disc of the same MTF50 as the diffraction pattern, in units of λ N."""
PAIR_WEIGHT = 1.8101
"""Streak of the same MTF50 as a pair of points a distance 1 apart."""

DECLARES = (
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
    Quantity(
        key="keeper.depth",
        meaning="depth to either side of the sheet's middle that must be sharp",
        symbol="y_k",
        unit="m",
        nominal=0.0,
        lower=0.0,
        upper=0.5,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "the rim to the left and the right alone"),
    ),
)


class Picture(NamedTuple):
    """Blur."""

    motion_blur: Array
    defocus_blur: Array
    diffraction_blur: Array
    blur: Array
    depth_blur: Array
    edge_gap: Array


def picture(
    *,
    magnification: Array,
    working_aperture: Array,
    camera_wavelength: Array,
    camera_focus: Array,
    keeper_depth: float,
    valve_scatter: Array,
    light_time: Array,
    flash_duration: Array,
    flash_gap: Array,
    age: Array,
    rim_speed: Array,
    second_fall: Fall,
    second_release: Array,
) -> Picture:
    """Return the blur on the camera's sensor.

    Motion: m v t0.1, v being the rim's speed after the meeting and the falling drop's before it
    (t0.1 is 0 to 22 % longer than the streak of the same MTF50 for every cut exponential, and 18 %
    shorter for a voltage-controlled pulse with its long tail); flashes a time Δ apart draw every
    edge twice, m v Δ apart, which blurs as a streak 1.8101 times as long does: √(t0.1² + (1.8101
    Δ)²), within 5 % of the product of the transfer functions.
    Defocus: a disc m² |y - y_f| / N_eff. Diffraction: the disc of equal MTF50, 1.7454 λ N_eff.
    Together √((1.1686 motion)² + defocus² + diffraction²), within 8 % of the product of the
    transfer functions. The rim nearest to the camera and the one farthest from it move along the
    line of sight: they blur by defocus and diffraction alone. Lens faults and the camera's pixels
    are neglected.

    Parameters
    ----------
    magnification : array (s, n) [1]
    working_aperture : array (s, n) [1]
    camera_wavelength : array (s, n) [m]
    camera_focus : array (s, n) [m]
    keeper_depth : float [m]
        To either side of the sheet's middle.
    valve_scatter : array (2, 2, s, n) [m]
        The second drop's y is where the sheet stands.
    light_time : array (s, n) [s]
    flash_duration : array (s, n) [s]
        t0.1 of each flash.
    flash_gap : array (s, n) [s]
        From the first flash's light to the last one's.
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
    depth_blur : array (s, n) [m]
        Defocus and diffraction at the end of the wanted depth that is farther out of focus.
    edge_gap : array (s, n) [m]
        Between the two edges that several flashes draw; 0 for one.

    References
    ----------
    Discs of equal MTF50: derived from the transfer functions sin(x)/x, 2 J1(x)/x, that of a lens
    without faults and |cos(x)| of a pair; held against them in `jitter.validation.pictures`. t0.1:
    ISO 2827:1988 (read second-hand).
    """
    speed = rim_speed
    if (age < 0.0).any():
        # Few frames as a rule, so only their drops are looked at.
        before, rim = np.broadcast_arrays(age < 0.0, rim_speed)
        few = np.flatnonzero(before)
        elapsed = np.broadcast_to(light_time - second_release, before.shape).take(few)
        speed = rim.copy()
        speed.put(few, fall_speed(fall_of(second_fall, before), elapsed))
    apart = flash_gap.any()
    length = np.hypot(flash_duration, PAIR_WEIGHT * flash_gap) if apart else flash_duration
    motion = (MOTION_WEIGHT * magnification) * length * speed
    out_of_focus = magnification**2 / working_aperture
    defocus = out_of_focus * (valve_scatter[1, 1] - camera_focus)
    diffraction = DIFFRACTION_WEIGHT * camera_wavelength * working_aperture
    farthest = np.abs(defocus) + out_of_focus * keeper_depth
    return Picture(
        motion_blur=motion,
        defocus_blur=defocus,
        diffraction_blur=diffraction,
        blur=np.sqrt(motion**2 + defocus**2 + diffraction**2),
        depth_blur=np.sqrt(farthest**2 + diffraction**2),
        edge_gap=magnification * flash_gap * speed if apart else flash_gap,
    )


STAGE = Stage(name="picture", declares=DECLARES, work=picture)
