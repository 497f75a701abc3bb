"""The flash: a cut exponential, against quadrature, and when it stays dark."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from jitter.stages.flash import DECAY, STAGE, SWITCH_OFF, pulse

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]


@given(power=st.floats(1.0 / 1024.0, 0.999))
@settings(deadline=None, max_examples=50)
def test_a_pulse_holds_its_share_of_the_light(power: float) -> None:
    made = pulse(np.array(power))
    # Units of the decay time; the full light is the integral of e^-t over all times, 1.
    cut = -np.log(1.0 - power)
    # reference library: scipy 1.17.1, quad.
    energy, _ = quad(lambda t: np.exp(-t), 0.0, cut)
    moment, _ = quad(lambda t: t * np.exp(-t), 0.0, cut)
    assert energy == pytest.approx(power, rel=1e-9)
    assert float(made.centroid) == pytest.approx(DECAY * moment / energy, rel=1e-7)
    # closed form: the light is above a share of its peak until it has decayed or is cut.
    for duration, share in ((made.half, 0.5), (made.tenth, 0.1)):
        lit = min(cut, float(np.log(1.0 / share)))
        assert float(duration) == pytest.approx(SWITCH_OFF + DECAY * lit, rel=1e-12)


def test_an_uncut_pulse_is_an_exponential() -> None:
    made = pulse(np.array(1.0))
    # closed form: t0.1/t0.5 = ln 10/ln 2 = log2 10 = 3.3219, and the centroid is the decay time.
    ratio = (made.tenth - SWITCH_OFF) / (made.half - SWITCH_OFF)
    assert float(ratio) == pytest.approx(np.log2(10.0), rel=1e-12)
    assert float(made.centroid) == pytest.approx(DECAY, rel=1e-12)


def test_full_power_has_the_half_width_of_half_power_and_a_longer_tail() -> None:
    full, half = pulse(np.array(1.0)), pulse(np.array(0.5))
    # closed form: half the energy is cut at t0.5 = τ ln 2, where the pulse ends with both widths.
    assert full.half == pytest.approx(half.half, rel=1e-12)
    assert half.tenth == pytest.approx(half.half, rel=1e-12)
    # closed form: (t_off + τ ln 10)/(t_off + τ ln 2) = 3.287, said to be 3.3.
    assert float(full.tenth / half.tenth) == pytest.approx(3.287, abs=0.001)


def test_more_power_lasts_longer() -> None:
    made = pulse(2.0 ** -np.arange(10.0, -1.0, -1.0))
    assert (np.diff(made.tenth) > 0.0).all()
    assert (np.diff(made.centroid) > 0.0).all()
    assert (made.centroid < made.tenth).all()


@given(power=st.floats(1.0 / 1024.0, 1.0), scale=st.floats(0.05, 20.0), delay=st.floats(0.0, 0.1))
@settings(deadline=None, max_examples=100)
def test_the_moment_is_the_centroid_of_the_scaled_pulse(
    shot: Shot, rework: Rework, power: float, scale: float, delay: float
) -> None:
    made = rework(
        STAGE,
        shot(),
        flash_command=np.array([[0.5]]),
        flash_power=np.array([[power]]),
        flash_duration_scale=np.array([[scale]]),
        flash_delay=np.array([[delay]]),
    )
    shape = pulse(np.array(power))
    # closed form: command + delay + centroid; every duration goes with the scale.
    assert made.flash_time.item() == pytest.approx(0.5 + delay + scale * float(shape.centroid))
    assert made.flash_duration.item() == pytest.approx(scale * float(shape.tenth))


@pytest.mark.parametrize(
    ("power", "recycle", "cadence", "dark"),
    [
        # closed form: a flash of power p has recharged after p times the full recycle time.
        (1.0, 3.0, 2.9, True),
        (1.0, 3.0, 3.1, False),
        (0.5, 3.0, 1.4, True),
        (0.5, 3.0, 1.6, False),
    ],
)
def test_a_flash_must_recharge(
    shot: Shot, rework: Rework, power: float, recycle: float, cadence: float, dark: bool
) -> None:
    made = rework(
        STAGE,
        shot(),
        flash_power=np.array([[power]]),
        flash_full_recycle=np.array([[recycle]]),
        session_cadence=cadence,
    )
    assert made.unlit.item() is dark


def test_a_failed_flash_is_dark(shot: Shot, rework: Rework) -> None:
    made = rework(STAGE, shot(), flash_dark_chance=np.array([[True, False]]))
    assert made.unlit.tolist() == [[True, False]]
