"""The picture: blur against transfer functions, of one flash and of several, at any depth."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import exp1, j1

from jitter.arrays import Array
from jitter.stages.camera import (
    DIFFRACTION_WEIGHT,
    MOTION_WEIGHT,
    PAIR_WEIGHT,
    STAGE,
    Picture,
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


def pair(apart: float, frequency: float) -> float:
    """Return the transfer of two points of half the light each."""
    return float(abs(np.cos(np.pi * apart * frequency)))


def lens(wavelength_times_aperture: float, frequency: float) -> float:
    """Return the transfer of a lens without faults."""
    s = min(wavelength_times_aperture * frequency, 1.0)
    return float(2.0 / np.pi * (np.arccos(s) - s * np.sqrt(1.0 - s * s)))


def halved(transfer: Callable[[float], float], *, below: float) -> float:
    """Return the frequency at which a transfer has sunk to a half."""
    return float(brentq(lambda frequency: transfer(frequency) - 0.5, 1e-9, below, xtol=1e-13))


DISC = halved(lambda f: disc(1.0, f), below=1.0)
STREAK = halved(lambda f: streak(1.0, f), below=0.99)


def test_weights_give_blurs_of_equal_mtf50() -> None:
    # closed form: 2 J1(x)/x for a disc, sin(x)/x for a streak, (2/π)(arccos s - s √(1 - s²)) for
    # a lens, |cos(π f s)| for a pair, each at one half; the last is there at f s = 1/3.
    assert halved(lambda f: pair(1.0, f), below=0.49) == pytest.approx(1.0 / 3.0, rel=1e-9)
    ours = (MOTION_WEIGHT, PAIR_WEIGHT, DIFFRACTION_WEIGHT)
    discs = (DISC / STREAK, 3.0 * STREAK, DISC / halved(lambda f: lens(1.0, f), below=1.0))
    assert ours == pytest.approx(discs, abs=2e-4)


@example(length=1.0, apart=1.0)
@given(length=st.floats(0.0, 1.0), apart=st.floats(0.0, 1.0))
@settings(deadline=None, max_examples=200)
def test_a_streak_drawn_twice_is_close_to_a_longer_one(length: float, apart: float) -> None:
    sizes = np.array([length, apart]) + 1e-3
    sizes /= np.hypot(*sizes)

    def product(frequency: float) -> float:
        return streak(sizes[0], frequency) * pair(sizes[1] / PAIR_WEIGHT, frequency)

    # The docstring's 5 %: the rule, here 1, against the true streak of equal MTF50; never shorter.
    assert 1.0 - 2e-4 < halved(product, below=0.85) / STREAK < 1.05


@example(motion=0.0, apart=0.0, defocus=0.875, diffraction=0.484)
@example(motion=0.5557, apart=0.6355, defocus=0.5360, diffraction=0.0)
@given(
    motion=st.floats(0.0, 1.0),
    apart=st.floats(0.0, 1.0),
    defocus=st.floats(0.0, 1.0),
    diffraction=st.floats(0.0, 1.0),
)
@settings(deadline=None, max_examples=200)
def test_the_sum_of_squares_is_close_to_the_product_of_transfers(
    motion: float, apart: float, defocus: float, diffraction: float
) -> None:
    sizes = np.array([motion, apart, defocus, diffraction]) + 1e-3
    sizes /= np.sqrt(np.sum(sizes**2))

    def product(frequency: float) -> float:
        parts = streak(sizes[0] / MOTION_WEIGHT, frequency)
        parts *= pair(sizes[1] / MOTION_WEIGHT / PAIR_WEIGHT, frequency)
        parts *= disc(sizes[2], frequency)
        return parts * lens(sizes[3] / DIFFRACTION_WEIGHT, frequency)

    # The docstring's 8 %: the sum, here 1, against the true disc of equal MTF50.
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


def test_a_tenth_width_of_a_long_tail_is_18_per_cent_too_short() -> None:
    def transfer(frequency: float) -> float:
        # closed form: by parts, 2 ∫ (1 + t)^-3 e^-zt dt = 1 - z (1 - z e^z E1(z)), of a
        # voltage-controlled pulse, whose whole light is a half.
        z = 2j * np.pi * frequency
        return float(abs(1.0 - z * (1.0 - z * np.exp(z) * exp1(z))))

    length = STREAK / halved(transfer, below=2.0)
    # closed form: t0.1 = 10^(1/3) - 1; the docstring's 18 %.
    assert (10.0 ** (1.0 / 3.0) - 1.0) / length == pytest.approx(0.82, abs=0.005)


def picture(rework: Rework, events: dict[str, Any], **changes: Any) -> Picture:
    made: Picture = rework(STAGE, events, **changes)
    return made


def off_focus(metres: float) -> Array:
    """Return where the drops land if the second is so far towards the camera."""
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1] = metres
    return scatter


def test_blur_is_the_root_of_the_sum_of_squares(shot: Shot, rework: Rework) -> None:
    made = picture(
        rework,
        shot(),
        magnification=np.array([[0.5]]),
        working_aperture=np.array([[10.0]]),
        camera_wavelength=np.array([[0.5e-6]]),
        camera_focus=np.array([[-0.001]]),
        valve_scatter=off_focus(0.003),
        flash_duration=np.array([[40e-6]]),
        age=np.array([[0.004]]),
        rim_speed=np.array([[2.0]]),
    )
    # closed form: motion 1.1686 × 0.5 × 2 m/s × 40 µs, defocus 0.5² × 4 mm/10, diffraction
    # 1.7454 × 0.5 µm × 10.
    motion, defocus, diffraction = 1.1686 * 40e-6, 100e-6, 1.7454 * 5e-6
    assert made.motion_blur.item() == pytest.approx(motion)
    assert made.defocus_blur.item() == pytest.approx(defocus)
    assert made.diffraction_blur.item() == pytest.approx(diffraction)
    assert made.blur.item() == pytest.approx(np.sqrt(motion**2 + defocus**2 + diffraction**2))
    # No depth is wanted: what stands still in the sheet's middle plane has no streak.
    assert made.depth_blur.item() == pytest.approx(np.hypot(defocus, diffraction))


@pytest.mark.parametrize("towards", [0.003, -0.003])
def test_the_end_of_the_depth_that_is_farther_out_of_focus_counts(
    shot: Shot, rework: Rework, towards: float
) -> None:
    made = picture(
        rework,
        shot(),
        magnification=np.array([[0.5]]),
        working_aperture=np.array([[10.0]]),
        camera_wavelength=np.array([[0.5e-6]]),
        camera_focus=np.array([[0.0]]),
        valve_scatter=off_focus(towards),
        keeper_depth=0.012,
    )
    # closed form: 3 mm off and 12 mm to either side of it: 15 mm on the worse one, whose disc is
    # 0.5² × 15 mm/10.
    assert made.depth_blur.item() == pytest.approx(np.hypot(375e-6, 1.7454 * 5e-6))


@given(depth=st.floats(0.0, 0.5), more=st.floats(0.0, 0.5), off=st.floats(-0.05, 0.05))
@settings(deadline=None, max_examples=50)
def test_more_depth_never_makes_a_frame_sharper(
    shot: Shot, rework: Rework, depth: float, more: float, off: float
) -> None:
    scatter = off_focus(off)
    flat, some, deep = (
        picture(rework, shot(), valve_scatter=scatter, keeper_depth=wanted)
        for wanted in (0.0, depth, depth + more)
    )
    assert flat.depth_blur <= some.depth_blur <= deep.depth_blur
    # Without any the rim to the left and the right, which moves too, is the less sharp.
    assert flat.depth_blur <= flat.blur
    assert some.blur == deep.blur


def test_several_flashes_draw_every_edge_twice(shot: Shot, rework: Rework) -> None:
    duration, apart, speed = 40e-6, 30e-6, 2.0
    made = picture(
        rework,
        shot(),
        magnification=np.array([[0.5]]),
        age=np.array([[0.004]]),
        rim_speed=np.array([[speed]]),
        flash_duration=np.array([[duration]]),
        flash_gap=np.array([[apart]]),
    )
    # closed form: m v Δ, 0.5 × 2 m/s × 30 µs = 30 µm; and a streak 1.8101 times as long as that,
    # with the 40 µm of each flash.
    assert made.edge_gap.item() == pytest.approx(30e-6)
    assert made.motion_blur.item() == pytest.approx(1.1686 * np.hypot(40e-6, 1.8101 * 30e-6))


@given(duration=st.floats(1e-6, 1e-2), apart=st.floats(0.0, 1e-2), more=st.floats(0.0, 1e-2))
@settings(deadline=None, max_examples=50)
def test_neither_longer_light_nor_flashes_farther_apart_lessen_the_smear(
    shot: Shot, rework: Rework, duration: float, apart: float, more: float
) -> None:
    def smear(length: float, gap: float) -> float:
        made = picture(
            rework, shot(), flash_duration=np.array([[length]]), flash_gap=np.array([[gap]])
        )
        return float(made.motion_blur.item())

    hair = 1.0 + 1e-12
    assert smear(duration, 0.0) <= smear(duration, apart) * hair
    assert smear(duration, apart) <= smear(duration, apart + more) * hair
    assert smear(duration, apart) <= smear(duration + more, apart) * hair


def test_in_focus_and_still_only_diffraction_is_left(shot: Shot, rework: Rework) -> None:
    made = picture(rework, shot(), rim_speed=np.zeros((1, 1)))
    # closed form: 1.7454 × 0.55 µm × 13 × 1.4
    assert made.blur.item() == pytest.approx(1.7454 * 0.55e-6 * 13.0 * 1.4)
    assert made.edge_gap.item() == 0.0


def test_before_the_meeting_the_falling_drop_moves(
    shot: Shot, rework: Rework, vacuum_fall: Callable[[float], Fall]
) -> None:
    made = picture(
        rework,
        shot(),
        magnification=np.array([[0.4]]),
        flash_gap=np.array([[20e-6]]),
        age=np.array([[-0.001, 0.001]]),
        rim_speed=np.array([[0.7, 0.7]]),
        light_time=np.array([[0.4, 0.4]]),
        second_release=np.array([[0.1]]),
        second_fall=vacuum_fall(0.2),
        flash_duration=np.array([[30e-6]]),
    )
    # closed form: v0 + g t before, the rim after.
    speeds = np.array([0.2 + GRAVITY * 0.3, 0.7])
    length = np.hypot(30e-6, 1.8101 * 20e-6)
    assert made.motion_blur[0] == pytest.approx(1.1686 * 0.4 * length * speeds, rel=1e-7)
    assert made.edge_gap[0] == pytest.approx(0.4 * 20e-6 * speeds, rel=1e-7)


def test_before_the_meeting_rims_that_differ_by_set_up_alone_do_not_matter(
    shot: Shot, rework: Rework
) -> None:
    early = {"age": np.array([[-0.001]]), "light_time": shot()["light_time"] - 0.007}
    made = picture(rework, shot(), **early, rim_speed=np.array([[0.7], [0.9]]))
    # The same drop falls in both.
    alone = picture(rework, shot(), **early)
    assert made.motion_blur.ravel().tolist() == 2 * [alone.motion_blur.item()]


def test_a_sheet_towards_the_camera_is_sharp_where_the_focus_is(shot: Shot, rework: Rework) -> None:
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1], scatter[0, 1], scatter[1, 0] = 0.002, 0.01, 0.01
    sharp = picture(rework, shot(), valve_scatter=scatter, camera_focus=np.array([[0.002]]))
    plain = picture(rework, shot())
    assert sharp.depth_blur.item() == pytest.approx(plain.depth_blur.item(), rel=1e-12)
    # Only the second drop's place towards the camera counts, against the plane of focus.
    assert sharp.blur.item() == pytest.approx(plain.blur.item(), rel=1e-12)


def test_without_age_there_is_no_blur(shot: Shot, rework: Rework) -> None:
    nan = np.array([[np.nan]])
    made = picture(rework, shot(), age=nan, rim_speed=nan, flash_gap=np.array([[20e-6]]))
    assert np.isnan(made.motion_blur.item())
    assert np.isnan(made.blur.item())
    assert np.isnan(made.edge_gap.item())
