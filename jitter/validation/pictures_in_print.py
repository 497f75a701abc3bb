"""Blur by motion and by diffraction against examples in print."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.stages import camera
from jitter.stages.camera import MOTION_WEIGHT
from jitter.validation.checks import Check, Claim, Known, many
from jitter.validation.pictures import DISC
from jitter.validation.rig import work
from jitter.validation.transfers import airy, aperture, halved

# An optics guide's table: line pairs per millimetre at which all contrast is gone, at 520 nm.
LIMITS = {1.4: 1374.0, 2.0: 962.0, 2.8: 687.0, 4.0: 481.0, 5.6: 343.0, 8.0: 240.0, 16.0: 120.0}
# A page's examples of Airy's disc: wavelength [m] and aperture number to diameter [m].
AIRY = {(550e-9, 4.0): 5.37e-6, (532e-9, 8.0): 10.38e-6}

# What moves; focal length, distance [m], speed [m/s], exposure [s] and the smear allowed [m].
STREAKS = (
    ("car, 54 km/h, 30 m off, 13 mm, 1/130 s", 13e-3, 30.0, 15.0, 1.0 / 130.0, 50e-6),
    ("runner, 3 m/s, 10 m off, 150 mm, 2.2 ms", 0.15, 10.0, 3.0, 2.2e-3, 100e-6),
    ("car, 72 km/h, 2 km off, 50 mm, 10 ms", 50e-3, 2000.0, 20.0, 10e-3, 5e-6),
)


def _diffracted(wavelength: float, number: float) -> float:
    made: Any = work(
        camera.STAGE,
        camera_wavelength=np.array([[wavelength]]),
        working_aperture=np.array([[number]]),
    )
    return float(made.diffraction_blur.item())


def _smeared(focal: float, distance: float, speed: float, duration: float) -> float:
    """Return the length of a streak on the sensor [m]."""
    made: Any = work(
        camera.STAGE,
        magnification=np.array([[focal / (distance - focal)]]),
        rim_speed=np.array([[speed]]),
        age=np.array([[0.004]]),
        flash_duration=np.array([[duration]]),
    )
    return float(made.motion_blur.item()) / MOTION_WEIGHT


def printed_picture_checks() -> tuple[Check, ...]:
    """Return the checks of the picture by examples in print."""
    half = halved(aperture, 0.99)
    limits = [
        (f"f/{number:g} at 520 nm", _diffracted(520e-9, number), DISC / (half * 1e3 * told))
        for number, told in LIMITS.items()
    ]
    # The first dark ring lies where J₁ is first 0, at v = 3.8317; Airy's disc is that wide.
    share = DISC / halved(airy, 0.9) / (2.0 * 3.8317 / np.pi)
    discs = [
        (f"f/{number:g} at {1e9 * wavelength:g} nm", _diffracted(wavelength, number), share * told)
        for (wavelength, number), told in AIRY.items()
    ]
    return (
        *many(
            limits,
            stage="picture",
            series="diffraction disc from a table of resolution limits",
            unit="m",
            claim=Claim(6e-3, "the digits printed"),
            source=(
                "Imaging Resource Guide, section 3.1, table 1 (undated): the disc that has half"
                " its contrast at 0.404 of the limit, where a lens has it"
            ),
            known=Known.PUBLISHED,
        ),
        *many(
            [("of the limit 1/(λ N)", DISC / (_diffracted(1e-6, 1.0) / 1e-6), 0.40)],
            stage="picture",
            series="where half the contrast is left",
            claim=Claim(0.02, "'about 40 %'"),
            source="a forum of photomacrography, MTF diffraction limit formula (undated)",
            known=Known.PUBLISHED,
        ),
        *many(
            discs,
            stage="picture",
            series="diffraction disc from Airy's disc",
            unit="m",
            claim=Claim(2e-3, "the digits printed"),
            source="a page of optics sums (undated): 2.44 λ N; times 0.715, by quadrature of it",
            known=Known.PUBLISHED,
            note="The disc of equal MTF50 is narrower than the one inside the first dark ring.",
        ),
        *many(
            [
                (what, _smeared(focal, distance, speed, duration), told)
                for what, focal, distance, speed, duration, told in STREAKS
            ],
            stage="picture",
            series="smear of what moves in school problems",
            unit="m",
            claim=Claim(0.015, "the digits printed; some leave out the lens's extension"),
            source="Fadeeva 2009, Physics, training tasks (on a page of that year); two pages more",
            known=Known.SECOND_HAND,
        ),
    )
