"""Percentiles of the hit rate over set-ups: free of the shots' own noise, ordered and bounded."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from jitter.answers.by_setup import BySetup, by_setup
from jitter.answers.setup_law import POINTS


def generator(seed: int) -> np.random.Generator:
    return np.random.Generator(np.random.PCG64DXSM(seed))


def of_each(hits: NDArray[np.int32], shots: int) -> BySetup:
    return by_setup(*np.unique(hits, return_counts=True), shots)


@pytest.mark.parametrize("rate", [0.05, 0.3, 0.7, 0.98])
@pytest.mark.parametrize(("setups", "shots"), [(16384, 32), (4096, 100), (2048, 1000)])
def test_alike_setups_have_one_rate(rate: float, setups: int, shots: int) -> None:
    for seed in range(3):
        hits = generator(seed).binomial(shots, rate, size=setups).astype(np.int32)
        found = of_each(hits, shots)
        # The shots' noise p(1-p)/n is known to a share √(2/s) (more where hits are skewed: a
        # binomial's kurtosis), and what is left over by chance passes for the set-ups' variance;
        # Φ⁻¹(0.9) = 1.2816 of its deviation is the distance to a percentile.
        noise = rate * (1.0 - rate) / shots
        kurtosis = 2.0 + (1.0 - 6.0 * rate * (1.0 - rate)) / (shots * rate * (1.0 - rate))
        chance = 4.5 * noise * math.sqrt(kurtosis / setups)
        assert found.p90 - found.p10 <= 2.0 * 1.2816 * math.sqrt(chance) + 0.005
        assert abs(found.p50 - rate) <= 0.01


@pytest.mark.parametrize("rate", [0.0003, 0.003, 0.997, 0.9997])
def test_near_the_ends_the_middle_is_where_the_mean_is(rate: float) -> None:
    """closed form: set-ups that are all alike have one rate; rarer than a cell of the grid."""
    for seed in range(5):
        hits = generator(seed).binomial(32, rate, size=8192).astype(np.int32)
        found = of_each(hits, 32)
        assert abs(found.p50 - hits.mean() / 32) <= 0.1 / POINTS


@pytest.mark.parametrize("setups", [8192, 16384])
def test_alike_setups_are_right_within_a_hundredth_as_a_rule(setups: int) -> None:
    wide = []
    for seed in range(40):
        hits = generator(seed).binomial(32, 0.7, size=setups).astype(np.int32)
        found = of_each(hits, 32)
        wide.append(max(found.p90 - 0.7, 0.7 - found.p10))
    # The promise is "about 0.01": the middling sample of forty is to keep it.
    assert np.median(wide) <= 0.01


@pytest.mark.parametrize(("shape", "other"), [(4.0, 2.0), (8.0, 1.0), (2.0, 6.0)])
@pytest.mark.parametrize(("setups", "shots"), [(8192, 32), (4096, 1000)])
def test_beta_rates_are_found_again(shape: float, other: float, setups: int, shots: int) -> None:
    rng = generator(5)
    rates = rng.beta(shape, other, size=setups)
    found = of_each(rng.binomial(shots, rates).astype(np.int32), shots)
    law = stats.beta(shape, other)
    for share, rate in ((0.1, found.p10), (0.5, found.p50), (0.9, found.p90)):
        # reference library: scipy.stats.beta; standard error √(q(1-q)/s)/density, and the 0.01
        # that the deconvolution promises
        truth = float(law.ppf(share))
        error = math.sqrt(share * (1.0 - share) / setups) / float(law.pdf(truth))
        assert abs(rate - truth) <= 0.01 + 4.5 * error


@settings(deadline=None, max_examples=80)
@given(
    data=st.data(),
    shots=st.sampled_from([1, 2, 7, 32, 600]),
)
def test_percentiles_are_shares_in_order(data: st.DataObject, shots: int) -> None:
    hits = data.draw(st.lists(st.integers(0, shots), min_size=2, max_size=40))
    found = of_each(np.array(hits, dtype=np.int32), shots)
    assert 0.0 <= found.p10 <= found.p50 <= found.p90 <= 1.0


@pytest.mark.parametrize("shots", [1, 32, 600])
@pytest.mark.parametrize("share", [0, 1])
def test_all_hits_and_no_hits(shots: int, share: int) -> None:
    found = of_each(np.full(100, shots * share, dtype=np.int32), shots)
    assert (found.p10, found.p50, found.p90) == pytest.approx((share,) * 3, abs=1e-12)


def test_more_shots_do_not_move_the_percentiles_at_the_change_of_method() -> None:
    rates = generator(6).beta(4.0, 2.0, size=4000)
    few, many = (
        of_each(generator(7).binomial(shots, rates).astype(np.int32), shots) for shots in (500, 501)
    )
    for name in ("p10", "p50", "p90"):
        assert abs(getattr(few, name) - getattr(many, name)) <= 0.01
