"""Blur against transfer functions and a thin lens."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import brentq
from scipy.special import j1

from jitter.stages import camera
from jitter.stages.camera import DIFFRACTION_WEIGHT, MOTION_WEIGHT, effective_aperture
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.rig import work

WAVELENGTH = 0.55e-6
DIGITS = Claim(2e-4, "the digits kept in the constant")
PRODUCT = Claim(0.08, "the documentation: within 8 % of the product of transfer functions")


def _halved(transfer: Callable[[float], float], highest: float) -> float:
    """Return the frequency at which a transfer function has fallen to one half."""
    return float(brentq(lambda frequency: transfer(frequency) - 0.5, 1e-9, highest, xtol=1e-14))


def _streak(frequency: float) -> float:
    return float(np.sinc(frequency))


def _disc(frequency: float) -> float:
    turned = np.pi * frequency
    return float(2.0 * j1(turned) / turned)


def _aperture(share: float) -> float:
    """Return the transfer of a lens without faults, frequency as a share of its limit."""
    return float(2.0 / np.pi * (np.arccos(share) - share * np.sqrt(1.0 - share**2)))


def _combined(streak: float, disc: float, diffraction: float) -> float:
    """Return the disc of the same MTF50 as the product of three transfer functions."""

    def product(frequency: float) -> float:
        share = min(frequency * diffraction, 1.0)
        return _streak(frequency * streak) * _disc(frequency * disc) * _aperture(share)

    # The first of the three to reach zero bounds the search.
    highest = 0.999 * min(1.0 / streak, 1.2197 / disc, 1.0 / diffraction)
    return _halved(_disc, 1.2) / _halved(product, highest)


def _thin_lens(focal: float, magnification: float, aperture: float, shift: float) -> float:
    """Return the disc of a point nearer than the plane of focus, by a thin lens [m]."""
    distance = focal * (1.0 + 1.0 / magnification)
    image = focal * (1.0 + magnification)
    nearer = 1.0 / (1.0 / focal - 1.0 / (distance - shift))
    return abs(nearer - image) / nearer * focal / aperture


def picture_checks() -> tuple[Check, ...]:
    """Return the checks of the picture."""
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1] = 0.001
    made: Any = work(
        camera.STAGE,
        valve_scatter=scatter,
        camera_focus=np.zeros((1, 1)),
        rim_speed=np.array([[2.0]]),
        age=np.array([[0.004]]),
        flash_duration=np.array([[40e-6]]),
    )
    disc = _halved(_disc, 1.2)
    sums = []
    for what, parts in (
        ("streak and disc alike", (1.0, 1.0, 0.05)),
        ("all three alike", (1.0, 1.0, 0.6)),
        ("streak twice the disc", (2.0, 1.0, 0.3)),
        ("disc twice the streak", (1.0, 2.0, 0.3)),
    ):
        streak, defocus, diffraction = parts
        ours = np.sqrt(
            (MOTION_WEIGHT * streak) ** 2 + defocus**2 + (DIFFRACTION_WEIGHT * diffraction) ** 2
        )
        sums.append((what, float(ours), _combined(streak, defocus, diffraction)))
    one = np.ones(())
    lens = _thin_lens(0.105, 0.4, 13.0, 0.001)
    return (
        *many(
            [
                ("streak as a disc", MOTION_WEIGHT, disc / _halved(_streak, 0.99)),
                ("diffraction as a disc", DIFFRACTION_WEIGHT, disc / _halved(_aperture, 0.99)),
            ],
            stage="picture",
            series="discs of equal MTF50",
            claim=DIGITS,
            source="sinc, 2 J₁(x)/x and (2/π)(arccos s - s √(1 - s²)) at one half",
            known=Known.CLOSED_FORM,
        ),
        *many(
            sums,
            stage="picture",
            series="blur by the root of the sum of squares",
            claim=PRODUCT,
            source="disc of the same MTF50 as the product of the three",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("1 mm off, 0.4 of life size, f/13, 105 mm", float(made.defocus_blur.item()), lens)],
            stage="picture",
            series="defocus",
            unit="m",
            claim=Claim(0.01, "first order in the shift over the distance"),
            source="a thin lens, 1/f = 1/a + 1/b, in full",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("2 m/s for 40 µs at 0.4", float(made.motion_blur.item()), 32e-6 * MOTION_WEIGHT)],
            stage="picture",
            series="motion",
            unit="m",
            claim=EXACT,
            source="m v t0.1 as a disc",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                (
                    "f/8 at life size",
                    float(
                        effective_aperture(
                            camera_aperture=8.0 * one,
                            camera_magnification=one,
                            camera_pupil_ratio=one,
                        )
                    ),
                    16.0,
                )
            ],
            stage="picture",
            series="working aperture",
            claim=EXACT,
            source="the close-up rule N (1 + m)",
            known=Known.COMMON,
        ),
    )
