"""The frames that are drawn are frames of the run, and stand for it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from unittest.mock import patch

import numpy as np
import pytest
from numpy.typing import NDArray

from jitter.answers import frames_of_a_run
from jitter.answers.counter import NEVER
from jitter.answers.frames_of_a_run import (
    AT_RANDOM,
    LOOKED_AT,
    PERCENTILES,
    Frame,
    FramesOfARun,
    choose_frames,
    stretches,
)
from jitter.answers.hits import count_hits
from jitter.answers.run import RunAnswer
from jitter.answers.scenes import scene
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER, REASONS
from jitter.trial import fire, open_road
from tests.conftest import load

SMALL = Layout(11, 256, 16)


def chosen(layout: Layout, *settings: str) -> tuple[FramesOfARun, NDArray[np.int32]]:
    study = load("barn-table", *settings)
    counted = count_hits(study, CHAIN, layout).as_set
    return choose_frames(open_road(study, CHAIN), layout, first_setups(counted)), counted


def first_setups(counted: NDArray[np.int32]) -> list[int]:
    return [int(np.argmax(column > 0)) if column.any() else NEVER for column in counted.T]


def every(frames: FramesOfARun) -> Iterable[Frame]:
    return (*frames.at_random, *frames.missed.values(), *frames.by_age.values())


def ages(layout: Layout) -> NDArray[np.float64]:
    """Return the ages of all shots, fired in one piece."""
    road = open_road(load("barn-table"), CHAIN)
    block = Block(layout, 0, layout.setups, 0, layout.shots)
    told = fire(road, block).as_set["age"]
    return np.broadcast_to(told, (layout.setups, layout.shots))


def test_they_are_shots_of_the_run() -> None:
    """closed form: the same place of the same streams, fired by itself, gives the same frame."""
    frames, _ = chosen(SMALL)
    road = open_road(load("barn-table"), CHAIN, wanted=("look",))
    for frame in every(frames):
        block = Block(SMALL, frame.setup - 1, 1, frame.shot - 1, 1)
        events = fire(road, block).as_set
        assert int(np.asarray(events["reason"]).item()) == frame.reason
        again = scene(events, (0, 0))
        assert again.look == frame.scene.look
        assert again.age == pytest.approx(frame.scene.age, rel=1e-9, nan_ok=True)
        assert (again.sheet is None) == (frame.scene.sheet is None)


def test_none_is_drawn_twice_and_they_come_in_the_order_of_the_run() -> None:
    frames, _ = chosen(SMALL)
    places = [(frame.setup, frame.shot) for frame in frames.at_random]
    assert len(places) == len(set(places)) == AT_RANDOM
    assert places == sorted(places)
    assert frames.looked_at == SMALL.setups * SMALL.shots
    assert frames.setups == SMALL.setups


def test_a_short_run_shows_all_it_has() -> None:
    frames, _ = chosen(Layout(11, 2, 3))
    assert [(one.setup, one.shot) for one in frames.at_random] == [
        (setup, shot) for setup in (1, 2) for shot in (1, 2, 3)
    ]


def test_keepers_and_misses_fall_as_in_the_run() -> None:
    """closed form: binomial, 40 sheets of 24 frames; 4 standard deviations."""
    sheets, kept, expected = 40, 0, 0.0
    for seed in range(sheets):
        frames, counted = chosen(Layout(seed, 128, 8))
        kept += sum(frame.keeper for frame in frames.at_random)
        expected += AT_RANDOM * counted[:, KEEPER].sum() / counted.sum()
    share = expected / (sheets * AT_RANDOM)
    spread = math.sqrt(sheets * AT_RANDOM * share * (1.0 - share))
    assert abs(kept - expected) < 4.0 * spread
    # The bound tells keepers from misses, and this rig from one without misses.
    assert 4.0 * spread < min(expected, sheets * AT_RANDOM - expected)


def test_the_whole_run_is_drawn_from() -> None:
    """closed form: 960 uniform places fall into each quarter 240 times, give or take 4 × 13.4."""
    places = [place for seed in range(40) for place in frames_of_a_run.places_drawn(seed, 4000)]
    quarters = np.bincount(np.array(places) // 1000, minlength=4)
    assert np.abs(quarters - 240).max() < 4.0 * math.sqrt(960 * 0.25 * 0.75)


def test_percentiles_have_their_share_of_younger_frames_below() -> None:
    """closed form: k of n ages in order lie below the one at k / (n - 1) of the way."""
    frames, _ = chosen(SMALL)
    known = np.sort(ages(SMALL)[~np.isnan(ages(SMALL))])
    assert tuple(frames.by_age) == PERCENTILES
    for percent, frame in frames.by_age.items():
        below = np.count_nonzero(known < frame.scene.age)
        assert abs(below / (len(known) - 1) - percent / 100.0) <= 0.5 / (len(known) - 1) + 1e-12
        assert np.isin(frame.scene.age, known)


def test_each_reason_of_the_run_is_drawn_once() -> None:
    frames, counted = chosen(SMALL)
    lost = [reason for reason in range(KEEPER) if counted[:, reason].sum() > 0]
    assert list(frames.missed) == lost
    assert len(lost) > 3
    assert all(frame.reason == reason for reason, frame in frames.missed.items())


def test_a_reason_is_shown_by_its_middle() -> None:
    """closed form: in nothing that is measured is the typical frame among its kind's extremes."""
    frames, _ = chosen(SMALL)
    road = open_road(load("barn-table"), CHAIN, wanted=("look",))
    events = fire(road, Block(SMALL, 0, SMALL.setups, 0, SMALL.shots)).as_set
    for word in ("early", "late", "lopsided"):
        reason, frame = REASONS.index(word), frames.missed[REASONS.index(word)]
        for name in ("age", "off_centre", "sheet_width", "motion_blur", "depth_blur"):
            measured = np.broadcast_to(events[name], (SMALL.setups, SMALL.shots))
            low, high = np.nanquantile(measured[events["reason"] == reason], (0.1, 0.9))
            assert low <= measured[frame.setup - 1, frame.shot - 1] <= high


def test_a_rare_reason_is_found_where_it_is() -> None:
    """Few set-ups are gone through; reasons that only later ones have are drawn all the same."""
    few, layout = 16, Layout(11, 2048, 16)
    with patch.object(frames_of_a_run, "LOOKED_AT", few * layout.shots):
        frames, counted = chosen(layout)
    assert frames.looked_at == few * layout.shots
    rare = [k for k in range(KEEPER) if counted[:few, k].sum() == 0 < counted[:, k].sum()]
    assert rare
    for reason in rare:
        frame = frames.missed[reason]
        assert frame.reason == reason
        assert frame.setup - 1 == np.flatnonzero(counted[:, reason])[0]


def test_counts_of_another_run_are_refused() -> None:
    other = np.ones((SMALL.setups, KEEPER + 1), dtype=np.int32)
    with pytest.raises(ValueError, match="another run"):
        choose_frames(open_road(load("barn-table"), CHAIN), SMALL, first_setups(other))


def test_without_a_start_there_is_no_age() -> None:
    frames, _ = chosen(Layout(11, 8, 4), "sensor.miss_chance=100 %")
    assert dict(frames.by_age) == {}
    assert list(frames.missed) == [REASONS.index("no start")]


@pytest.mark.parametrize(
    ("setups", "shots"),
    [(4096, 32), (2, 1), (8, 2048), (64, 2048), (8, 2049), (2, 100_000), (40, 40_000)],
)
def test_the_work_is_bounded_and_spread(setups: int, shots: int) -> None:
    blocks = stretches(Layout(1, setups, shots))
    places = sum(block.setups * block.shots for block in blocks)
    assert places <= LOOKED_AT
    assert places >= min(setups * shots, shots // 16 * 16, LOOKED_AT // 2)
    seen = set()
    for block in blocks:
        assert 0 <= block.first_setup <= setups - block.setups
        assert 0 <= block.first_shot <= shots - block.shots
        seen |= {(block.first_setup, block.first_shot)}
    assert len(seen) == len(blocks)
    if len(blocks) > 1:
        # Frames late in a session are as likely as early ones.
        assert blocks[-1].first_shot >= 0.9 * shots
        assert {block.first_setup for block in blocks} >= {0, (setups * 15) // 16}


def test_long_set_ups_are_gone_through_in_pieces() -> None:
    layout = Layout(11, 3, 2400)
    frames, _ = chosen(layout)
    assert frames.looked_at == 16 * 150
    assert frames.setups == 3
    assert {frame.setup for frame in frames.at_random} == {1, 2, 3}
    road = open_road(load("barn-table"), CHAIN, wanted=("look",))
    for frame in every(frames):
        block = Block(layout, frame.setup - 1, 1, frame.shot - 1, 1)
        events = fire(road, block).as_set
        assert int(np.asarray(events["reason"]).item()) == frame.reason


def test_the_answer_has_them(barn: RunAnswer) -> None:
    assert barn.frames is not None
    losing = {reason for reason, share in barn.as_set.reasons.items() if share.value > 0.0}
    assert {REASONS[reason] for reason in barn.frames.missed} == losing
