"""From the start signal to the flash command."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.timer import timer


@given(
    start=st.floats(0.0, 1.0),
    delay=st.floats(0.0, 1.0),
    correction=st.floats(-0.1, 0.1),
    tick=st.floats(0.0, 0.001),
    clock_error=st.floats(-0.1, 0.1),
)
@settings(deadline=None, max_examples=100)
def test_command_is_start_and_scaled_delay_and_tick(
    start: float, delay: float, correction: float, tick: float, clock_error: float
) -> None:
    made = timer(
        start_time=np.array([[start]]),
        timer_delay=np.array([[delay]]),
        delay_correction=np.array([[correction]]),
        timer_step=np.array([[tick]]),
        timer_clock_error=np.array([[clock_error]]),
    )
    # closed form: what is dialled is stretched by the clock; the wait for a tick is not.
    expected = start + (delay + correction) + clock_error * (delay + correction) + tick
    assert made.flash_command.item() == pytest.approx(expected, abs=1e-12)


def test_without_a_start_there_is_no_command() -> None:
    one = np.ones((1, 1))
    made = timer(
        start_time=np.array([[np.nan, 0.1]]),
        timer_delay=one,
        delay_correction=one,
        timer_step=one,
        timer_clock_error=one,
    )
    assert np.isnan(made.flash_command).tolist() == [[True, False]]
