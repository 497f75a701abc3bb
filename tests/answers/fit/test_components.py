"""Means, analysis of variance and their intervals: published examples and coverage."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM

from jitter.answers.fit.components import separate, type_a
from jitter.answers.fit.pivots import likely_variances, spread_of

Groups = list[NDArray[np.float64]]


def drawn(
    random: np.random.Generator, sizes: tuple[int, ...], setup: float, shot: float = 1.0
) -> Groups:
    return [
        setup * random.standard_normal() + shot * random.standard_normal(size) for size in sizes
    ]


def with_moments(mean: float, sd: float, count: int) -> NDArray[np.float64]:
    pattern = np.arange(count) - 0.5 * (count - 1)
    return np.asarray(mean + sd * pattern / np.std(pattern, ddof=1))


def test_interval_of_a_standard_deviation_as_in_the_handbook() -> None:
    # published: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.3.1, s √(N-1)/√χ² (read), with
    # the critical values of 1.3.6.7.4 for 99 degrees of freedom, 128.422 (read) and 73.361 (from
    # memory); s and N are those of its gears, 1.3.5.8 (from memory).
    sd, count = 0.6278908e-2, 100
    found = separate([with_moments(0.998, sd, count)])
    assert found.shot is not None
    assert found.shot.value == pytest.approx(sd, rel=1e-12)
    assert found.shot.low == pytest.approx(sd * math.sqrt(99 / 128.422), rel=2e-4)
    assert found.shot.high == pytest.approx(sd * math.sqrt(99 / 73.361), rel=2e-4)


@pytest.mark.parametrize("freedom", [1, 2, 5, 19, 9999])
def test_interval_of_a_standard_deviation_is_that_of_chi_square(freedom: int) -> None:
    (likely,) = likely_variances([4.0], [freedom])
    found = spread_of(4.0, likely)
    # reference library: scipy.stats
    ends = [math.sqrt(4.0 * freedom / stats.chi2.ppf(tail, freedom)) for tail in (0.975, 0.025)]
    assert [found.low, found.high] == pytest.approx(ends, rel=4e-3)


# Daily means and standard deviations in microvolts above 10 V, five readings a day.
# published: JCGM 100:2008, H.5, table H.9; the numbers as carried by the tests of a public
# program (second-hand), the results of equations H.24 to H.28 from memory.
MEANS = (172, 116, 13, 144, 106, 31, 60, 125, 163, 41)
SPREADS = (60, 77, 111, 101, 67, 93, 80, 73, 88, 86)


def test_voltage_standard_of_the_guide() -> None:
    groups = [with_moments(m, s, 5) for m, s in zip(MEANS, SPREADS, strict=True)]
    found = separate(groups)
    assert found.within is not None
    assert found.between is not None
    assert found.shot is not None
    assert found.setup is not None
    assert found.mean.estimate.value == pytest.approx(97.0, abs=0.5)
    assert math.sqrt(found.between.value) == pytest.approx(57.0, abs=0.5)
    assert math.sqrt(5.0 * found.between.value) == pytest.approx(128.0, abs=0.5)
    assert found.shot.value == pytest.approx(85.0, abs=0.5)
    assert 5.0 * found.between.value / found.within.value == pytest.approx(2.25, abs=0.02)
    assert found.setup.value == pytest.approx(43.0, abs=0.5)
    # 57/√10
    assert found.mean.uncertainty == pytest.approx(18.0, abs=0.5)
    assert (found.mean.freedom, found.within.freedom) == (9, 40)


# published: Davies & Goldsmith 1972, Statistical Methods in Research and Production, section 6.4:
# yield of dyestuff from six batches of an intermediate product, five preparations each (from
# memory). For as many readings of each the estimates are those of restricted maximum likelihood.
DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)


def test_dyestuff_against_a_library() -> None:
    groups = [np.array(batch, dtype=np.float64) for batch in DYESTUFF]
    found = separate(groups)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        # reference library: statsmodels, MixedLM
        values = np.concatenate(groups)
        fitted = MixedLM(values, np.ones((30, 1)), np.repeat(np.arange(6), 5)).fit(reml=True)
    assert found.shot is not None
    assert found.setup is not None
    assert found.mean.estimate.value == pytest.approx(1527.5)
    assert found.shot.value**2 == pytest.approx(fitted.scale, rel=1e-4)
    assert found.setup.value**2 == pytest.approx(float(fitted.cov_re[0, 0]), rel=1e-3)
    # from memory: 49.51 and 42.00
    assert (found.shot.value, found.setup.value) == pytest.approx((49.51, 42.00), abs=0.01)
    # reference library: scipy.stats
    test = stats.f_oneway(*groups)
    assert found.within is not None
    assert found.between is not None
    assert 5.0 * found.between.value / found.within.value == pytest.approx(test.statistic)


def test_unequal_setups_by_hand() -> None:
    # closed form: within (2 + 2)/3; between 3·1.6² + 2·2.4² = 19.2; n0 = 5 - 13/5 = 2.4.
    found = separate([np.array([1.0, 2.0, 3.0]), np.array([5.0, 7.0])])
    assert found.shot is not None
    assert found.setup is not None
    assert found.shot.value == pytest.approx(math.sqrt(4.0 / 3.0))
    assert found.setup.value == pytest.approx(math.sqrt((19.2 - 4.0 / 3.0) / 2.4))


def test_weights_are_single_shots() -> None:
    """Means of four shots each count as four: the spread is that of one shot."""
    random = np.random.default_rng(7)
    shots = random.standard_normal((400, 4))
    found = separate([shots.mean(axis=1)], weights=[np.full(400, 4.0)])
    assert found.shot is not None
    # closed form: sd of a sample's standard deviation, 1/√(2n)
    assert found.shot.value == pytest.approx(1.0, abs=4.0 / math.sqrt(800.0))
    assert found.mean.uncertainty == pytest.approx(0.025, rel=0.15)


def test_known_parts_are_taken_off_as_variances() -> None:
    groups = [with_moments(mean, 5.0, 8) for mean in (0.0, 10.0, 20.0)]
    plain, less = separate(groups), separate(groups, known_shot=9.0, known_setup=64.0)
    assert plain.setup is not None
    assert less.setup is not None
    assert less.shot is not None
    # closed form: √(5² - 3²)
    assert less.shot.value == pytest.approx(4.0)
    assert less.setup.value == pytest.approx(math.sqrt(plain.setup.value**2 - 64.0))
    over = separate(groups, known_shot=400.0)
    assert over.shot is not None
    # A reading error above all that is seen leaves nothing, and an interval that is not empty.
    assert (over.shot.value, over.shot.low) == (0.0, 0.0)
    assert over.shot.high > 5.0


def test_one_reading_two_alike_and_ten_thousand() -> None:
    one = separate([np.array([0.4831])])
    assert one.mean.estimate.value == 0.4831
    assert (one.shot, one.setup) == (None, None)
    assert math.isinf(one.mean.uncertainty)
    alike = separate([np.full(7, 0.1), np.full(3, 0.1)])
    assert alike.shot is not None
    assert (alike.shot.value, alike.shot.high) == (0.0, math.inf)
    assert math.isinf(alike.mean.estimate.high)
    many = separate([np.random.default_rng(3).standard_normal(10_000)])
    assert many.shot is not None
    assert many.shot.low < 1.0 < many.shot.high
    assert many.shot.high - many.shot.low < 0.06


def test_student_interval_of_a_mean() -> None:
    # published: t_0.975 for 9 degrees of freedom 2.262, JCGM 100:2008, table G.2 (from memory)
    found = type_a(with_moments(5.0, 3.0, 10))
    assert found.uncertainty == pytest.approx(3.0 / math.sqrt(10.0))
    half = found.estimate.high - found.estimate.value
    assert half == pytest.approx(2.262 * found.uncertainty, rel=2e-4)


def test_the_upper_end_is_taken_of_what_is_above_0() -> None:
    # closed form: even from -3 to 1, of which the part above 0 ends at 0.975 with 97.5 %
    found = spread_of(-1.0, np.linspace(-3.0, 1.0, 8001))
    assert (found.value, found.low) == (0.0, 0.0)
    assert found.high**2 == pytest.approx(0.975, abs=1e-3)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=6), min_size=1, max_size=6),
    st.floats(0.0, 1e6),
)
def test_nothing_is_negative_and_every_interval_holds_its_estimate(
    rows: list[list[float]], known: float
) -> None:
    found = separate([np.array(row) for row in rows], known_shot=known, assumed_shot=known)
    for one in (found.shot, found.setup):
        if one is not None:
            assert 0.0 <= one.low <= one.value <= one.high
    mean = found.mean.estimate
    assert mean.low <= mean.value <= mean.high


REPLICATES = 400
CRITICAL = 1.63
"""Kolmogorov's 1 % point over √n: no source but the series, 1 - 2e^(-2x²) at x = 1.63."""


def test_ranks_of_the_true_shot_spread_are_uniform() -> None:
    """Calibration: where the truth lies among what the variance may be."""
    random = np.random.default_rng(11)
    ranks = []
    for _ in range(REPLICATES):
        found = separate(drawn(random, (4, 7, 2), setup=3.0))
        assert found.within is not None
        (likely,) = likely_variances([found.within.value], [found.within.freedom])
        ranks.append(float(np.mean(likely < 1.0)))
    assert stats.kstest(ranks, "uniform").statistic < CRITICAL / math.sqrt(REPLICATES)


def test_ranks_of_the_true_setup_spread_are_uniform() -> None:
    random = np.random.default_rng(12)
    ranks = []
    for _ in range(REPLICATES):
        found = separate(drawn(random, (6,) * 8, setup=1.5))
        assert found.within is not None
        assert found.between is not None
        over, inside = likely_variances(
            [found.between.value, found.within.value], [found.between.freedom, found.within.freedom]
        )
        ranks.append(float(np.mean(over - inside / 6.0 < 1.5**2)))
    assert stats.kstest(ranks, "uniform").statistic < CRITICAL / math.sqrt(REPLICATES)


@pytest.mark.parametrize(
    ("sizes", "setup"),
    [((5,) * 10, 1.0), ((5,) * 4, 0.3), ((20, 3, 7, 2), 1.0), ((20, 3, 7, 2), 0.0)],
)
def test_intervals_cover_as_often_as_they_say(sizes: tuple[int, ...], setup: float) -> None:
    random = np.random.default_rng(13)
    held = np.zeros(3)
    for _ in range(REPLICATES):
        found = separate(drawn(random, sizes, setup=setup))
        assert found.shot is not None
        assert found.setup is not None
        mean = found.mean.estimate
        held += (
            found.shot.low <= 1.0 <= found.shot.high,
            found.setup.low <= setup <= found.setup.high,
            mean.low <= 0.0 <= mean.high,
        )
    # Three standard errors of a share of 0.95; the set-up's may cover more often.
    slack = 3.0 * math.sqrt(0.95 * 0.05 / REPLICATES)
    shares = held / REPLICATES
    assert np.all(shares > 0.95 - slack)
    assert shares[0] < 0.95 + slack
    assert shares[2] < 0.95 + slack
