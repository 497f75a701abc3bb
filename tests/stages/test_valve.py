"""When the drops are let go."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.valve import release


@given(
    first=st.floats(0.0, 0.5),
    second=st.floats(0.0, 0.5),
    interval=st.floats(0.0, 5.0),
    clock_error=st.floats(-0.1, 0.1),
)
@settings(deadline=None, max_examples=100)
def test_release_is_command_and_latency(
    first: float, second: float, interval: float, clock_error: float
) -> None:
    made = release(
        valve_latency=np.array([[[first]], [[second]]]),
        valve_interval=np.array([[interval]]),
        timer_clock_error=np.array([[clock_error]]),
    )
    # closed form: the first command is time 0; a clock that runs e slow stretches the interval.
    assert made.first_release.item() == first
    assert made.second_release.item() == pytest.approx(interval + clock_error * interval + second)
