"""The additive examples of JCGM 101:2008, 9.2, through the package's own draws."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from scipy import stats

from jitter.arrays import Array
from jitter.draws.shapes import deviate, error
from jitter.draws.streams import Streams
from jitter.quantities import Shape, Spread, sd, within

TRIALS = 1_000_000
UNIT = sd(1.0)
RECTANGLE = within(math.sqrt(3.0))
WIDE = within(10.0 * math.sqrt(3.0))


def sum_of_three(y: float) -> float:
    """Return the distribution function of three numbers, each uniform within ±√3.

    closed form: in steps t = (y + 3√3)/(2√3) from the lower end, (t³ - 3 (t-1)³₊ + 3 (t-2)³₊)/6.
    """
    t = (y + 3.0 * math.sqrt(3.0)) / (2.0 * math.sqrt(3.0))
    return sum(sign * max(t - at, 0.0) ** 3 for at, sign in ((0, 1.0), (1, -3.0), (2, 3.0))) / 6.0


@dataclass(frozen=True)
class Example:
    """An example of the guide.

    Attributes
    ----------
    spreads
        Of the four inputs.
    uncertainty, end
        Exact standard uncertainty and upper end of the 95 % interval: closed form.
    kurtosis
        Fourth moment over the variance squared: closed form.
    density
        Of the output at the end: closed form.
    published_uncertainty, published_end, unit
        As the guide's table gives them, from memory, and half a unit of the last digit.
    """

    spreads: tuple[Spread, ...]
    uncertainty: float
    end: float
    kurtosis: float
    density: Callable[[float], float]
    published_uncertainty: float
    published_end: float
    unit: float


def excess(*spreads: tuple[float, float]) -> float:
    """Return the kurtosis of a sum of (variance, kurtosis): 3 + Σ v²(k-3)/(Σ v)²."""
    total = sum(variance for variance, _ in spreads)
    return 3.0 + sum(variance**2 * (kurtosis - 3.0) for variance, kurtosis in spreads) / total**2


EXAMPLES = {
    # JCGM 101:2008, 9.2.2, table 2 (from memory): u = 2.00, [-3.92, 3.92]
    "9.2.2": Example(
        (UNIT,) * 4,
        uncertainty=2.0,  # closed form: √4
        end=3.91992796908011,  # closed form: 2 Φ⁻¹(0.975)
        kurtosis=3.0,
        density=lambda y: float(stats.norm.pdf(y, scale=2.0)),
        published_uncertainty=2.00,
        published_end=3.92,
        unit=0.005,
    ),
    # JCGM 101:2008, 9.2.3, table 3 (from memory): u = 2.00, [-3.88, 3.88]
    "9.2.3": Example(
        (RECTANGLE,) * 4,
        uncertainty=2.0,
        # closed form: the tail t⁴/24 = 0.025, t counted from the end 4√3 in steps of 2√3
        end=3.87940674134782,
        kurtosis=excess(*[(1.0, 1.8)] * 4),
        density=lambda y: (
            ((4.0 * math.sqrt(3.0) - y) / (2.0 * math.sqrt(3.0))) ** 3
            / 6.0
            / (2.0 * math.sqrt(3.0))
        ),
        published_uncertainty=2.00,
        published_end=3.88,
        unit=0.005,
    ),
    # JCGM 101:2008, 9.2.4, table 4 (from memory): u = 10.1, [-17.0, 17.0]
    "9.2.4": Example(
        (RECTANGLE, RECTANGLE, RECTANGLE, WIDE),
        uncertainty=10.1488915650922,  # closed form: √103
        end=17.0158140998667,  # closed form: 0.975 of the convolution in `density`
        kurtosis=excess((1.0, 1.8), (1.0, 1.8), (1.0, 1.8), (100.0, 1.8)),
        density=lambda y: (
            (
                sum_of_three(min(y + 10.0 * math.sqrt(3.0), 3.0 * math.sqrt(3.0)))
                - sum_of_three(y - 10.0 * math.sqrt(3.0))
            )
            / (20.0 * math.sqrt(3.0))
        ),
        published_uncertainty=10.1,
        published_end=17.0,
        unit=0.05,
    ),
}


def summed(example: Example) -> Array:
    streams, total = Streams(seed=101), np.zeros((1, TRIALS))
    for place, spread in enumerate(example.spreads):
        drawn = np.empty((1, TRIALS))
        streams.fill(drawn, f"guide.input_{place} shot", first=0)
        drawn = deviate(spread.shape, drawn)
        total += error(spread, drawn, scale=1.0, nominal=0.0, lower=-math.inf)
    return total.ravel()


@pytest.mark.parametrize("clause", EXAMPLES)
def test_example(clause: str) -> None:
    example = EXAMPLES[clause]
    drawn = summed(example)
    # Standard errors: u/√M of the mean, u √((κ-1)/M)/2 of the deviation, √(pq/M) of a share and
    # that over the density of a quantile.
    assert abs(drawn.mean()) <= 4.5 * example.uncertainty / math.sqrt(TRIALS)
    of_deviation = 0.5 * example.uncertainty * math.sqrt((example.kurtosis - 1.0) / TRIALS)
    deviation = float(drawn.std(ddof=1))
    assert abs(deviation - example.uncertainty) <= 4.5 * of_deviation
    rounding = example.unit
    assert abs(deviation - example.published_uncertainty) <= rounding + 4.5 * of_deviation
    of_share = math.sqrt(0.025 * 0.975 / TRIALS)
    assert abs(np.mean(drawn > example.end) - 0.025) <= 4.5 * of_share
    assert abs(np.mean(drawn < -example.end) - 0.025) <= 4.5 * of_share
    of_end = of_share / example.density(example.end)
    low, high = np.quantile(drawn, (0.025, 0.975))
    for found in (-low, high):
        assert abs(found - example.end) <= 4.5 * of_end
        assert abs(found - example.published_end) <= rounding + 4.5 * of_end


def test_normal_theory_is_too_wide_for_rectangles() -> None:
    # JCGM 101:2008, 9.2.4, table 4 (from memory): the law of propagation gives ±19.9, that is
    # (closed form) 1.959964 √103, where the trials give ±17.0.
    high = float(np.quantile(summed(EXAMPLES["9.2.4"]), 0.975))
    assert 1.959964 * math.sqrt(103.0) == pytest.approx(19.8914619505831, abs=1e-5)
    assert high < 19.9 - 2.8


def test_shapes_are_what_the_examples_say() -> None:
    assert {spread.shape for spread in EXAMPLES["9.2.4"].spreads} == {Shape.RECTANGULAR}
