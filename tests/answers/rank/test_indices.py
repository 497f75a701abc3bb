"""The estimators of Sobol' indices and Shapley shares against functions of known shares."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from jitter.answers.rank.indices import Index, indices, path_terms, ratios, sum_terms, swap_terms
from jitter.arrays import Array
from tests.known_functions import (
    Estimates,
    Known,
    draw,
    estimate,
    g_function,
    hit_family,
    ishigami,
    linear_sum,
)

ROWS = 20_000
STUDENT = 6.4
"""As seldom passed by Student's t of 16 sets as 4.5 by a normal number."""
G_EIGHT = (0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0)
TINY = (7.16192168879e-5,) * 4, (1.0494905192e-4,) * 4, (8.78727317e-5,) * 4

# closed form, each by the integrals in tests/known_functions.py, tabled here to its digits; those
# of Ishigami's first and total indices are also those of a reference library
# (tests/answers/test_indices_libraries.py).
TABLED = [
    (
        ishigami(),
        (0.313905191147811, 0.442411144790041, 0.0),
        (0.557588855209959, 0.442411144790041, 0.243683664062148),
        (0.435747023178885, 0.442411144790041, 0.121841832031074),
    ),
    (
        g_function(*G_EIGHT),
        (0.716192168879, 0.17904804222, 0.0236757741778, 0.00716192168879, *TINY[0]),
        (0.787144126659, 0.242198192818, 0.0343169101541, 0.0104603870652, *TINY[1]),
        (0.751518863064, 0.210477293704, 0.0288804594227, 0.00877189288197, *TINY[2]),
    ),
    (g_function(0.0, 0.0, 0.0), (9 / 37,) * 3, (16 / 37,) * 3, (1 / 3,) * 3),
    (
        hit_family(),
        (0.254722042956, 0.0456131237637, 0.00278918297928, 0.00017408764302),
        (0.920073500791, 0.656684386579, 0.330559106328, 0.165380855537),
        (0.535045871326, 0.299009967587, 0.117076352953, 0.0488678081337),
    ),
    (linear_sum(2.0, 1.0, 1.0), *((4 / 6, 1 / 6, 1 / 6),) * 3),
]
NAMES = [row[0].name for row in TABLED]


@pytest.mark.parametrize(("known", "first", "total", "shapley"), TABLED, ids=NAMES)
def test_the_table_is_the_closed_form(
    known: Known,
    first: tuple[float, ...],
    total: tuple[float, ...],
    shapley: tuple[float, ...],
) -> None:
    assert known.first() == pytest.approx(first, rel=1e-9, abs=1e-12)
    assert known.total() == pytest.approx(total, rel=1e-9)
    assert known.shapley() == pytest.approx(shapley, rel=1e-8)


def agrees(found: Index, truth: float) -> bool:
    """Whether the truth is within 4.5 normal standard errors, for Student's of 16 sets."""
    return abs(found.estimate.value - truth) <= STUDENT * found.error + 1e-15


@pytest.mark.parametrize(("known", "first", "total", "shapley"), TABLED, ids=NAMES)
def test_estimates_agree_with_the_closed_form(
    known: Known,
    first: tuple[float, ...],
    total: tuple[float, ...],
    shapley: tuple[float, ...],
) -> None:
    found = estimate(known, rows=ROWS, seed=1)
    for kind, truths in zip(Estimates._fields, (first, total, shapley), strict=True):
        for place, truth in enumerate(truths):
            index: Index = getattr(found, kind)[place]
            assert agrees(index, truth), (kind, place, index, truth)
            # No estimate is called right for being vague: an error is a few 1/√n.
            assert index.error < 4.0 / math.sqrt(ROWS)


@pytest.mark.parametrize("known", [row[0] for row in TABLED], ids=NAMES)
def test_shapley_shares_sum_to_one(known: Known) -> None:
    found = estimate(known, rows=500, seed=2)
    # closed form: the terms of a path telescope to half the square of its whole.
    assert math.fsum(one.estimate.value for one in found.shapley) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("known", [ishigami(), hit_family()], ids=["Ishigami", "hit"])
def test_intervals_cover_what_they_say(known: Known) -> None:
    rounds, rows = 500, 2000
    truths = (known.first(), known.total(), known.shapley())
    covered = np.zeros((3, known.inputs))
    for seed in range(rounds):
        found = estimate(known, rows=rows, seed=1000 + seed)
        for row, indices_of in enumerate(found):
            for place, index in enumerate(indices_of):
                covered[row, place] += (
                    index.estimate.low <= truths[row][place] <= index.estimate.high
                )
    for kind, counts in zip(Estimates._fields, covered, strict=True):
        print(f"{known.name}, {kind}: {counts.astype(int)} of {rounds} intervals cover")
    # 4.5 binomial standard errors of `rounds` intervals that each cover 0.95.
    half = 4.5 * math.sqrt(0.95 * 0.05 / rounds)
    assert (np.abs(covered / rounds - 0.95) <= half).all()


def test_an_output_that_never_varies_has_no_shares() -> None:
    flat = np.full((2, 50), 3.0)
    first, total = swap_terms(base=flat[0], other=flat[0], base_swapped=flat, other_swapped=flat)
    top, bottom = path_terms(path=np.full((3, 50), 3.0), order=np.tile([0, 1], (50, 1)))
    for sums in (first, total, sum_terms(top=top, bottom=bottom)):
        for index in indices([sums] * 3, largest=2.0):
            assert math.isnan(index.estimate.value)
            assert math.isnan(index.error)
            assert not index.estimate.clear


def test_a_mean_far_from_zero_takes_no_digits() -> None:
    known = ishigami()
    far = known._replace(work=lambda uniform: known.work(uniform) + 1e6)
    for near, shifted in zip(
        estimate(known, rows=300, seed=3), estimate(far, rows=300, seed=3), strict=True
    ):
        for one, other in zip(near, shifted, strict=True):
            # Outputs of 1e6 hold ten digits after the point of their last bit's 1e-10.
            assert other.estimate.value == pytest.approx(one.estimate.value, abs=1e-8)


def test_rows_without_an_output_are_left_out() -> None:
    sample = draw(hit_family(), rows=400, seed=4)
    kept = np.arange(400) % 3 != 0
    spoilt = [np.where(kept, outputs, np.nan) for outputs in sample[:5]]
    few = [outputs[..., kept] for outputs in sample[:5]]

    def found(outputs: list[Array], order: NDArray[np.int64]) -> list[float]:
        base, other, base_swapped, other_swapped, path = outputs
        first, total = swap_terms(
            base=base, other=other, base_swapped=base_swapped, other_swapped=other_swapped
        )
        top, bottom = path_terms(path=path, order=order)
        return [
            float(number)
            for sums in (first, total, sum_terms(top=top, bottom=bottom))
            for numbers in ratios(sums)
            for number in numbers
        ]

    assert found(spoilt, sample.order) == pytest.approx(found(few, sample.order[kept]))


def test_an_input_that_was_never_seen_to_turn_a_hit_may_still_do_so() -> None:
    known = hit_family()
    idle = known._replace(inputs=5, work=lambda uniform: known.work(uniform[:4]))
    rows = 1000
    found = estimate(idle, rows=rows, seed=5)
    rate = 0.710685167618012  # closed form: 2 Φ(W/sd) - 1
    # closed form: by chance at most 1 - tail^(1/n) of the rows; a term of 2 at the most, over the
    # mean 4 p (1 - p) of the denominator; of the paths a term of 1/2 over p (1 - p).
    turns = 1.0 - 0.025 ** (1.0 / rows)
    for kind, most in (("first", 0.5), ("total", 0.5), ("shapley", 0.5)):
        index = getattr(found, kind)[4]
        assert index.estimate.value == index.estimate.low == index.error == 0.0
        bound = most * turns / (rate * (1.0 - rate))
        assert index.estimate.high == pytest.approx(bound, rel=4.5 / math.sqrt(rows))
    # Of an output that is no hit nothing is known of how much a rare turn would weigh.
    (still, *_) = indices([sum_terms(top=np.zeros((1, 9)), bottom=np.ones(9))] * 2)
    assert still.estimate.high == 0.0


def test_sets_count_as_rows_of_their_own() -> None:
    draws = np.random.default_rng(6)
    bottom = 1.0 + draws.random((16, 1, 25))
    top = 0.3 * bottom + 0.1 * draws.normal(size=(16, 3, 25))
    sets = [sum_terms(top=up, bottom=down) for up, down in zip(top, bottom, strict=True)]
    found = indices(sets)
    whole, _ = ratios(
        sum_terms(top=np.concatenate(top, axis=1), bottom=np.concatenate(bottom, axis=1))
    )
    means = top.mean(axis=2), bottom.mean(axis=2)
    for place, index in enumerate(found):
        # closed form: the ratio of all sums; its error by the delta method over 16 means.
        assert index.estimate.value == pytest.approx(whole[place])
        left = means[0][:, place] - whole[place] * means[1][:, 0]
        error = left.std(ddof=1) / 4.0 / bottom.mean()
        assert index.error == pytest.approx(error)
        # reference library: scipy.stats.t.
        assert index.estimate.high - whole[place] == pytest.approx(stats.t.ppf(0.975, 15) * error)
