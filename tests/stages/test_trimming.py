"""Trimming: the mean of the ages read, brought to the middle of the window in whole steps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.stages.trimming import trim

WINDOW = (0.002, 0.010)
MIDDLE = 0.006


def correction(ages: Array, *, reading: float | Array = 0.0, step: float = 0.001) -> Array:
    return trim(
        age=ages,
        trim_reading=np.broadcast_to(np.asarray(reading), ages.shape),
        trim_step=step,
        keeper_age=WINDOW,
    ).delay_correction


ages = st.lists(st.one_of(st.just(np.nan), st.floats(-0.05, 0.05)), min_size=1, max_size=12)


@given(read=ages)
@settings(deadline=None, max_examples=200)
def test_at_will_the_mean_is_removed(read: list[float]) -> None:
    frames = np.array([read])
    moved = correction(frames, step=0.0)
    assert moved.shape == (1, 1)
    told = frames[np.isfinite(frames)]
    if len(told):
        # closed form: the mean of the frames that tell comes to the middle of the window.
        assert (told + moved.item()).mean() == pytest.approx(MIDDLE, abs=1e-12)
    else:
        assert moved.item() == 0.0


@given(read=ages, step=st.floats(1e-5, 0.01))
@settings(deadline=None, max_examples=200)
def test_the_delay_moves_in_whole_steps_and_to_the_nearest(read: list[float], step: float) -> None:
    frames = np.array([read])
    stepped, at_will = correction(frames, step=step).item(), correction(frames, step=0.0).item()
    assert stepped / step == pytest.approx(round(stepped / step), abs=1e-6)
    # closed form: the nearest step is half a step away at most.
    assert abs(stepped - at_will) <= 0.5 * step * (1.0 + 1e-9)


def test_errors_of_reading_go_into_the_mean() -> None:
    frames = np.full((1, 4), MIDDLE)
    # closed form: ages read as 1, 2, 3 and 6 ms too old are trimmed by their mean, 3 ms.
    reading = np.array([[0.001, 0.002, 0.003, 0.006]])
    assert correction(frames, reading=reading).item() == pytest.approx(-0.003)


def test_each_set_up_is_trimmed_on_its_own() -> None:
    frames = np.array([[0.010, 0.012], [np.nan, 0.001], [np.nan, np.nan]])
    # closed form: means 11 ms and 1 ms against 6 ms; nothing told, nothing moved.
    assert correction(frames)[:, 0] == pytest.approx([-0.005, 0.005, 0.0])


def test_what_is_late_gets_a_shorter_delay() -> None:
    assert correction(np.array([[0.02]])).item() < 0.0 < correction(np.array([[-0.02]])).item()
