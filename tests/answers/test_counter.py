"""What is kept of a simulation: the same however it was cut, and no more for more set-ups."""

from __future__ import annotations

import math
import tracemalloc
from collections.abc import Sequence

import numpy as np
import pytest

from jitter.answers.ages import ages, spreads, sum_ages
from jitter.answers.counter import NEVER, Count, Counter
from jitter.answers.intervals import clustered_share
from jitter.answers.tally import count
from jitter.draws.layout import Block, Layout
from jitter.stage import Events
from jitter.stages.verdict import KEEPER

LAYOUT = Layout(seed=1, setups=6, shots=50)
WINDOW = (0.002, 0.010)
NEVER_SEEN = 7


def events() -> Events:
    rng = np.random.Generator(np.random.PCG64DXSM(4))
    age = rng.normal(0.05, 0.006, size=(6, 1)) + rng.normal(0.0, 0.004, size=(6, 50))
    age[rng.random(age.shape) < 0.1] = math.nan
    reason = rng.choice([1, 2, 4, KEEPER, KEEPER], size=age.shape).astype(np.uint8)
    reason[:2][reason[:2] == 4] = KEEPER
    return {"age": age, "reason": reason}


def counted(cuts: Sequence[tuple[int, int, int, int]]) -> Count:
    """Count the frames cut into blocks: first set-up, set-ups, first shot, shots."""
    made, counter = events(), Counter(LAYOUT)
    for first, setups, shot, shots in cuts:
        block = Block(LAYOUT, first, setups, shot, shots)
        rows, columns = slice(first, first + setups), slice(shot, shot + shots)
        part = {name: each[rows, columns] for name, each in made.items()}
        counter.add(block, count(part, block=block, window=WINDOW))
    return counter.total()


WHOLE = ((0, 6, 0, 50),)


def test_every_frame_is_counted_once() -> None:
    """closed form: sums over the frames themselves."""
    made, total = events(), counted(WHOLE)
    for reason in range(KEEPER + 1):
        of_each = (made["reason"] == reason).sum(axis=1)
        assert total.frames[reason] == of_each.sum()
        assert total.squares[reason] == (of_each**2).sum()
        found = np.flatnonzero(of_each)
        assert total.first[reason] == (found[0] if len(found) else NEVER)
        assert total.share(reason) == clustered_share(of_each.astype(np.int32), 50)
    assert total.first[4] == 2
    assert total.first[NEVER_SEEN] == NEVER
    keepers = (made["reason"] == KEEPER).sum(axis=1)
    np.testing.assert_array_equal(np.repeat(total.hits, total.seen), np.sort(keepers))
    assert spreads(total.ages) == ages(sum_ages(made["age"]))
    assert total.histogram.sum() == np.sum(~np.isnan(made["age"]))


@pytest.mark.parametrize(
    "cuts",
    [
        [(0, 1, 0, 50), (1, 5, 0, 50)],
        [(0, 2, 0, 50), (2, 4, 0, 50)],
        [(setup, 1, 0, 50) for setup in range(6)],
    ],
)
def test_blocks_of_whole_setups_change_no_digit(cuts: list[tuple[int, int, int, int]]) -> None:
    one, other = counted(WHOLE), counted(cuts)
    assert other.ages == one.ages
    assert (other.frames, other.squares, other.first) == (one.frames, one.squares, one.first)
    np.testing.assert_array_equal(other.hits, one.hits)
    np.testing.assert_array_equal(other.seen, one.seen)
    np.testing.assert_array_equal(other.histogram, one.histogram)


def test_the_cells_of_a_setup_are_joined() -> None:
    cells = [(setup, 1, shot, 25) for setup in range(6) for shot in (0, 25)]
    one, other = counted(WHOLE), counted(cells)
    assert (other.frames, other.squares, other.first) == (one.frames, one.squares, one.first)
    np.testing.assert_array_equal(other.hits, one.hits)
    assert other.ages.squares == one.ages.squares
    # Ages are added up cell by cell, which costs the last digits.
    assert spreads(other.ages).setup == pytest.approx(spreads(one.ages).setup, rel=1e-9)


def test_more_setups_take_no_more_room() -> None:
    def room(setups: int) -> int:
        layout = Layout(seed=1, setups=setups, shots=50)
        counter = Counter(layout)
        made = events()
        tracemalloc.start()
        for first in range(0, setups, 6):
            block = Block(layout, first, 6, 0, 50)
            counter.add(block, count(made, block=block, window=WINDOW))
        held = tracemalloc.get_traced_memory()[0]
        tracemalloc.stop()
        return held

    # A single byte a set-up would be 5,400 more.
    assert room(6000) - room(600) < 2000
