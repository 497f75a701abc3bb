"""Hit rates by points: their intervals, and what they never claim."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from jitter.answers.smooth_hits import SmoothHits


def rated(*shares: float, points: int = 10**9) -> SmoothHits:
    return SmoothHits({"as_set": np.array(shares)}, points)


def test_the_interval_is_students() -> None:
    shares = np.random.default_rng(1).normal(0.5, 0.01, 16)
    rate = rated(*shares).rates["as_set"]
    # reference library: scipy.stats.t.
    low, high = stats.t.interval(0.95, 15, shares.mean(), shares.std(ddof=1) / 4.0)
    assert (rate.low, rate.high) == pytest.approx((low, high))
    assert rate.value == pytest.approx(shares.mean())


def test_no_interval_is_narrower_than_a_point_is_worth() -> None:
    rate = rated(0.5, 0.5, 0.5, points=400).rates["as_set"]
    assert (rate.low, rate.high) == pytest.approx((0.4975, 0.5025))
    gain = rated(0.5, 0.6, points=400).above(rated(0.4, 0.5, points=400), "as_set")
    assert (gain.low, gain.value, gain.high) == pytest.approx((0.0975, 0.1, 0.1025))
    assert gain.clear
    none = rated(0.5, 0.6, points=400).above(rated(0.5, 0.6, points=400), "as_set")
    assert not none.clear


def test_a_share_ends_at_nothing_and_at_all() -> None:
    rate = rated(0.0, 0.0004).rates["as_set"]
    assert rate.low == 0.0
    assert rated(1.0, 0.9996).rates["as_set"].high == 1.0
    # A gain may well be a loss.
    assert rated(0.1, 0.1).above(rated(0.3, 0.2), "as_set").low < -0.1


def test_sets_that_go_together_tell_gains_better_than_rates() -> None:
    draws = np.random.default_rng(2)
    common = draws.normal(0.5, 0.02, 16)
    one, other = rated(*common), rated(*(common - 0.01 + draws.normal(0.0, 1e-4, 16)))
    gain = one.above(other, "as_set")
    assert math.isclose(gain.value, 0.01, abs_tol=2e-4)
    assert gain.high - gain.low < 0.05 * (one.rates["as_set"].high - one.rates["as_set"].low)
