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
        valve_first_opening=None,
        valve_second_opening=None,
        timer_clock_error=np.array([[clock_error]]),
    )
    # closed form: the first command is time 0; a clock that runs e slow stretches the interval.
    assert made.first_release.item() == first
    assert made.second_release.item() == pytest.approx(interval + clock_error * interval + second)


def test_a_drop_comes_off_after_the_command_to_close() -> None:
    made = release(
        valve_latency=np.array([[[0.008]], [[0.009]]]),
        valve_interval=np.array([[0.1]]),
        valve_first_opening=np.array([[0.03]]),
        valve_second_opening=np.array([[0.05]]),
        timer_clock_error=np.array([[0.01]]),
    )
    # closed form: command + open time + latency; the clock stretches the interval alone.
    assert made.first_release.item() == pytest.approx(0.038)
    assert made.second_release.item() == pytest.approx(0.101 + 0.05 + 0.009)


@pytest.mark.parametrize("stated", ["first", "second"])
def test_only_the_drop_with_an_open_time_waits_for_it(stated: str) -> None:
    waits = {f"valve_{which}_opening": None for which in ("first", "second")}
    made = release(
        valve_latency=np.array([[[0.008]], [[0.008]]]),
        valve_interval=np.array([[0.1]]),
        timer_clock_error=np.array([[0.0]]),
        **(waits | {f"valve_{stated}_opening": np.array([[0.03]])}),
    )
    first, second = made.first_release.item(), made.second_release.item()
    # closed form: as above.
    assert first == pytest.approx(0.038 if stated == "first" else 0.008)
    assert second == pytest.approx(0.138 if stated == "second" else 0.108)
