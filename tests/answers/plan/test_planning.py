"""Manners, what they need, and the quickest of them."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.plan.planning import (
    Costs,
    Manner,
    Strategy,
    evening,
    need,
    quickest,
)
from jitter.answers.plan.prospects import Alike
from jitter.answers.setup_law import SetupLaw

COSTS = Costs(cadence=15.0, trimming=8, setup=600.0)
SURE_FIRE = Alike(SetupLaw(np.array([1.0]), np.array([1.0])))
HALF = Alike(SetupLaw(np.array([0.5]), np.array([1.0])))


def test_trimmings_are_counted_by_setup() -> None:
    # closed form: one at the start of each set-up, and one more after each so many frames.
    assert Manner("as_set", 3).trimmings((9, 9, 9)) == 0
    assert Manner("as_trimmed", 3).trimmings((9, 9, 9)) == 3
    assert Manner("as_trimmed", 2, 4).trimmings((9, 8)) == 3 + 2
    assert Manner("as_trimmed", 2).trimmings((1, 0)) == 1


def test_time_is_setting_up_trimming_and_frames() -> None:
    # closed form: 2 · 600 + (17 + 2 · 8) · 15 s.
    assert Manner("as_trimmed", 2).time((9, 8), COSTS) == 1200.0 + 33 * 15.0
    assert Manner("as_set", 2).time((9, 8), COSTS) == 1200.0 + 17 * 15.0


def test_what_a_certainty_takes() -> None:
    found = need(HALF, Manner("as_trimmed", 1), COSTS, want=1, sure=0.9, frames=100)
    assert found is not None
    # closed form: 1 - 2^-4 = 0.9375 is the first above 0.9; two keepers in four on average.
    assert (found.frames, found.shared, found.trimming) == (4, (4,), 8)
    assert found.expected == pytest.approx(2.0)
    assert found.time == 600.0 + 12 * 15.0
    assert need(HALF, Manner("as_trimmed", 1), COSTS, want=1, sure=0.9, frames=3) is None


def test_what_a_whole_evening_gives() -> None:
    found = evening(HALF, Manner("as_set", 3), want=1, frames=10)
    # closed form: Bin(10, 1/2): none with 2^-10; P(K <= 1) = 11/1024 < 0.025 <= 56/1024.
    assert found.frames == (4, 3, 3)
    assert found.expected == pytest.approx(5.0)
    assert found.none == pytest.approx(2.0**-10)
    assert found.chance == pytest.approx(1.0 - 2.0**-10)
    assert (found.low, found.high) == (2, 8)


def strategy(manner: Manner, *, frames: int = 100, want: int = 10) -> Strategy:
    return Strategy(
        manner=manner,
        table=(),
        asked=need(SURE_FIRE, manner, COSTS, want=want, sure=0.9, frames=frames),
        chance=None,
        evening=evening(SURE_FIRE, manner, want=want, frames=frames),
    )


def test_quickest_is_the_one_that_takes_least_time() -> None:
    short, long = strategy(Manner("as_set", 1)), strategy(Manner("as_trimmed", 1))
    assert quickest([long, short]) is short
    assert quickest([long, strategy(Manner("as_set", 2))]) is long
    assert quickest([strategy(Manner("as_set", 1), frames=9)]) is None
    assert quickest([strategy(Manner("as_set", 1), frames=9), long]) is long


def test_trimming_again_that_never_comes_is_no_strategy_of_its_own() -> None:
    assert strategy(Manner("as_trimmed", 1)).differs
    assert strategy(Manner("as_trimmed", 1, 4)).differs
    assert not strategy(Manner("as_trimmed", 1, 10)).differs
    assert not strategy(Manner("as_trimmed", 3, 4)).differs
    assert strategy(Manner("as_trimmed", 1, 4), frames=9).differs
