"""Mean and spreads of the age: textbook analysis of variance, unbalanced data, missing ages."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.ages import ages, join_ages, no_ages, sum_ages, variance
from jitter.arrays import Array

NAN = math.nan


def test_balanced_analysis_by_hand() -> None:
    # closed form: three set-ups of three; means 2, 4, 9; mean square within (2+2+2)/6 = 1;
    # between 3 ((2-5)² + (4-5)² + (9-5)²)/2 = 39; component (39 - 1)/3
    found = ages(sum_ages(np.array([[1.0, 2.0, 3.0], [3.0, 4.0, 5.0], [8.0, 9.0, 10.0]])))
    assert found.mean == pytest.approx(5.0)
    assert found.shot == pytest.approx(1.0)
    assert found.setup == pytest.approx(math.sqrt(38.0 / 3.0))


def test_alike_setups_have_no_component() -> None:
    found = ages(sum_ages(np.array([[1.0, 2.0, 3.0], [1.0, 2.0, 3.0]])))
    # closed form: mean square between 0 is below that within, 1
    assert found.setup == 0.0
    assert found.shot == pytest.approx(1.0)


def brute(rows: Array) -> tuple[float, float, float]:
    """Return mean, set-up and shot deviation straight from the definition.

    Searle, Casella & McCulloch 1992, Variance Components, section 3.6 (from memory): with n_i
    frames in set-up i, E(mean square between) = σ² + σ_s² (N - Σn_i²/N)/(g - 1).
    """
    groups = [row[~np.isnan(row)] for row in rows]
    groups = [group for group in groups if len(group)]
    whole = np.concatenate(groups)
    frames, count = len(whole), len(groups)
    inside = sum(((group - group.mean()) ** 2).sum() for group in groups) / (frames - count)
    outside = sum(len(g) * (g.mean() - whole.mean()) ** 2 for g in groups) / (count - 1)
    typical = (frames - sum(len(group) ** 2 for group in groups) / frames) / (count - 1)
    return whole.mean(), math.sqrt(max(outside - inside, 0.0) / typical), math.sqrt(inside)


@settings(deadline=None, max_examples=60)
@given(seed=st.integers(0, 10**6), missing=st.floats(0.0, 0.9))
def test_unbalanced_analysis_equals_brute_force(seed: int, missing: float) -> None:
    rng = np.random.Generator(np.random.PCG64DXSM(seed))
    rows = rng.normal(size=(12, 1)) + rng.normal(size=(12, 9)) + 3.0
    rows[rng.random(rows.shape) < missing] = NAN
    rows[0, :2], rows[1, :2] = (1.0, 2.0), (4.0, 4.5)
    found = ages(sum_ages(rows))
    assert (found.mean, found.setup, found.shot) == pytest.approx(brute(rows), abs=1e-7)


def test_unbalanced_components_are_unbiased() -> None:
    rng = np.random.Generator(np.random.PCG64DXSM(2))
    squares = []
    for _ in range(400):
        rows = rng.normal(scale=2.0, size=(30, 1)) + rng.normal(size=(30, 8))
        rows[rng.random(rows.shape) < np.linspace(0.0, 0.8, 30)[:, None]] = NAN
        found = ages(sum_ages(rows))
        squares.append((found.setup**2, found.shot**2))
    means, errors = np.mean(squares, axis=0), np.std(squares, axis=0) / math.sqrt(len(squares))
    # closed form: the variances drawn from
    assert np.all(np.abs(means - [4.0, 1.0]) <= 4.5 * errors)


def test_setups_without_an_age_are_left_out() -> None:
    with_gap = np.array([[1.0, 2.0], [NAN, NAN], [4.0, 6.0]])
    assert ages(sum_ages(with_gap)) == ages(sum_ages(with_gap[[0, 2]]))


def test_undefined_is_nan() -> None:
    nothing = ages(sum_ages(np.full((3, 2), NAN)))
    assert all(math.isnan(part) for part in (nothing.mean, nothing.setup, nothing.shot))
    lonely = ages(sum_ages(np.array([[1.0, 3.0], [NAN, NAN]])))
    # closed form: mean 2, standard deviation √2 of two frames 2 apart
    assert lonely.mean == 2.0
    assert lonely.shot == pytest.approx(math.sqrt(2.0))
    assert math.isnan(lonely.setup)
    single = ages(sum_ages(np.array([[1.0, NAN], [3.0, NAN]])))
    assert single.mean == 2.0
    assert math.isnan(single.shot)
    one = ages(sum_ages(np.array([[1.0, NAN], [NAN, NAN]])))
    assert one.mean == 1.0
    assert math.isnan(one.setup)
    assert math.isnan(one.shot)


def test_sums_join() -> None:
    rows = np.random.Generator(np.random.PCG64DXSM(1)).normal(size=(10, 4))
    whole, parts = sum_ages(rows), [sum_ages(rows[:3]), sum_ages(rows[3:])]
    joined = join_ages(parts, setups=7)
    for name in ("count", "total", "square"):
        np.testing.assert_array_equal(getattr(joined, name), getattr(whole, name)[:7])


def test_variance_over_all_frames() -> None:
    rows = np.array([[1.0, 2.0, NAN], [4.0, NAN, 6.0]])
    # closed form: mean 3.25, mean square 57/4
    assert variance(sum_ages(rows)) == pytest.approx(57.0 / 4.0 - 3.25**2)
    assert variance(no_ages(4)) == 0.0
