"""The numbers an engineer asks for, and how far a shot is from where the model is known to hold."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stage import Stage
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import Fall, fall_speed


class Regime(NamedTuple):
    """Dimensionless numbers at the first impact, and ratios to limits of the model."""

    froude: Array
    weber: Array
    reynolds: Array
    ohnesorge: Array
    bubble_lower: Array
    bubble_upper: Array
    depth_ratio: Array
    beam_ratio: Array
    beam_speed: Array
    sheet_weber: Array
    peak_share: Array
    blur_pixels: Array
    ghost_stops: Array


def regime(
    *,
    first_diameter: Array,
    impact_speed: Array,
    energy_length: Array,
    density: Array,
    viscosity: Array,
    surface_tension: Array,
    pool_depth: Array,
    sensor_width: Array,
    timer_start: str,
    start_time: Array,
    sensor_response: Array,
    first_release: Array,
    second_release: Array,
    first_fall: Fall,
    second_fall: Fall,
    second_diameter: Array,
    closing_speed: Array,
    meeting_time: Array,
    jet_emerges: Array,
    jet_peaks: Array,
    blur: Array,
    camera_pixel: float,
    camera_ambient: float,
    camera_iso: float,
    camera_shutter_open: Array,
    working_aperture: Array,
) -> Regime:
    """Return the dimensionless numbers of the first impact and the ratios that matter.

    They hold wherever their parts do; nothing further is neglected.

    Parameters
    ----------
    first_diameter : array (s, n) [m]
    impact_speed : array (s, n) [m/s]
    energy_length : array (s, n) [m]
    density : array (s, n) [kg/m3]
    viscosity : array (s, n) [Pa s]
    surface_tension : array (s, n) [N/m]
    pool_depth : array (s, n) [m]
    sensor_width : array (s, n) [m]
    timer_start : str
    start_time : array (s, n) [s]
    sensor_response : array (s, n) [s]
    first_release : array (s, n) [s]
    second_release : array (s, n) [s]
    first_fall
    second_fall
    second_diameter : array (s, n) [m]
    closing_speed : array (s, n) [m/s]
    meeting_time : array (s, n) [s]
    jet_emerges : array (s, n) [s]
    jet_peaks : array (s, n) [s]
    blur : array (s, n) [m]
    camera_pixel : float [m]
    camera_ambient : float [lx]
    camera_iso : float [1]
    camera_shutter_open : array (s, n) [s]
    working_aperture : array (s, n) [1]

    Returns
    -------
    froude : array (s, n) [1]
        U²/(g D).
    weber : array (s, n) [1]
        ρ U² D/σ.
    reynolds : array (s, n) [1]
        ρ U D/μ.
    ohnesorge : array (s, n) [1]
        √We/Re.
    bubble_lower, bubble_upper : array (s, n) [1]
        Weber numbers between which a bubble is regularly entrapped.
    depth_ratio : array (s, n) [1]
        Depth of the pool over the energy length.
    beam_ratio : array (s, n) [1]
        Width of the beam over the first drop's diameter.
    beam_speed : array (s, n) [m/s]
        Of the drop that starts the timer as it breaks the beam; NaN without such a drop.
    sheet_weber : array (s, n) [1]
        ρ U² D/σ of the meeting.
    peak_share : array (s, n) [1]
        When they meet in the jet's life: -1 as it emerges, 0 at its top, 1 as it is gone.
    blur_pixels : array (s, n) [1]
        Blur over the width of a pixel.
    ghost_stops : array (s, n) [1]
        Exposure by ambient light relative to a mid-grey picture, in stops; far below 0 is dark.

    References
    ----------
    Bubble band: Oguz & Prosperetti 1990, J. Fluid Mech. 219, 143; Pumphrey & Elmore 1990, J.
    Fluid Mech. 220, 539 (read second-hand). Ambient exposure: incident-light equation of ISO 2720
    with the constant 250 (read second-hand).
    """
    froude = impact_speed**2 / (GRAVITY * first_diameter)
    weber = density * impact_speed**2 * first_diameter / surface_tension
    reynolds = density * impact_speed * first_diameter / viscosity
    beam_speed = np.full((1, 1), np.nan)
    if timer_start != "valve":
        first = timer_start == "first drop"
        fall, release = (first_fall, first_release) if first else (second_fall, second_release)
        beam_speed = fall_speed(fall, start_time - sensor_response - release)
    with np.errstate(divide="ignore"):
        ghost = np.log2(
            camera_ambient * camera_iso * camera_shutter_open / (250.0 * working_aperture**2)
        )
    return Regime(
        froude=froude,
        weber=weber,
        reynolds=reynolds,
        ohnesorge=np.sqrt(weber) / reynolds,
        bubble_lower=41.3 * froude**0.179,
        bubble_upper=48.3 * froude**0.247,
        depth_ratio=pool_depth / energy_length,
        beam_ratio=sensor_width / first_diameter,
        beam_speed=beam_speed,
        sheet_weber=density * closing_speed**2 * second_diameter / surface_tension,
        peak_share=(meeting_time - jet_peaks) / (jet_peaks - jet_emerges),
        blur_pixels=blur / camera_pixel,
        ghost_stops=ghost,
    )


STAGE = Stage(name="regime", work=regime)
