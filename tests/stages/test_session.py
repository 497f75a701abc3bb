"""The place of each frame in the session."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.stages.session import session


@pytest.mark.parametrize("frames", [1, 7, 100])
def test_shots_are_spread_evenly_over_the_session(frames: int) -> None:
    repeats = 8
    shots = frames * repeats
    progress = np.arange(shots)[None, :] / shots
    number = session(session_frames=float(frames), progress=progress).frame_number
    # closed form: each of the frames 0 to N - 1 comes as often as every other, but for a shot on
    # the border that rounding puts into the frame before.
    counts = np.bincount(number[0].astype(int))
    assert len(counts) == frames
    assert np.abs(counts - repeats).max() <= 1


def test_few_shots_still_reach_the_end_of_a_long_session() -> None:
    number = session(session_frames=100.0, progress=np.arange(4)[None, :] / 4).frame_number
    # closed form: floor(k 100/4)
    assert number[0].tolist() == [0.0, 25.0, 50.0, 75.0]
