"""Counting frames by reason and age, and working through blocks in order."""

from __future__ import annotations

import math
import threading

import numpy as np
import pytest

from jitter.answers.tally import BINS, age_edges, count
from jitter.answers.workers import work_through
from jitter.draws.layout import Block, Layout
from jitter.stage import Events
from jitter.stages.verdict import KEEPER, REASONS

LAYOUT = Layout(seed=1, setups=6, shots=50)
WHOLE = Block(LAYOUT, 0, 6, 0, 50)
WINDOW = (0.002, 0.010)
EARLY, LATE = REASONS.index("early"), REASONS.index("late")


def events() -> Events:
    rng = np.random.Generator(np.random.PCG64DXSM(4))
    age = rng.normal(0.006, 0.006, size=(6, 50))
    age[rng.random(age.shape) < 0.1] = math.nan
    reason = np.where(age < WINDOW[0], EARLY, np.where(age > WINDOW[1], LATE, KEEPER))
    return {"age": age, "reason": np.where(np.isnan(age), 0, reason).astype(np.uint8)}


def test_every_frame_is_counted_once() -> None:
    made = events()
    tally = count(made, block=WHOLE, window=WINDOW)
    for setup in range(6):
        for code in range(KEEPER + 1):
            assert tally.reasons[setup, code] == np.sum(made["reason"][setup] == code)
    np.testing.assert_array_equal(tally.hits, (made["reason"] == KEEPER).sum(axis=1))
    assert tally.histogram.sum() == np.sum(~np.isnan(made["age"]))
    assert tally.histogram[1].sum() == tally.hits.sum()


def test_histogram_has_the_window_among_its_edges() -> None:
    edges = age_edges(WINDOW)
    for end in WINDOW:
        assert np.abs(edges - end).min() < 1e-15
    made = events()
    tally = count(made, block=WHOLE, window=WINDOW)
    middle = 0.5 * (edges[:-1] + edges[1:])
    inside = (middle > WINDOW[0]) & (middle < WINDOW[1])
    assert tally.histogram[1, inside].sum() == tally.hits.sum()
    assert tally.histogram[0, inside].sum() == 0
    kept = made["age"][made["reason"] == KEEPER]
    # reference library: numpy.histogram
    np.testing.assert_array_equal(tally.histogram[1], np.histogram(kept, edges)[0])


def test_ages_beyond_the_ends_count_in_the_end_bins() -> None:
    age = np.array([[-1e9, 1e9, math.nan, 0.006]])
    reason = np.array([[EARLY, LATE, 0, KEEPER]], dtype=np.uint8)
    block = Block(Layout(1, 1, 4), 0, 1, 0, 4)
    tally = count({"age": age, "reason": reason}, block=block, window=WINDOW)
    assert (tally.histogram[0, 0], tally.histogram[0, -1], tally.histogram.sum()) == (1, 1, 3)
    assert len(tally.histogram[0]) == BINS


@pytest.mark.parametrize("shape", [(1, 1), (6, 1), (1, 50)])
def test_what_is_the_same_for_all_is_counted_for_each(shape: tuple[int, int]) -> None:
    made = {"age": np.full(shape, 0.006), "reason": np.full(shape, KEEPER, dtype=np.uint8)}
    tally = count(made, block=WHOLE, window=WINDOW)
    assert tally.hits.tolist() == [50] * 6
    assert tally.ages.count.tolist() == [50] * 6
    assert tally.histogram.sum() == 300


@pytest.mark.parametrize("workers", [1, 2, 3, 50])
@pytest.mark.parametrize("items", [0, 1, 40])
def test_results_come_in_order(workers: int, items: int) -> None:
    seen: list[tuple[int, int]] = []
    found = list(
        work_through(
            lambda item: item * item,
            range(items),
            workers=workers,
            progress=lambda done, total: seen.append((done, total)),
        )
    )
    assert found == [item * item for item in range(items)]
    assert seen == [(done, items) for done in range(1, items + 1)]


def test_no_more_than_a_few_results_wait() -> None:
    begun = 0
    lock = threading.Lock()

    def work(item: int) -> int:
        nonlocal begun
        with lock:
            begun += 1
        return item

    for done, _ in enumerate(work_through(work, range(100), workers=2), start=1):
        assert begun <= done + 4


@pytest.mark.parametrize("workers", [1, 2])
def test_a_failing_block_is_no_silent_gap(workers: int) -> None:
    def work(item: int) -> int:
        if item == 3:
            raise ZeroDivisionError
        return item

    with pytest.raises(ZeroDivisionError):
        list(work_through(work, range(10), workers=workers))
