"""The streak of a glint: how long a light lasts, told back from the streak that it draws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from jitter.arrays import Array
from jitter.stages.drag import GRAVITY
from jitter.stages.pulse import DECAY, SWITCH_OFF, quenched
from jitter.stages.streak import duration_from_streak


@given(
    duration=st.floats(1e-6, 1e-2),
    glint=st.floats(0.0, 1e-3),
    magnification=st.floats(0.01, 10.0),
    speed=st.floats(0.1, 10.0),
)
@settings(deadline=None, max_examples=100)
def test_a_streak_gives_back_the_light_that_drew_it(
    duration: float, glint: float, magnification: float, speed: float
) -> None:
    # closed form: the glint's picture moves on by m v t while it is lit.
    streak = glint + magnification * speed * duration
    told = duration_from_streak(
        streak_length=np.array(streak),
        glint_length=np.array(glint),
        magnification=np.array(magnification),
        speed=np.array(speed),
    )
    # What is left of a short streak in a long glint has lost some of its sixteen digits.
    assert float(told) == pytest.approx(
        duration, rel=1e-9, abs=1e-15 * streak / magnification / speed
    )


@pytest.mark.parametrize(
    ("pixels", "width", "field", "across", "fallen", "microseconds"),
    [
        # closed form: v = √(2 g h), m the sensor's 6000 pixels of 6 µm or 4000 of 3.2 µm over the
        # field, t = (streak - glint)/(m v): 12 pixels of 6 µm at 0.4 and 1.98057 m/s; 40 of
        # 3.2 µm at 0.128 and 3.13156 m/s.
        (20.0, 6e-6, 90e-3, 36e-3, 0.200, 90.88),
        (48.0, 3.2e-6, 100e-3, 12.8e-3, 0.500, 319.33),
    ],
)
def test_streaks_on_two_sensors(
    pixels: float, width: float, field: float, across: float, fallen: float, microseconds: float
) -> None:
    told = duration_from_streak(
        streak_length=np.array(pixels * width),
        glint_length=np.array(8.0 * width),
        magnification=np.array(across / field),
        speed=np.array(np.sqrt(2.0 * GRAVITY * fallen)),
    )
    assert 1e6 * float(told) == pytest.approx(microseconds, abs=0.01)


@pytest.mark.parametrize("share", [0.1, 0.5])
@pytest.mark.parametrize("power", [1.0 / 64.0, 0.3, 1.0])
def test_a_share_of_the_streaks_brightness_tells_that_duration(power: float, share: float) -> None:
    # closed form: a point is drawn as bright as the pulse at that moment, so that the profile of
    # the streak is that of the pulse: full for 13.22 µs, then a decay up to the cut.
    cut = min(-np.log1p(-power) if power < 1.0 else np.inf, 40.0)
    magnification, speed = 0.4, 2.4

    def brightness(place: float) -> float:
        decayed = max(place / (magnification * speed) - SWITCH_OFF, 0.0) / DECAY
        return float(np.exp(-decayed)) if decayed <= cut else 0.0

    longest = magnification * speed * (SWITCH_OFF + 10.0 * DECAY)
    # reference library: scipy 1.17.1, brentq.
    end = brentq(lambda place: brightness(place) - share, 0.0, longest, xtol=1e-12)
    told = duration_from_streak(
        streak_length=np.array(end),
        glint_length=np.array(0.0),
        magnification=np.array(magnification),
        speed=np.array(speed),
    )
    shape = quenched(np.array(power))
    expected = shape.tenth if share == 0.1 else shape.half
    assert float(told) == pytest.approx(float(expected), rel=1e-5)


def test_the_speed_that_a_drop_gains_meanwhile_is_less_than_a_hundredth() -> None:
    # closed form: it falls v t + g t²/2, so that the light seems g t/(2 v) longer; the docstring's
    # 1 % in 3 ms at 3 m/s.
    duration, speed = 3e-3, 3.0
    streak: Array = np.array(0.4 * (speed * duration + 0.5 * GRAVITY * duration**2))
    told = duration_from_streak(
        streak_length=streak,
        glint_length=np.array(0.0),
        magnification=np.array(0.4),
        speed=np.array(speed),
    )
    excess = float(told) / duration - 1.0
    assert excess == pytest.approx(GRAVITY * duration / (2.0 * speed))
    assert excess < 0.01
