"""The answer is the same to the last digit however its shots are split and whoever works them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from jitter.answers.run import RunAnswer, Way, answer_run
from jitter.draws.layout import CELL
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from tests.toy import answer_toy, toy_study


def toy_mixed() -> Study:
    """Return a toy with errors at set-up level, at shot level and at both."""
    return toy_study(
        half_width=2.0,
        setup={"a": 1.0, "b": 1.0},
        shot={"a": 1.0, "c": 1.0},
        reading=1.0,
        step=1.0,
    )


@cache
def default_study() -> Study:
    return read_study("version = 1\n", source="test", chain=CHAIN)


def digits(way: Way) -> list[Any]:
    """Return every number of a way, written so that NaN equals NaN and no digit is lost."""
    parts = (way.hit_rate, way.by_setup, way.reasons, way.ages, way.histogram.tolist())
    return [repr(part) for part in parts]


def same(one: RunAnswer, other: RunAnswer) -> None:
    assert digits(one.as_set) == digits(other.as_set)
    assert digits(one.as_trimmed) == digits(other.as_trimmed)
    assert [repr(rank) for rank in one.ranking] == [repr(rank) for rank in other.ranking]


SPLITS = [(1000, 1), (1000, 2), (7777, 3), (16384, 2), (1, 2)]


@pytest.mark.parametrize(("size", "workers"), SPLITS)
def test_split_changes_nothing(size: int, workers: int) -> None:
    study, layout = toy_mixed(), {"setups": 600, "shots": 40}
    whole = answer_toy(study, **layout, block_size=10**6, workers=1)
    same(answer_toy(study, **layout, block_size=size, workers=workers), whole)


@pytest.mark.parametrize(("size", "workers"), [(1000, 2), (7777, 3), (16384, 1)])
def test_split_changes_nothing_on_the_default_rig(size: int, workers: int) -> None:
    layout: dict[str, Any] = {"setups": 256, "shots": 32}
    whole = answer_run(default_study(), CHAIN, **layout, block_size=10**6, workers=1)
    parts = answer_run(default_study(), CHAIN, **layout, block_size=size, workers=workers)
    same(parts, whole)


@pytest.mark.parametrize(("size", "workers"), [(1000, 1), (7777, 2), (10**6, 3)])
def test_split_changes_nothing_where_setups_are_cut(size: int, workers: int) -> None:
    study, layout = toy_mixed(), {"setups": 3, "shots": 2 * CELL + 100}
    whole = answer_toy(study, **layout, workers=1)
    same(answer_toy(study, **layout, block_size=size, workers=workers), whole)


def test_long_setups_keep_their_setup_errors() -> None:
    # A set-up longer than a cell is a block of one row: its error must still be there.
    study = toy_study(half_width=2.0, setup={"a": 1.0}, shot={"a": 1.0})
    cut = answer_toy(study, setups=40, shots=CELL + 1).as_set.ages
    rows = answer_toy(study, setups=40, shots=CELL // 4).as_set.ages
    # closed form: both see the same 40 set-up errors; their shots move a set-up's mean by
    # 1 ms/√n, which moves the spread of 40 by less than 4.5 of these.
    assert abs(cut.setup - rows.setup) <= 4.5e-3 / np.sqrt(CELL // 4)


def test_progress_and_seed() -> None:
    seen: list[tuple[int, int]] = []
    study = toy_mixed()
    first = answer_toy(
        study,
        setups=64,
        shots=16,
        block_size=256,
        workers=2,
        progress=lambda done, total: seen.append((done, total)),
    )
    assert seen == [(done, 4) for done in range(1, 5)]
    other = answer_toy(replace(study, seed=6), setups=64, shots=16)
    assert digits(first.as_set) != digits(other.as_set)


def test_wanting_nothing_that_strays_is_answered() -> None:
    answer = answer_toy(toy_study(half_width=1.0), setups=8, shots=4)
    assert answer.as_set.hit_rate.value == 1.0
    assert answer.as_trimmed.hit_rate.value == 1.0
    assert answer.ranking == ()
