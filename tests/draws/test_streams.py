"""Streams of random numbers: addressable, independent, and left alone by their neighbours."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.streams import Streams
from jitter.quantities import sd
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study, default_entry
from tests.toy import toy_quantity

LENGTH = 20_000


def piece(name: str, *, seed: int = 4, first: int = 0, length: int = LENGTH) -> Array:
    out = np.empty(length)
    Streams(seed).fill(out, name, first=first)
    return out


@settings(deadline=None, max_examples=60)
@given(first=st.integers(0, 900), length=st.integers(1, 100), rows=st.integers(1, 3))
def test_any_piece_is_a_piece_of_the_whole(first: int, length: int, rows: int) -> None:
    out = np.empty((rows, length))
    Streams(4).fill(out, "any", first=first)
    whole = piece("any", length=1200)
    np.testing.assert_array_equal(out.ravel(), whole[first : first + rows * length])


def test_places_beyond_32_bits_are_places_of_their_own() -> None:
    far = piece("any", first=2**32 + 5, length=10)
    assert not np.intersect1d(far, piece("any")).size
    np.testing.assert_array_equal(far[3:], piece("any", first=2**32 + 8, length=7))


def test_order_of_use_changes_nothing() -> None:
    streams, first, second = Streams(4), np.empty(50), np.empty(50)
    streams.fill(second, "other", first=7)
    streams.fill(first, "any", first=0)
    np.testing.assert_array_equal(first, piece("any", length=50))
    np.testing.assert_array_equal(second, piece("other", first=7, length=50))


def test_numbers_lie_in_the_unit_interval() -> None:
    drawn = piece("any")
    assert drawn.min() >= 0.0
    assert drawn.max() < 1.0


def test_names_and_seeds_are_independent() -> None:
    names = [
        f"{key} {level}" for key in CHAIN.declarations for level in ("setup", "shot", "trimming")
    ]
    drawn = [piece(name) for name in names] + [piece(names[0], seed=seed) for seed in range(4)]
    met = np.corrcoef(np.array(drawn)) - np.eye(len(drawn))
    # A correlation of N independent pairs has standard error 1/√N; so many pairs are looked at
    # here that the largest is allowed 6 of them (two chances in a billion each).
    assert np.abs(met).max() < 6.0 / math.sqrt(LENGTH)
    near = [np.corrcoef(one[:-1], one[1:])[0, 1] for one in drawn[:20]]
    assert np.abs(near).max() < 4.5 / math.sqrt(LENGTH)


def test_seed_zero_is_a_seed() -> None:
    zero = piece("any", seed=0)
    assert not np.intersect1d(zero, piece("any", seed=1)).size
    np.testing.assert_array_equal(zero, piece("any", seed=0))


def test_largest_seed_is_a_seed() -> None:
    largest = piece("any", seed=2**64 - 1)
    assert not np.intersect1d(largest, piece("any", seed=2**32 - 1)).size


@pytest.mark.parametrize("trimming", [False, True])
def test_another_quantity_leaves_the_others_bit_identical(trimming: bool) -> None:
    study = read_study("version = 1\n", source="test", chain=CHAIN)
    extra = default_entry(toy_quantity("extra", setup=sd(1.0), shot=sd(1.0)), {})
    # Put first, where it would shift everything that were drawn in one row.
    more = Study("More", study.seed, {"toy.extra": extra, **study.entries})
    block = Block(Layout(seed=2, setups=9, shots=7), 2, 5, 0, 7)
    before, after = draw(study, block, trimming=trimming), draw(more, block, trimming=trimming)
    assert set(after.setup) - set(before.setup) == {"toy.extra"}
    assert set(after.shot) - set(before.shot) == {"toy.extra"}
    for level in ("setup", "shot"):
        for key, drawn in getattr(before, level).items():
            np.testing.assert_array_equal(drawn, getattr(after, level)[key])


def test_the_seed_of_the_layout_reaches_every_source() -> None:
    study = read_study("version = 1\n", source="test", chain=CHAIN)
    block = Block(Layout(seed=2, setups=9, shots=7), 2, 5, 0, 7)
    other = replace(block, layout=replace(block.layout, seed=0))
    for level in ("setup", "shot"):
        one, two = getattr(draw(study, block), level), getattr(draw(study, other), level)
        assert len(one) > 10
        for key in one:
            assert not np.any(one[key] == two[key]), key
