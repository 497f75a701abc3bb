"""The picture: working aperture and blur, against transfer functions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import j1

from jitter.stages.camera import (
    DIFFRACTION_WEIGHT,
    MOTION_WEIGHT,
    STAGE,
    Picture,
    effective_aperture,
)
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import Fall

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]


def disc(size: float, frequency: float) -> float:
    """Return the transfer of a uniform disc of that diameter."""
    x = np.pi * size * frequency
    return float(2.0 * j1(x) / x) if x > 0.0 else 1.0


def streak(length: float, frequency: float) -> float:
    """Return the transfer of a uniform streak."""
    return float(np.sinc(length * frequency))


def lens(wavelength_times_aperture: float, frequency: float) -> float:
    """Return the transfer of a lens without faults."""
    s = min(wavelength_times_aperture * frequency, 1.0)
    return float(2.0 / np.pi * (np.arccos(s) - s * np.sqrt(1.0 - s * s)))


def halved(transfer: Callable[[float], float], *, below: float) -> float:
    """Return the frequency at which a transfer has sunk to a half."""
    return float(brentq(lambda frequency: transfer(frequency) - 0.5, 1e-9, below, xtol=1e-13))


DISC = halved(lambda f: disc(1.0, f), below=1.0)


def test_weights_give_discs_of_equal_mtf50() -> None:
    # closed form: 2 J1(x)/x for a disc, sin(x)/x for a streak, (2/π)(arccos s - s √(1 - s²)) for
    # a lens, each at one half.
    assert DISC / halved(lambda f: streak(1.0, f), below=0.99) == pytest.approx(
        MOTION_WEIGHT, abs=1e-4
    )
    assert DISC / halved(lambda f: lens(1.0, f), below=1.0) == pytest.approx(
        DIFFRACTION_WEIGHT, abs=2e-4
    )


@example(motion=0.0, defocus=0.875, diffraction=0.484)
@given(motion=st.floats(0.0, 1.0), defocus=st.floats(0.0, 1.0), diffraction=st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=200)
def test_the_sum_of_squares_is_close_to_the_product_of_transfers(
    motion: float, defocus: float, diffraction: float
) -> None:
    sizes = np.array([motion, defocus, diffraction]) + 1e-3
    sizes /= np.sqrt(np.sum(sizes**2))

    def product(frequency: float) -> float:
        parts = streak(sizes[0] / MOTION_WEIGHT, frequency)
        parts *= disc(sizes[1], frequency)
        return parts * lens(sizes[2] / DIFFRACTION_WEIGHT, frequency)

    # The docstring's 7 %: the sum, here 1, against the true disc of equal MTF50.
    assert halved(product, below=0.98) / DISC == pytest.approx(1.0, abs=0.08)


@given(cut=st.floats(0.01, 30.0))
@settings(deadline=None, max_examples=100)
def test_a_tenth_width_is_up_to_22_per_cent_too_long(cut: float) -> None:
    def transfer(frequency: float) -> float:
        # closed form: |∫ e^-t e^-iωt dt| / ∫ e^-t dt from 0 to the cut.
        rate = 1.0 + 2j * np.pi * frequency
        return float(abs((1.0 - np.exp(-rate * cut)) / rate) / (1.0 - np.exp(-cut)))

    length = halved(lambda f: streak(1.0, f), below=0.99) / halved(transfer, below=0.99 / cut + 0.3)
    assert 0.999 < min(cut, np.log(10.0)) / length < 1.225


@given(
    aperture=st.floats(0.7, 128.0), magnification=st.floats(0.01, 10.0), pupil=st.floats(0.1, 10.0)
)
@settings(deadline=None, max_examples=50)
def test_the_working_aperture(aperture: float, magnification: float, pupil: float) -> None:
    made = effective_aperture(
        camera_aperture=np.array(aperture),
        camera_magnification=np.array(magnification),
        camera_pupil_ratio=np.array(pupil),
    )
    # closed form: N (1 + m/P); twice N at life size with a symmetrical lens.
    assert float(made) == pytest.approx(aperture + aperture * magnification / pupil)


def picture(rework: Rework, events: dict[str, Any], **changes: Any) -> Picture:
    made: Picture = rework(STAGE, events, **changes)
    return made


def test_blur_is_the_root_of_the_sum_of_squares(shot: Shot, rework: Rework) -> None:
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1] = 0.003
    made = picture(
        rework,
        shot(),
        camera_magnification=np.array([[0.5]]),
        camera_aperture=np.array([[8.0]]),
        camera_pupil_ratio=np.array([[2.0]]),
        camera_wavelength=np.array([[0.5e-6]]),
        camera_focus=np.array([[-0.001]]),
        valve_scatter=scatter,
        flash_duration=np.array([[40e-6]]),
        age=np.array([[0.004]]),
        rim_speed=np.array([[2.0]]),
    )
    # closed form: N_eff = 8 (1 + 0.5/2) = 10; motion 1.1686 × 0.5 × 2 m/s × 40 µs, defocus
    # 0.5² × 4 mm/10, diffraction 1.7454 × 0.5 µm × 10.
    motion, defocus, diffraction = 1.1686 * 40e-6, 100e-6, 1.7454 * 5e-6
    assert made.motion_blur.item() == pytest.approx(motion)
    assert made.blur.item() == pytest.approx(np.sqrt(motion**2 + defocus**2 + diffraction**2))


def test_in_focus_and_still_only_diffraction_is_left(shot: Shot, rework: Rework) -> None:
    made = picture(rework, shot(), rim_speed=np.zeros((1, 1)))
    # closed form: 1.7454 × 0.55 µm × 13 × 1.4
    assert made.blur.item() == pytest.approx(1.7454 * 0.55e-6 * 13.0 * 1.4)


def test_before_the_meeting_the_falling_drop_moves(
    shot: Shot, rework: Rework, vacuum_fall: Callable[[float], Fall]
) -> None:
    made = picture(
        rework,
        shot(),
        camera_magnification=np.array([[0.4]]),
        age=np.array([[-0.001, 0.001]]),
        rim_speed=np.array([[0.7, 0.7]]),
        light_time=np.array([[0.4, 0.4]]),
        second_release=np.array([[0.1]]),
        second_fall=vacuum_fall(0.2),
        flash_duration=np.array([[30e-6]]),
    )
    # closed form: v0 + g t before, the rim after.
    speeds = np.array([0.2 + GRAVITY * 0.3, 0.7])
    assert made.motion_blur[0] == pytest.approx(1.1686 * 0.4 * 30e-6 * speeds, rel=1e-7)


def test_a_sheet_towards_the_camera_is_sharp_where_the_focus_is(shot: Shot, rework: Rework) -> None:
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1], scatter[0, 1], scatter[1, 0] = 0.002, 0.01, 0.01
    sharp = picture(rework, shot(), valve_scatter=scatter, camera_focus=np.array([[0.002]]))
    plain = picture(rework, shot())
    # Only the second drop's place towards the camera counts, against the plane of focus.
    assert sharp.blur.item() == pytest.approx(plain.blur.item(), rel=1e-12)


def test_without_age_there_is_no_blur(shot: Shot, rework: Rework) -> None:
    nan = np.array([[np.nan]])
    made = picture(rework, shot(), age=nan, rim_speed=nan)
    assert np.isnan(made.motion_blur.item())
    assert np.isnan(made.blur.item())
