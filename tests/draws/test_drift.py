"""Drift: frame k of a set-up finds the value k drifts further, within its limits."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from jitter.arrays import Array
from jitter.draws.deviates import Deviates, draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import entry_reach, reaches, value, values
from jitter.quantities import Level, sd
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Entry, Study
from tests.toy import toy_quantity

FRAMES = 100  # A session's, as declared.
STILL = Deviates(setup={}, shot={}, frame_number=np.arange(float(FRAMES))[None, :])
SETUPS, REPEATS = 40, 4
BLOCK = Block(Layout(seed=9, setups=SETUPS, shots=REPEATS * FRAMES), 0, SETUPS, 0, REPEATS * FRAMES)


@cache
def study(*settings: str) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=settings)


def still(key: str, *settings: str) -> Array:
    """Return the values over a session in which nothing strays."""
    return np.asarray(value(study(*settings), key, STILL, {}))


@pytest.mark.parametrize(
    ("key", "drift", "start", "step"),
    [  # closed form: nominal + k drift, in SI
        ("pool.level", "0.1 mm", 0.0, 1e-4),
        ("timer.delay", "-20 us", 0.294, -2e-5),
        ("liquid.temperature", "-0.05 K", 293.15, -0.05),
        ("reservoir.head", "-0.2 %", 0.150, -0.0003),
    ],
)
def test_a_value_drifts_from_frame_to_frame(
    key: str, drift: str, start: float, step: float
) -> None:
    made = still(key, f"{key}.drift={drift} per frame")
    assert made.shape == (1, FRAMES)
    np.testing.assert_allclose(made[0], start + step * np.arange(FRAMES), rtol=1e-13, atol=1e-17)


def test_both_drops_and_directions_drift_alike() -> None:
    latency = still("valve.latency", "valve.latency.drift=0.01 ms")
    assert latency.shape == (2, 1, FRAMES)
    # closed form: nominal + k drift
    for drop in latency:
        np.testing.assert_allclose(drop[0], 0.008 + 1e-5 * np.arange(FRAMES), rtol=1e-13)
    scatter = still("valve.scatter", "valve.scatter.drift=0.01 mm")
    assert scatter.shape == (2, 2, 1, FRAMES)
    for axis in scatter.reshape(4, FRAMES):
        np.testing.assert_allclose(axis, 1e-5 * np.arange(FRAMES), rtol=1e-13)


@pytest.mark.parametrize(("drift", "end"), [("2 mm", 0.1), ("-2 mm", -0.1)])
def test_a_drift_is_held_in_the_limits(drift: str, end: float) -> None:
    made = still("pool.level", f"pool.level.drift={drift}")[0]
    # closed form: k drift, until the limit of 100 mm at frame 50
    np.testing.assert_allclose(made[:50], end / 50.0 * np.arange(50), rtol=1e-13)
    np.testing.assert_array_equal(made[50:], end)


@pytest.mark.parametrize("key", ["sensor.height", "valve.latency", "jet.lean"])
def test_a_drift_adds_to_what_strays_and_no_digit_else_moves(key: str) -> None:
    calm, drifting = study(), study(f"{key}.drift=1/100 {'ms' if 'latency' in key else 'mm'}")
    drawn = [draw(one, BLOCK) for one in (calm, drifting)]
    for level in ("setup", "shot"):
        for name, numbers in getattr(drawn[0], level).items():
            np.testing.assert_array_equal(getattr(drawn[1], level)[name], numbers, err_msg=name)
    before, after = (values(one, each) for one, each in zip((calm, drifting), drawn, strict=True))
    name = key.replace(".", "_")
    for other in set(before) - {name}:
        np.testing.assert_array_equal(after[other], before[other], err_msg=other)
    # closed form: 0.00001 more with each frame, of which each comes four times
    walked = 1e-5 * np.repeat(np.arange(FRAMES), REPEATS)
    np.testing.assert_allclose(after[name], before[name] + walked, rtol=0.0, atol=1e-14)


def test_what_only_drifts_is_among_the_values() -> None:
    one = study("valve.interval.drift=0.1 ms")
    deviates = draw(one, BLOCK)
    assert not {"valve.interval"} & {*deviates.setup, *deviates.shot}
    interval = values(one, deviates)["valve_interval"]
    assert interval.shape == (1, BLOCK.shots)
    assert interval[0, -1] == pytest.approx(0.099 + 99 * 1e-4, rel=1e-13)  # closed form


def test_a_what_if_on_the_spreads_leaves_the_drift() -> None:
    one = study("sensor.height.drift=0.01 mm", "sensor.height.shot=sd 1 mm")
    removed = {("sensor.height", level): 0.0 for level in Level}
    made = np.asarray(value(one, "sensor.height", draw(one, BLOCK), removed))
    # closed form: nominal + k drift in every set-up
    walked = 0.483 + 1e-5 * np.repeat(np.arange(FRAMES), REPEATS)
    np.testing.assert_allclose(made, np.broadcast_to(walked, made.shape), rtol=1e-13)


@pytest.mark.parametrize(
    ("nominal", "drift", "ends"),
    [
        (0.2, "0.5 %", (0.2, 0.695)),
        (0.5, "2 %", (0.5, 1.0)),
        (0.5, "-2 %", (0.5, 0.0)),
        (0.0, "0.5 %", (0.0, 0.495)),
    ],
)
def test_a_mishap_grows_more_or_less_likely(
    nominal: float, drift: str, ends: tuple[float, float]
) -> None:
    key = "sensor.miss_chance"
    one = study(f"{key}={nominal}", f"{key}.drift={drift} per frame")
    struck = np.asarray(value(one, key, draw(one, BLOCK), {}))
    assert struck.dtype == bool
    # closed form: the chance at frame k is nominal + k drift, held from 0 to 1
    step = float(drift.removesuffix(" %")) / 100.0
    chances = np.clip(nominal + step * np.arange(FRAMES), 0.0, 1.0)
    assert (chances[0], chances[-1]) == pytest.approx(ends)
    shares = struck.reshape(SETUPS, FRAMES, REPEATS).mean(axis=(0, 2))
    error = np.sqrt(chances * (1.0 - chances) / (SETUPS * REPEATS))
    assert np.all(np.abs(shares - chances) <= 4.5 * error)


def test_trimming_frames_are_as_far_drifted_as_their_moment() -> None:
    one = study("sensor.height.drift=0.1 mm", "sensor.height.setup=none")
    for at in (0.0, 30.0):
        deviates = draw(one, BLOCK, trimming=True, trimmed_at=at)
        made = np.asarray(value(one, "sensor.height", deviates, {}))
        # closed form: nominal + k drift
        np.testing.assert_allclose(made, 0.483 + 1e-4 * at, rtol=1e-13)


@pytest.mark.parametrize("drift", ["1 mm", "-1 mm"])
def test_the_reach_takes_in_the_whole_session(drift: str) -> None:
    one = study(f"sensor.height.drift={drift}", "sensor.height.shot=sd 0.2 mm")
    low, high = reaches(one)["sensor_height"]
    drawn = values(one, draw(one, BLOCK))["sensor_height"]
    assert low <= drawn.min() < drawn.max() <= high
    # closed form: 99 mm of drift beside the errors, which reach some millimetres
    assert high - low == pytest.approx(0.099, abs=0.005)


def test_the_reach_adds_the_drift_at_its_own_end() -> None:
    entry = Entry(toy_quantity("walks"), 3.0, sd(0.0), sd(0.0), drift=0.5)
    falling = Entry(toy_quantity("walks"), 3.0, sd(0.0), sd(0.0), drift=-0.5)
    # closed form: 0.5 (N - 1), N = 11 frames
    assert entry_reach(entry, frames=11.0) == pytest.approx((3.0, 8.0))
    assert entry_reach(falling, frames=11.0) == pytest.approx((-2.0, 3.0))
    assert math.isclose(entry_reach(entry)[1], 3.0)
