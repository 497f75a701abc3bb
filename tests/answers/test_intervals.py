"""Intervals of proportions against published tables, and their coverage where shots cluster."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from jitter.answers.intervals import (
    Estimate,
    clopper_pearson,
    clustered_share,
    paired_mean,
    wilson,
)

# hits, count, level, Wilson, Clopper-Pearson; reference library: statsmodels 0.15
TABLE = [
    (0, 10, 0.95, (0.0, 0.27753280), (0.0, 0.30849711)),
    (1, 10, 0.95, (0.01787621, 0.40415003), (0.00252858, 0.44501612)),
    (5, 10, 0.95, (0.23659309, 0.76340691), (0.18708603, 0.81291397)),
    (9, 10, 0.95, (0.59584997, 0.98212379), (0.55498388, 0.99747142)),
    (10, 10, 0.95, (0.72246720, 1.0), (0.69150289, 1.0)),
    (0, 20, 0.95, (0.0, 0.16112516), (0.0, 0.16843347)),
    (15, 148, 0.95, (0.06238640, 0.16048724), (0.05784401, 0.16165049)),
    (81, 263, 0.95, (0.25528852, 0.36620958), (0.25273675, 0.36762192)),
    (45, 50, 0.95, (0.78639769, 0.95652424), (0.78186463, 0.96672491)),
    (999, 1000, 0.95, (0.99435744, 0.99982345), (0.99444108, 0.99997468)),
    (9, 10, 0.90, (0.65228133, 0.97736509), (0.60583670, 0.99488380)),
    (9, 10, 0.99, (0.49276823, 0.98814850), (0.45571294, 0.99949887)),
]

# published: Newcombe 1998, Stat. Med. 17, 857, methods 3 and 5 (from memory), four digits
NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0.0, 0.1611), (0.0, 0.1684)),
]


def ends(found: Estimate) -> tuple[float, float]:
    return found.low, found.high


@pytest.mark.parametrize(("hits", "count", "level", "score", "exact"), TABLE)
def test_tables(
    hits: int, count: int, level: float, score: tuple[float, float], exact: tuple[float, float]
) -> None:
    assert ends(wilson(hits, count, level=level)) == pytest.approx(score, abs=5.1e-9)
    assert ends(clopper_pearson(hits, count, level=level)) == pytest.approx(exact, abs=5.1e-9)
    assert wilson(hits, count).value == clopper_pearson(hits, count).value == hits / count
    assert wilson(hits, count, level=level).level == level


@pytest.mark.parametrize(("hits", "count", "score", "exact"), NEWCOMBE)
def test_published_examples(
    hits: int, count: int, score: tuple[float, float], exact: tuple[float, float]
) -> None:
    assert ends(wilson(hits, count)) == pytest.approx(score, abs=5.1e-5)
    assert ends(clopper_pearson(hits, count)) == pytest.approx(exact, abs=5.1e-5)


@settings(deadline=None, max_examples=60)
@given(count=st.integers(1, 3000), share=st.floats(0.0, 1.0), level=st.sampled_from([0.8, 0.95]))
def test_scipy_agrees(count: int, share: float, level: float) -> None:
    hits = round(share * count)
    # reference library: scipy.stats.binomtest
    known = stats.binomtest(hits, count)
    score, exact = known.proportion_ci(level, "wilson"), known.proportion_ci(level, "exact")
    assert ends(wilson(hits, count, level=level)) == pytest.approx(score, abs=1e-9)
    assert ends(clopper_pearson(hits, count, level=level)) == pytest.approx(exact, abs=1e-9)


# Brown, Cai & DasGupta 2001, Stat. Sci. 16, 101 name these cases for the erratic textbook
# interval (from memory); Wilson's coverage at them is a closed form: the sum of the binomial
# probabilities whose interval holds p, to four digits.
COVERAGE = [
    (17, 0.5, 0.9510),
    (18, 0.5, 0.9691),
    (40, 0.5, 0.9615),
    (100, 0.106, 0.9509),
    (100, 0.107, 0.9493),
    (592, 0.005, 0.9688),
    (954, 0.005, 0.9677),
    (1876, 0.005, 0.9539),
]


@pytest.mark.parametrize(("count", "share", "known"), COVERAGE)
def test_exact_coverage(count: int, share: float, known: float) -> None:
    chance = stats.binom.pmf(np.arange(count + 1), count, share)
    covered = [wilson(hits, count) for hits in range(count + 1)]
    inside = sum(p for p, one in zip(chance, covered, strict=True) if one.low <= share <= one.high)
    assert inside == pytest.approx(known, abs=5.1e-5)
    sure = [clopper_pearson(hits, count) for hits in range(count + 1)]
    held = sum(p for p, one in zip(chance, sure, strict=True) if one.low <= share <= one.high)
    assert held >= 0.95


# Share, ICC, set-ups, shots; coverage of Wilson's interval with n/(deff (t/z)²) in 4000 samples
# of the beta-binomial. regression: measured once with another program, for this estimator.
CLUSTERED = [
    (0.8, 0.17, 5, 20, 0.954),
    (0.8, 0.17, 10, 20, 0.946),
    (0.8, 0.17, 10, 100, 0.941),
    (0.8, 0.02, 10, 20, 0.968),
    (0.95, 0.17, 10, 20, 0.894),
    (0.95, 0.17, 3, 20, 0.996),
]
REPETITIONS = 2000


def beta_binomial(share: float, icc: float, setups: int, shots: int) -> np.ndarray:
    """Return hits (repetitions, setups); closed form: α + β = 1/ICC - 1."""
    rng = np.random.Generator(np.random.PCG64DXSM(17))
    total = 1.0 / icc - 1.0
    rates = rng.beta(share * total, (1.0 - share) * total, size=(REPETITIONS, setups))
    return rng.binomial(shots, rates).astype(np.int32)


@pytest.mark.parametrize(("share", "icc", "setups", "shots", "measured"), CLUSTERED)
def test_clustered_coverage(
    share: float, icc: float, setups: int, shots: int, measured: float
) -> None:
    found = [clustered_share(hits, shots) for hits in beta_binomial(share, icc, setups, shots)]
    covered = float(np.mean([one.low <= share <= one.high for one in found]))
    error = math.sqrt(measured * (1.0 - measured) * (1.0 / REPETITIONS + 1.0 / 4000.0))
    assert abs(covered - measured) <= 4.5 * error


def test_many_setups_cover_as_often_as_promised() -> None:
    found = [clustered_share(hits, 32) for hits in beta_binomial(0.7, 0.2, 400, 32)]
    covered = float(np.mean([one.low <= 0.7 <= one.high for one in found]))
    assert abs(covered - 0.95) <= 4.5 * math.sqrt(0.95 * 0.05 / REPETITIONS)


def test_alike_setups_count_as_independent_units() -> None:
    found = clustered_share(np.full(50, 16, dtype=np.int32), 32)
    # closed form: no set-up differs, so 50 of them speak, reduced by (z/t)² with 49 freedoms
    count = 50.0 * (1.959963984540054 / stats.t.ppf(0.975, 49)) ** 2
    assert ends(found) == pytest.approx(ends(wilson(0.5 * count, count)), abs=1e-12)


@pytest.mark.parametrize("setups", [2, 5, 400])
def test_all_hits_and_no_hits(setups: int) -> None:
    shots = 20
    every = clustered_share(np.full(setups, shots, dtype=np.int32), shots)
    none = clustered_share(np.zeros(setups, dtype=np.int32), shots)
    assert (every.value, every.high) == (1.0, 1.0)
    assert (none.value, none.low) == (0.0, 0.0)
    assert 1.0 - every.low == pytest.approx(none.high, abs=1e-12)
    # No narrower than as many independent set-ups allow, and no interval of nothing.
    assert wilson(0, setups).high <= none.high < 1.0


@settings(deadline=None, max_examples=80)
@given(st.lists(st.integers(0, 20), min_size=2, max_size=40))
def test_clustered_intervals_hold_their_share(hits: list[int]) -> None:
    found = clustered_share(np.array(hits, dtype=np.int32), 20)
    assert 0.0 <= found.low <= found.value <= found.high <= 1.0
    plain = wilson(sum(hits), 20 * len(hits))
    assert found.high - found.low >= (plain.high - plain.low) * (1.0 - 1e-9)


def test_paired_mean_is_students_interval() -> None:
    rng = np.random.Generator(np.random.PCG64DXSM(3))
    differences = rng.normal(0.5, 0.4, size=25)
    known = stats.ttest_1samp(differences, 0.0).confidence_interval(0.9)
    found = paired_mean(differences, level=0.9)
    # reference library: scipy.stats.ttest_1samp
    assert ends(found) == pytest.approx((known.low, known.high), abs=1e-12)
    assert found.value == pytest.approx(differences.mean())
    assert found.clear


@pytest.mark.parametrize("setups", [2, 100, 4096])
def test_paired_mean_without_differences(setups: int) -> None:
    found = paired_mean(np.zeros(setups))
    # closed form: what s set-ups without a hit leave open, the exact interval's upper end
    assert ends(found) == pytest.approx(
        (-clopper_pearson(0, setups).high, clopper_pearson(0, setups).high), abs=1e-12
    )
    assert found.value == 0.0
    assert not found.clear


@pytest.mark.parametrize("shots", [20, 32])
def test_the_same_difference_everywhere_is_not_beyond_doubt(shots: int) -> None:
    found = paired_mean(np.full(100, 1.0 / shots))
    # Were rounding to pass for a spread, the interval would shut on the value.
    assert found.high - found.low > 0.01


def test_clear_means_that_zero_is_out() -> None:
    assert Estimate(0.2, 0.1, 0.3).clear
    assert Estimate(-0.2, -0.3, -0.1).clear
    assert not Estimate(0.1, -0.1, 0.3).clear
    assert not Estimate(0.1, 0.0, 0.2).clear
