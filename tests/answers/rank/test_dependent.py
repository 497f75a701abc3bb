"""Shapley effects of dependent normal errors against their closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.rank.dependent import normal_shapley


def pair(correlation: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.array([[1.0, correlation], [correlation, 1.0]])


@pytest.mark.parametrize(
    ("correlation", "variance", "share"),
    [
        # closed form: of x₁ + 2 x₂ alone x₁ tells (1 + 2 r)², after x₂ 1 - r²; the mean of both
        # over V = 5 + 4 r.
        (0.5, 7.0, 0.339285714285714),
        (0.0, 5.0, 0.2),
        (0.9, 8.6, 0.466860465116279),
        (-0.9, 1.4, 0.296428571428572),
    ],
)
def test_two_errors(correlation: float, variance: float, share: float) -> None:
    parts = normal_shapley(np.array([1.0, 2.0]), pair(correlation))
    assert parts.sum() == pytest.approx(variance)
    assert parts[0] / variance == pytest.approx(share, rel=1e-12)
    alone, after = (1.0 + 2.0 * correlation) ** 2, 1.0 - correlation**2
    assert parts[0] == pytest.approx(0.5 * (alone + after))


@pytest.mark.parametrize(
    ("correlation", "shares"),
    [
        # closed form: an error of its own, 1, beside a pair of 1 and 2 that depend; the pair as
        # above, over V = 6 + 4 r.
        (0.9, (0.104166667, 0.418229167, 0.477604167)),
        (0.5, (0.125, 0.296875, 0.578125)),
        (0.0, (1.0 / 6.0, 1.0 / 6.0, 2.0 / 3.0)),
        (-0.5, (0.25, 0.09375, 0.65625)),
        (-0.9, (0.416666667, 0.172916667, 0.410416667)),
    ],
)
def test_an_error_of_its_own_beside_a_pair(
    correlation: float, shares: tuple[float, float, float]
) -> None:
    matrix = np.eye(3)
    matrix[1:, 1:] = pair(correlation)
    parts = normal_shapley(np.array([1.0, 1.0, 2.0]), matrix)
    assert parts / parts.sum() == pytest.approx(shares, abs=1e-9)
    assert parts[0] == pytest.approx(1.0)  # closed form: who depends on nobody keeps its square


def test_who_does_nothing_may_still_tell() -> None:
    parts = normal_shapley(np.array([1.0, 0.0]), pair(0.8))
    # closed form: r²/2 of the other's square.
    assert parts == pytest.approx([1.0 - 0.32, 0.32])


def test_errors_that_are_one_share_alike() -> None:
    # A singular matrix: both are the same error, of 1 + 3. closed form: half of 16 each.
    assert normal_shapley(np.array([1.0, 3.0]), pair(1.0)) == pytest.approx([8.0, 8.0])


@given(
    effects=st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=5), seed=st.integers(0, 2**32 - 1)
)
@settings(deadline=None, max_examples=50)
def test_parts_sum_to_the_variance(effects: list[float], seed: int) -> None:
    sizes = np.array(effects)
    roots = np.random.default_rng(seed).standard_normal((len(sizes), len(sizes) + 2))
    covariance = roots @ roots.T
    scale = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(scale, scale)
    parts = normal_shapley(sizes, correlation)
    # closed form: the variance of the sum is a' R a; no part is below 0.
    assert parts.sum() == pytest.approx(sizes @ correlation @ sizes, abs=1e-9)
    assert (parts >= -1e-9).all()
