"""Frames for so many keepers: the planning tables, the beta-binomial, and sums of set-ups."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.special import roots_jacobi

from jitter.answers.plan.prospects import (
    Alike,
    Followed,
    chance_of,
    fewest_frames,
    frames_if_independent,
    keepers,
    mean_of,
    range_of,
    shared_out,
)
from jitter.answers.setup_law import SetupLaw
from jitter.arrays import Array


def beta_law(shape: float, other: float, points: int = 60) -> Alike:
    """Return a beta law, exact for every polynomial of the rate up to degree 2 · points - 1.

    Gauss-Jacobi: ∫ f(p) p^(a-1) (1-p)^(b-1) dp with p = (1+x)/2 has weight (1-x)^(b-1) (1+x)^(a-1).
    """
    places, weights = roots_jacobi(points, other - 1.0, shape - 1.0)
    return Alike(SetupLaw(0.5 * (1.0 + places), weights / weights.sum()))


def one_rate(rate: float) -> Alike:
    return Alike(SetupLaw(np.array([rate]), np.array([1.0])))


# closed form: smallest n with P(Bin(n, p) >= k) >= q, for k = 1, 3, 5, 10, 20; the binomial tails
# were summed independently (the shared notes on statistics, table 3.10).
WANTED = (1, 3, 5, 10, 20)
TABLE = {
    (0.90, 0.10): (22, 52, 78, 140, 256),
    (0.90, 0.25): (9, 20, 30, 55, 100),
    (0.90, 0.50): (4, 9, 14, 26, 48),
    (0.90, 0.80): (2, 5, 8, 15, 28),
    (0.95, 0.10): (29, 61, 89, 154, 275),
    (0.95, 0.25): (11, 23, 34, 60, 107),
    (0.95, 0.50): (5, 11, 16, 28, 51),
    (0.95, 0.80): (2, 6, 9, 16, 29),
    (0.95, 0.90): (2, 5, 7, 13, 25),
    (0.99, 0.80): (3, 7, 10, 18, 32),
}


@pytest.mark.parametrize(("sure", "rate"), TABLE)
def test_planning_table_of_independent_frames(sure: float, rate: float) -> None:
    for want, frames in zip(WANTED, TABLE[sure, rate], strict=True):
        assert frames_if_independent(rate, want=want, sure=sure, most=400) == frames
        found = fewest_frames(one_rate(rate), setups=1, want=want, sure=sure, most=400)
        assert found == frames
        # reference library: scipy.stats.nbinom; failures before the k-th success, and the k.
        assert frames == want + int(stats.nbinom.ppf(sure, want, rate))


@given(rate=st.floats(0.02, 0.98), sure=st.floats(0.05, 0.995), want=st.integers(1, 30))
def test_frames_are_enough_and_one_less_are_not(rate: float, sure: float, want: int) -> None:
    frames = frames_if_independent(rate, want=want, sure=sure, most=4000)
    if frames is None:
        assert stats.binom.sf(want - 1, 4000, rate) < sure
        return
    assert stats.binom.sf(want - 1, frames, rate) >= sure - 1e-9
    assert stats.binom.sf(want - 1, frames - 1, rate) < sure + 1e-9


def test_an_exact_certainty_costs_no_frame() -> None:
    # closed form: one frame at a rate of 0.9 is a keeper with certainty 0.9; the ceiling of
    # ln(1 - q)/ln(1 - p) gives 1 or 2 by rounding.
    assert frames_if_independent(0.9, want=1, sure=0.9, most=5) == 1
    assert fewest_frames(one_rate(0.9), setups=1, want=1, sure=0.9, most=5) == 1


# closed form: beta-binomial tails of mean 0.8 (the shared notes on statistics, 3.10), for k = 1, 5,
# 10 at a certainty of 0.9; ICC = 1/(a + b + 1).
ALIKE = {
    0.0099: (2, 8, 15),
    0.0909: (2, 9, 17),
    0.1667: (2, 9, 18),
    0.3333: (2, 12, 23),
}


@pytest.mark.parametrize("alikeness", ALIKE)
def test_planning_table_of_alike_frames(alikeness: float) -> None:
    both = 1.0 / alikeness - 1.0
    law = beta_law(0.8 * both, 0.2 * both)
    assert law.law.alikeness == pytest.approx(alikeness)
    for want, frames in zip((1, 5, 10), ALIKE[alikeness], strict=True):
        assert fewest_frames(law, setups=1, want=want, sure=0.9, most=100) == frames


def test_a_beta_law_gives_the_beta_binomial() -> None:
    chances = keepers(beta_law(6.0, 2.0), [36])
    # closed form: betabinom(36; 6, 2), from the shared notes on statistics, 3.10.
    assert chances[30] == pytest.approx(0.07051936323, abs=5e-12)
    assert chances[:21].sum() == pytest.approx(0.14187232580, abs=5e-12)
    numbers = np.arange(37.0)
    assert chances @ (numbers - chances @ numbers) ** 2 == pytest.approx(33.0)
    # reference library: scipy.stats.betabinom
    np.testing.assert_allclose(chances, stats.betabinom(36, 6, 2).pmf(numbers), atol=1e-12)
    for want in (1, 20, 30, 36):
        tail = float(stats.betabinom(36, 6, 2).sf(want - 1))
        assert chance_of(beta_law(6.0, 2.0), [36], want) == pytest.approx(tail, abs=1e-12)


@settings(deadline=None)
@given(
    rates=st.lists(st.floats(0.0, 1.0), min_size=1, max_size=4),
    frames=st.lists(st.integers(0, 9), min_size=1, max_size=4),
    want=st.integers(1, 20),
)
def test_sums_of_setups(rates: list[float], frames: list[int], want: int) -> None:
    law = Alike(SetupLaw(np.array(rates), np.full(len(rates), 1.0 / len(rates))))
    chances = keepers(law, frames)
    # closed form: chances sum to 1, means add, variances of independent set-ups add.
    assert chances.sum() == pytest.approx(1.0)
    assert mean_of(chances) == pytest.approx(sum(frames) * np.mean(rates))
    assert chance_of(law, frames, want) == pytest.approx(chances[want:].sum(), abs=1e-12)

    def variance(of: Array) -> float:
        numbers = np.arange(len(of))
        return float(of @ (numbers - of @ numbers) ** 2)

    alone = [variance(keepers(law, [length])) for length in frames]
    assert variance(chances) == pytest.approx(math.fsum(alone), abs=1e-9)


def test_sharing_out_guards_against_a_bad_setup() -> None:
    # closed form: one set-up in ten keeps nothing, the others keep all. One set-up can be sure to
    # 0.9 only; of two set-ups with 12 frames each, one good one does: 0.99.
    law = Alike(SetupLaw(np.array([0.0, 1.0]), np.array([0.1, 0.9])))
    assert fewest_frames(law, setups=1, want=12, sure=0.95, most=10_000) is None
    assert fewest_frames(law, setups=2, want=12, sure=0.95, most=100) == 24
    assert chance_of(law, [12, 12], 12) == pytest.approx(0.99)


def test_followed_setups_are_counted_by_frame() -> None:
    kept = np.array([[1, 1, 2], [0, 0, 0], [1, 2, 3], [0, 1, 2]], dtype=np.int32)
    followed = Followed(kept, np.full(4, 0.25))
    # closed form: counted by hand.
    assert followed.chances(0, 0).tolist() == [1.0]
    assert followed.chances(1, 1).tolist() == [0.5, 0.5]
    assert followed.chances(3, 3).tolist() == [0.25, 0.0, 0.5, 0.25]
    assert followed.chances(3, 1).tolist() == [0.25, 0.0]
    assert chance_of(followed, [3], 2) == 0.75
    assert chance_of(followed, [3, 3], 2) == pytest.approx(1.0 - 0.25**2)
    heavy = Followed(kept, np.array([0.0, 1.0, 0.0, 0.0]))
    assert chance_of(heavy, [3], 1) == 0.0


@given(frames=st.integers(0, 500), setups=st.integers(1, 12))
def test_shared_out_as_equal_as_can_be(frames: int, setups: int) -> None:
    shared = shared_out(frames, setups)
    assert (sum(shared), len(shared)) == (frames, setups)
    assert max(shared) - min(shared) <= 1


def test_range_holds_its_share() -> None:
    chances = stats.binom(40, 0.7).pmf(np.arange(41))
    low, high = range_of(chances, level=0.95)
    # reference library: scipy.stats.binom
    assert (low, high) == tuple(stats.binom(40, 0.7).interval(0.95))
    assert chances[low : high + 1].sum() >= 0.95


def test_more_than_all_frames_cannot_be_kept() -> None:
    assert chance_of(one_rate(1.0), [3, 3], 7) == 0.0
    assert fewest_frames(one_rate(1.0), setups=2, want=7, sure=0.5, most=6) is None
    assert fewest_frames(one_rate(1.0), setups=8, want=7, sure=0.5, most=7) is None
