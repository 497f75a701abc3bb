"""The law of the set-ups' hit rates: freed of the shots' noise, and good for a tail."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from jitter.answers.plan.prospects import Alike, chance_of
from jitter.answers.setup_law import MOST_SHOTS, SetupLaw, setup_law, setup_laws
from tests.answers.test_by_setup import generator


def drawn(shape: float, other: float, *, setups: int, shots: int, seed: int = 5) -> SetupLaw:
    rng = generator(seed)
    rates = rng.beta(shape, other, size=setups)
    return setup_law(rng.binomial(shots, rates).astype(np.int32), shots)


@pytest.mark.parametrize(("shape", "other"), [(4.0, 2.0), (8.0, 1.0), (2.0, 6.0)])
@pytest.mark.parametrize("shots", [32, 64, 1000])
def test_mean_and_alikeness_of_a_beta_law_are_found_again(
    shape: float, other: float, shots: int
) -> None:
    setups = 8192
    law = drawn(shape, other, setups=setups, shots=shots)
    # closed form: mean a/(a+b); a beta-binomial's intraclass correlation is 1/(a+b+1).
    mean, alike = shape / (shape + other), 1.0 / (shape + other + 1.0)
    spread = math.sqrt(mean * (1.0 - mean) * (alike + (1.0 - alike) / shots) / setups)
    assert abs(law.mean - mean) <= 4.5 * spread
    # A variance is known to about √(2/s) of itself, the noise taken out of it likewise; grid 1/201.
    assert abs(law.alikeness - alike) <= 4.5 * math.sqrt(2.0 / setups) * (alike + 1.0 / shots) * 1.6


@pytest.mark.parametrize("rate", [0.05, 0.7, 0.98])
@pytest.mark.parametrize(("setups", "shots"), [(8192, 64), (1024, 4)])
def test_setups_of_one_rate_are_hardly_alike(rate: float, setups: int, shots: int) -> None:
    hits = generator(3).binomial(shots, rate, size=setups).astype(np.int32)
    law = setup_law(hits, shots)
    # The noise p(1-p)/n is known to √(2/s) (and more where hits are skewed); what is left of it by
    # chance is 4.5 of that, told as a share of p(1-p).
    kurtosis = 2.0 + (1.0 - 6.0 * rate * (1.0 - rate)) / (shots * rate * (1.0 - rate))
    assert law.alikeness <= 4.5 * math.sqrt(kurtosis / setups) / shots


@pytest.mark.parametrize(("want", "frames"), [(5, 8), (12, 20), (12, 31), (20, 36)])
@pytest.mark.parametrize(("shape", "other"), [(6.0, 2.0), (30.0, 10.0), (1.5, 1.0)])
def test_tails_are_those_of_the_beta_binomial(
    shape: float, other: float, want: int, frames: int
) -> None:
    found = chance_of(Alike(drawn(shape, other, setups=8192, shots=64)), [frames], want)
    # reference library: scipy.stats.betabinom; √(q(1-q)/s) for the sample of set-ups, and the
    # hundredth that the deconvolution promises.
    truth = float(stats.betabinom(frames, shape, other).sf(want - 1))
    assert abs(found - truth) <= 0.01 + 4.5 * math.sqrt(truth * (1.0 - truth) / 8192)


def test_several_samples_at_once_are_each_by_itself() -> None:
    rng = generator(9)
    count = np.arange(33, dtype=np.int32)
    seen = rng.integers(0, 50, size=(3, 33))
    together = setup_laws(count, seen, 32)
    for row, law in zip(seen, together, strict=True):
        (alone,) = setup_laws(count, row[None, :], 32)
        np.testing.assert_allclose(law.weights, alone.weights, atol=1e-12)
        np.testing.assert_allclose(law.rates, alone.rates, atol=1e-12)


@settings(deadline=None, max_examples=60)
@given(data=st.data(), shots=st.sampled_from([2, 7, 64, MOST_SHOTS + 1]))
def test_a_law_is_a_law(data: st.DataObject, shots: int) -> None:
    hits = np.array(data.draw(st.lists(st.integers(0, shots), min_size=2, max_size=40)), np.int32)
    law = setup_law(hits, shots)
    assert law.weights.sum() == pytest.approx(1.0)
    assert (law.weights >= 0.0).all()
    assert ((law.rates >= 0.0) & (law.rates <= 1.0)).all()
    assert 0.0 <= law.alikeness <= 1.0
    # closed form: the set-ups' component of the one-way analysis of variance, (MSB - MSW)/n.
    rates = hits / shots
    within = float(np.mean(rates * (1.0 - rates))) / (shots - 1)
    component = float(np.var(rates, ddof=1)) - within
    variance = float(law.weights @ (law.rates - law.mean) ** 2)
    assert variance <= max(component, 0.0) + 1e-9
    # The grid's ends are half a step away from 0 and 1, and rates are held within them.
    assert law.mean == pytest.approx(float(hits.mean()) / shots, abs=0.01)


@pytest.mark.parametrize("share", [0, 1])
def test_all_hits_and_no_hits(share: int) -> None:
    law = setup_law(np.full(100, 64 * share, dtype=np.int32), 64)
    assert law.mean == pytest.approx(share, abs=1e-12)
    assert law.alikeness == 0.0
