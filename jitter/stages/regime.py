"""The numbers an engineer asks for, and how far a shot is from where the model is known to hold."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.stage import Stage
from jitter.stages.camera import effective_aperture
from jitter.stages.drag import GRAVITY


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
    camera_ambient: float,
    camera_iso: float,
    camera_shutter_open: Array,
    camera_aperture: Array,
    camera_magnification: Array,
    camera_pupil_ratio: Array,
) -> Regime:
    """Return the dimensionless numbers of the first impact and the ratios that matter.

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
    camera_ambient : float [lx]
    camera_iso : float [1]
    camera_shutter_open : array (s, n) [s]
    camera_aperture : array (s, n) [1]
    camera_magnification : array (s, n) [1]
    camera_pupil_ratio : array (s, n) [1]

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
    ghost_stops : array (s, n) [1]
        Exposure by ambient light relative to a mid-grey picture, in stops; far below 0 is dark.

    References
    ----------
    Bubble band: Oguz & Prosperetti 1990, J. Fluid Mech. 219, 143; Pumphrey & Elmore 1990, J.
    Fluid Mech. 220, 539 (from memory). Ambient exposure: incident-light equation of ISO 2720
    with the constant 250 (from memory).
    """
    froude = impact_speed**2 / (GRAVITY * first_diameter)
    weber = density * impact_speed**2 * first_diameter / surface_tension
    reynolds = density * impact_speed * first_diameter / viscosity
    working = effective_aperture(
        camera_aperture=camera_aperture,
        camera_magnification=camera_magnification,
        camera_pupil_ratio=camera_pupil_ratio,
    )
    with np.errstate(divide="ignore"):
        ghost = np.log2(camera_ambient * camera_iso * camera_shutter_open / (250.0 * working**2))
    return Regime(
        froude=froude,
        weber=weber,
        reynolds=reynolds,
        ohnesorge=np.sqrt(weber) / reynolds,
        bubble_lower=41.3 * froude**0.179,
        bubble_upper=48.3 * froude**0.247,
        depth_ratio=pool_depth / energy_length,
        beam_ratio=sensor_width / first_diameter,
        ghost_stops=ghost,
    )


STAGE = Stage(name="regime", work=regime)
