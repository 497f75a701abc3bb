"""Blocks tile the rectangle of set-ups and shots exactly once, in order."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jitter.draws.layout import CELL, Block, Layout, blocks


@settings(deadline=None, max_examples=80)
@given(
    setups=st.integers(1, 60),
    shots=st.integers(1, 70),
    size=st.integers(1, 3000),
)
def test_short_setups_are_tiled_in_whole_rows(setups: int, shots: int, size: int) -> None:
    layout = Layout(seed=1, setups=setups, shots=shots)
    seen = np.zeros((setups, shots), dtype=int)
    before = -1
    for block in blocks(layout, size=size):
        rows = slice(block.first_setup, block.first_setup + block.setups)
        seen[rows, block.first_shot : block.first_shot + block.shots] += 1
        assert block.layout is layout
        assert block.first_setup + block.setups <= setups
        assert (block.first_shot, block.shots) == (0, shots)
        assert block.setups * shots <= max(size, shots)
        assert block.first == block.first_setup * shots > before
        before = block.first
    assert np.all(seen == 1)


@given(
    setups=st.integers(1, 60),
    shots=st.sampled_from([1, 7, CELL, CELL + 1]),
    sizes=st.tuples(st.integers(1, 3000), st.integers(1, 3000)),
    share=st.floats(0.0, 1.0),
)
def test_some_setups_and_the_rest_are_all(
    setups: int, shots: int, sizes: tuple[int, int], share: float
) -> None:
    layout, border = Layout(seed=1, setups=setups, shots=shots), int(share * setups)
    parts = [
        *blocks(layout, size=sizes[0], end=border),
        *blocks(layout, size=sizes[1], first=border),
    ]
    at = 0
    for block in parts:
        assert block.first == at
        at += block.setups * block.shots
        assert block.first_setup >= border or block.first_setup + block.setups <= border
    assert at == setups * shots


@settings(deadline=None, max_examples=25)
@given(
    setups=st.integers(1, 4),
    shots=st.integers(CELL - 2, 3 * CELL + 2),
    size=st.integers(1, 4 * CELL),
)
@example(setups=2, shots=CELL, size=1)
@example(setups=2, shots=CELL + 1, size=CELL)
@example(setups=2, shots=2 * CELL, size=10 * CELL)
def test_long_setups_are_cut_alike_for_every_size(setups: int, shots: int, size: int) -> None:
    layout = Layout(seed=1, setups=setups, shots=shots)
    seen = np.zeros((setups, shots), dtype=np.int8)
    before = -1
    for block in blocks(layout, size=size):
        rows = slice(block.first_setup, block.first_setup + block.setups)
        seen[rows, block.first_shot : block.first_shot + block.shots] += 1
        assert block.first == block.first_setup * shots + block.first_shot > before
        before = block.first
        assert block.first_shot + block.shots <= shots
        if shots > CELL:
            assert block.setups == 1
            assert block.first_shot % CELL == 0
            assert block.shots <= CELL
    assert np.all(seen == 1)


def test_a_part_of_several_set_ups_is_no_block() -> None:
    layout = Layout(seed=1, setups=5, shots=8)
    assert Block(layout, 2, 1, 4, 4).first == 20  # closed form: 2 set-ups of 8, and 4 shots
    with pytest.raises(ValueError, match="whole set-ups"):
        Block(layout, 0, 2, 0, 4)
