"""Each shape against its known distribution, what-if factors, and the reach of a draw."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from jitter.arrays import Array
from jitter.draws.shapes import deviate, error, reach
from jitter.draws.streams import Streams
from jitter.quantities import Shape, Spread

DRAWS = 200_000
KOLMOGOROV = 2.5
"""closed form: P(√N sup|F_N - F| > x) is about 2 exp(-2x²), at 2.5 the 7e-6 of 4.5 sigma."""

NOMINAL, LOWER = 0.05, 0.02


def uniform(name: str, count: int = DRAWS) -> Array:
    out = np.empty((1, count))
    Streams(seed=8).fill(out, name, first=0)
    return out


def errors(spread: Spread, *, scale: float = 1.0, nominal: float = NOMINAL) -> Array:
    deviates = deviate(spread.shape, uniform(f"test {spread.shape.value}"))
    return error(spread, deviates, scale=scale, nominal=nominal, lower=LOWER).ravel()


def law(spread: Spread, scale: float, nominal: float) -> Any:
    """Return the distribution of the error, from the reference library scipy.stats."""
    size = scale * spread.size * (nominal if spread.relative else 1.0)
    match spread.shape:
        case Shape.NORMAL:
            return stats.norm(0.0, size)
        case Shape.RECTANGULAR:
            return stats.uniform(-size, 2.0 * size)
        case Shape.TRIANGULAR:
            return stats.triang(0.5, -size, 2.0 * size)
        case Shape.ARCSINE:
            return stats.arcsine(-size, 2.0 * size)
        case Shape.LOGNORMAL:
            return stats.lognorm(size, -nominal, nominal)
        case _:
            return stats.truncnorm((LOWER - nominal) / size, math.inf, 0.0, size)


SPREADS = [
    Spread(Shape.NORMAL, 0.02),
    Spread(Shape.NORMAL, 0.3, relative=True),
    Spread(Shape.RECTANGULAR, 0.02),
    Spread(Shape.RECTANGULAR, 0.1, relative=True),
    Spread(Shape.TRIANGULAR, 0.02),
    Spread(Shape.ARCSINE, 0.02),
    Spread(Shape.LOGNORMAL, 0.35),
    Spread(Shape.TRUNCATED, 0.02),
    Spread(Shape.TRUNCATED, 0.5, relative=True),
]


@pytest.mark.parametrize("scale", [1.0, 0.5, 1.6])
@pytest.mark.parametrize("spread", SPREADS, ids=str)
def test_errors_follow_the_law(spread: Spread, scale: float) -> None:
    drawn = errors(spread, scale=scale)
    distance = stats.kstest(drawn, law(spread, scale, NOMINAL).cdf).statistic
    assert distance * math.sqrt(DRAWS) < KOLMOGOROV


@pytest.mark.parametrize("shape", [Shape.CHANCE, Shape.TICK])
def test_chances_and_ticks_stay_uniform(shape: Shape) -> None:
    drawn = deviate(shape, uniform("test plain"))
    np.testing.assert_array_equal(drawn, uniform("test plain"))
    assert stats.kstest(drawn.ravel(), "uniform").statistic * math.sqrt(DRAWS) < KOLMOGOROV


@pytest.mark.parametrize("spread", SPREADS, ids=str)
def test_scale_zero_is_no_error(spread: Spread) -> None:
    assert np.all(errors(spread, scale=0.0) == 0.0)


@pytest.mark.parametrize(
    "spread",
    [one for one in SPREADS if one.shape not in (Shape.LOGNORMAL, Shape.TRUNCATED)],
    ids=str,
)
def test_scale_a_half_halves_every_error(spread: Spread) -> None:
    np.testing.assert_array_equal(errors(spread, scale=0.5), 0.5 * errors(spread))


@pytest.mark.parametrize("spread", SPREADS, ids=str)
def test_each_setup_may_have_a_scale_of_its_own(spread: Spread) -> None:
    scales = np.array([[0.25], [1.0], [1.6]])
    uniform = np.array([[0.01, 0.4, 0.97]] * 3)
    deviates = deviate(spread.shape, uniform)
    found = error(spread, deviates, scale=scales, nominal=NOMINAL, lower=0.0)
    for row, scale in zip(found, scales.ravel(), strict=True):
        alone = error(spread, deviates[:1], scale=float(scale), nominal=NOMINAL, lower=0.0)
        np.testing.assert_array_equal(row, alone[0])


@pytest.mark.parametrize("spread", SPREADS, ids=str)
def test_errors_may_take_the_place_of_their_deviates(spread: Spread) -> None:
    deviates = deviate(spread.shape, np.array([[0.01, 0.4, 0.97]]))
    apart = error(spread, deviates, scale=1.3, nominal=NOMINAL, lower=0.0)
    kept = deviates.copy()
    error(spread, deviates, scale=1.3, nominal=NOMINAL, lower=0.0)
    np.testing.assert_array_equal(deviates, kept)
    within = error(spread, deviates, scale=1.3, nominal=NOMINAL, lower=0.0, out=deviates)
    np.testing.assert_array_equal(within, apart)


def test_scale_a_half_halves_the_logarithm() -> None:
    whole = errors(Spread(Shape.LOGNORMAL, 0.35))
    half = errors(Spread(Shape.LOGNORMAL, 0.35), scale=0.5)
    # closed form: x = nominal exp(σ z), so half the spread is the root of the ratio
    np.testing.assert_allclose((1.0 + half / NOMINAL) ** 2, 1.0 + whole / NOMINAL, rtol=1e-12)


def test_lognormal_keeps_its_median() -> None:
    below = np.mean(errors(Spread(Shape.LOGNORMAL, 0.35)) < 0.0)
    assert abs(below - 0.5) <= 4.5 * 0.5 / math.sqrt(DRAWS)


@pytest.mark.parametrize("scale", [0.3, 1.0, 3.0])
def test_truncated_errors_never_pass_the_limit(scale: float) -> None:
    drawn = errors(Spread(Shape.TRUNCATED, 0.02), scale=scale)
    # The sum with the nominal may miss the limit by a rounding error.
    assert drawn.min() + NOMINAL >= LOWER - 1e-15


@pytest.mark.parametrize("spread", [Spread(Shape.TRUNCATED, 0.5, relative=True)], ids=str)
def test_a_share_of_a_negative_nominal_is_still_a_spread(spread: Spread) -> None:
    # closed form: a standard deviation of 50 % of -0.05 is 0.025, cut at -0.08 from below
    deviates = deviate(spread.shape, uniform("test truncated"))
    drawn = error(spread, deviates, scale=1.0, nominal=-0.05, lower=-0.08).ravel()
    known = stats.truncnorm((-0.08 + 0.05) / 0.025, math.inf, 0.0, 0.025)
    assert stats.kstest(drawn, known.cdf).statistic * math.sqrt(DRAWS) < KOLMOGOROV


@pytest.mark.parametrize("shape", [one for one in Shape if one is not Shape.NONE])
def test_the_ends_of_the_uniform_numbers_give_finite_deviates(shape: Shape) -> None:
    ends = np.array([[0.0, 1.0 - 2.0**-53]])
    spread = Spread(shape, 0.02)
    made = error(spread, deviate(shape, ends), scale=1.0, nominal=NOMINAL, lower=LOWER)
    assert np.all(np.isfinite(made))
    assert made[0, 0] <= made[0, 1]


@pytest.mark.parametrize("spread", SPREADS, ids=str)
def test_reach_leaves_out_one_draw_in_ten_million(spread: Spread) -> None:
    low, high = reach(spread, nominal=NOMINAL, lower=LOWER)
    known = law(spread, 1.0, NOMINAL)
    # reference library (scipy.stats): quantiles at 1e-7 and 1 - 1e-7
    assert low == pytest.approx(known.ppf(1e-7), abs=1e-9)
    assert high == pytest.approx(known.isf(1e-7), abs=1e-9)
    drawn = errors(spread)
    assert low <= drawn.min() < 0.0 < drawn.max() <= high


def test_no_spread_reaches_nowhere() -> None:
    assert reach(Spread(), nominal=1.0, lower=0.0) == (0.0, 0.0)


@settings(deadline=None, max_examples=60)
@given(
    spread=st.sampled_from(SPREADS),
    one=st.floats(0.0, 1.0, exclude_max=True),
    other=st.floats(0.0, 1.0, exclude_max=True),
)
def test_errors_rise_with_the_uniform_number(spread: Spread, one: float, other: float) -> None:
    pair = np.array([[min(one, other), max(one, other)]])
    made = error(spread, deviate(spread.shape, pair), scale=1.0, nominal=NOMINAL, lower=LOWER)
    # The two branches of the triangle meet within a rounding error.
    assert made[0, 0] <= made[0, 1] + 1e-15
