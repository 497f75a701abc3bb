"""How likely a log is: against libraries, and against laws integrated by number."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import betabinom, dirichlet_multinomial, multinomial

from jitter.answers.explain.law import READING, SLIP, Law, Numbers
from jitter.answers.explain.likelihood import (
    RANGE,
    RESOLVED,
    SPREAD_OVER,
    Group,
    by_setup,
    counts_for,
    evidence,
    groups,
    log_likelihoods,
    outlying,
    setup_weights,
    without_model,
)
from jitter.answers.explain.views import Condition
from jitter.arrays import Array
from jitter.records.log import Log
from jitter.stages.look import ABOVE, DARK, EARLY, KEPT, LOOKS
from tests.answers.explain.made import frame

COUNTED = np.array([3, 0, 0, 1, 5, 0, 2, 0, 0, 0, 1, 0, 0, 8], dtype=float)


def told(looks: Array, sizes: Array | None = None) -> Group:
    return Group("", Condition(), looks, {} if sizes is None else {(0, ABOVE): sizes})


def dirichlet(alpha: Array) -> Law:
    """Return the law of one set-up whose beta laws together make a Dirichlet law."""
    after = np.cumsum(alpha[::-1])[::-1] - alpha
    return Law(alpha[None, :-1], after[None, :-1], {}, {})


def orders(looks: Array) -> float:
    """Return the log of the number of orders of frames, which a likelihood of counts has more."""
    total = int(looks.sum())
    return float(-multinomial(total, np.full(len(looks), 1 / len(looks))).logpmf(looks)) - float(
        total * np.log(len(looks))
    )


def test_looks_of_a_dirichlet_law_are_dirichlet_multinomial() -> None:
    alpha = np.linspace(0.2, 4.0, len(LOOKS))
    found = float(log_likelihoods(dirichlet(alpha), told(COUNTED))[0])
    # reference library: scipy, dirichlet_multinomial, less the number of orders of the frames.
    truth = float(dirichlet_multinomial(alpha, [int(COUNTED.sum())]).logpmf(COUNTED).item())
    assert found == pytest.approx(truth + orders(COUNTED), abs=1e-9)


def test_looks_are_beta_binomial_one_after_the_other() -> None:
    draws = np.random.default_rng(1)
    first, rest = draws.gamma(1.0, 2.0, (2, 5, len(LOOKS) - 1))
    found = log_likelihoods(Law(first, rest, {}, {}), told(COUNTED))
    truth = np.full(5, orders(COUNTED))
    left = int(COUNTED.sum())
    for look in range(len(LOOKS) - 1):
        # reference library: scipy, betabinom.
        truth += betabinom(left, first[:, look], rest[:, look]).logpmf(COUNTED[look])
        left -= int(COUNTED[look])
    np.testing.assert_allclose(found, truth, atol=1e-9)


def test_something_unknown_gives_any_mixture_of_looks() -> None:
    # reference library: scipy, dirichlet_multinomial of one half each.
    law = dirichlet_multinomial(np.full(len(LOOKS), 0.5), [int(COUNTED.sum())])
    sizes = np.array([0.01, 0.02, 0.03])
    truth = float(law.logpmf(COUNTED).item()) + orders(COUNTED)
    # closed form: 1/(0.1 m) for each number.
    assert without_model([told(COUNTED, sizes)]) == pytest.approx(
        truth - 3.0 * np.log(RANGE), abs=1e-9
    )


def normal(away: Array | float, spread: float) -> Array:
    """Return the density of the normal law; closed form."""
    return np.asarray(np.exp(-0.5 * (away / spread) ** 2) / (spread * np.sqrt(2.0 * np.pi)))


EVERY = Numbers(np.array([0.028]), np.array([0.008]), np.array([0.005]))
"""Of frames of any look."""


def gaps(numbers: Numbers | None, every: Numbers | None, *, share: float = 0.5) -> Law:
    """Return the law of one set-up, which shows a drop above the column so often, and its gaps."""
    alpha = np.full(len(LOOKS), 1e6 * (1.0 - share) / (len(LOOKS) - 1))
    alpha[ABOVE] = 1e6 * share
    law = dirichlet(alpha)
    return Law(law.first, law.rest, {(0, ABOVE): numbers}, {0: every})


def numbers_alone(law: Law, sizes: Array) -> float:
    """Return the log of the likelihood of numbers, that of the looks taken off."""
    looks = np.zeros(len(LOOKS))
    looks[ABOVE] = len(sizes)
    alone = log_likelihoods(law, Group("", Condition(), looks, {}))
    return float((log_likelihoods(law, told(looks, sizes)) - alone)[0])


def integral(numbers: Numbers, sizes: Sequence[float]) -> float:
    """Return the density of numbers around a random mean: normal densities, by scipy's quad."""
    middle, spread, between = (
        float(one[0]) for one in (numbers.mean, numbers.spread, numbers.between)
    )
    chosen = np.array(sizes)

    def inside(mean: float) -> float:
        return float(normal(mean - middle, between)) * float(np.prod(normal(mean - chosen, spread)))

    around = [middle, *sizes]
    low, high = min(around) - 0.08, max(around) + 0.08
    return float(quad(inside, low, high, points=around, epsabs=0.0, limit=400)[0])


@pytest.mark.parametrize("share", [0.5, 0.004])
@pytest.mark.parametrize("sizes", [[0.021], [0.018, 0.027], [0.021, 0.024, 0.0235, 0.05]])
def test_numbers_have_a_normal_law_with_a_random_mean_and_some_may_be_wrong(
    sizes: list[float], share: float
) -> None:
    own = Numbers(np.array([0.022]), np.array([0.002]), np.array([0.003]))
    middle, many = sum(sizes) / len(sizes), len(sizes)
    farthest = max(sizes, key=lambda size: abs(size - middle))
    rest = [size for size in sizes if size != farthest]

    def wrong(some: Sequence[float]) -> float:
        return 0.5 * integral(EVERY, some) + 0.5 / RANGE ** len(some)

    # closed form: of the frames so called, the share that slips put there, evenly over 14 names.
    slip = SLIP / len(LOOKS) / share
    truth = (1.0 - slip) ** many * integral(own, sizes) + slip**many * wrong(sizes)
    if rest:
        truth += slip * (1.0 - slip) ** (many - 1) * wrong([farthest]) * integral(own, rest)
    found = numbers_alone(gaps(own, EVERY, share=share), np.array(sizes))
    assert found == pytest.approx(np.log(truth), abs=1e-4)


def test_one_misread_number_costs_no_more_than_a_slip() -> None:
    own = Numbers(np.array([0.02]), np.array([0.002]), np.array([0.001]))
    good = np.random.default_rng(2).normal(0.02, 0.002, 12)
    law = gaps(own, EVERY)
    cost = numbers_alone(law, good) - numbers_alone(law, np.append(good, 0.35))
    # closed form: the slip, and half of slips lie anywhere in 0.1 m.
    slip = SLIP / len(LOOKS) / 0.5
    assert cost == pytest.approx(-np.log(slip * 0.5 / RANGE), abs=0.05)


def test_numbers_of_a_look_that_no_simulated_frame_shows_are_those_of_any_look() -> None:
    sizes = [0.021, 0.03]
    truth = np.log(0.5 * integral(EVERY, sizes) + 0.5 / RANGE**2)
    assert numbers_alone(gaps(None, EVERY), np.array(sizes)) == pytest.approx(truth, abs=1e-6)
    # What no frame has at all lies anywhere.
    found = numbers_alone(gaps(None, None), np.array(sizes))
    assert found == pytest.approx(-2.0 * np.log(RANGE))


@settings(max_examples=20)
@given(st.permutations(range(12)))
def test_the_order_of_the_frames_does_not_matter(order: list[int]) -> None:
    looks = [KEPT, EARLY, DARK, KEPT, ABOVE, ABOVE, KEPT, EARLY, KEPT, ABOVE, KEPT, DARK]
    frames = [
        frame(2 + place, look, "ab"[place % 2], gap=0.02 + 1e-4 * place if look == ABOVE else None)
        for place, look in enumerate(looks)
    ]
    numbers = Numbers(np.array([0.02]), np.array([0.002]), np.array([0.003]))
    plain = dirichlet(np.ones(len(LOOKS)))
    laws = {Condition(): Law(plain.first, plain.rest, {(0, ABOVE): numbers}, {0: EVERY})}

    def judged(some: list[int]) -> float:
        log = Log(tuple(frames[place] for place in some), "", ())
        return evidence(by_setup(laws, groups(log)))

    assert judged(order) == pytest.approx(judged(list(range(12))), abs=1e-9)


def test_frames_are_grouped_by_setup_and_condition() -> None:
    log = Log(
        (
            frame(2, KEPT, "a", width=0.03),
            frame(3, None, "a", width=0.04),
            frame(4, EARLY, "a", delay=0.3),
            frame(5, KEPT, "b"),
            frame(6, KEPT, "a", width=0.05),
        ),
        "",
        (),
    )
    rows = groups(log)
    keys = [("a", Condition()), ("a", Condition(delay=0.3)), ("b", Condition())]
    assert [(row.setup, row.condition) for row in rows] == keys
    assert [row.frames for row in rows] == [2.0, 1.0, 1.0]
    assert rows[0].measures[1, KEPT].tolist() == [0.03, 0.05]
    laws = {row.condition: dirichlet(np.ones(len(LOOKS))) for row in rows}
    found = by_setup(laws, rows)
    assert list(found) == ["a", "b"]
    parts = [log_likelihoods(laws[row.condition], row) for row in rows[:2]]
    np.testing.assert_allclose(found["a"], parts[0] + parts[1])


def test_the_evidence_is_the_mean_likelihood() -> None:
    likely = {"a": np.log([0.1, 0.3]), "b": np.log([0.5, 0.1])}
    # closed form: set-ups of a log are independent, each the mean over simulated ones.
    assert evidence(likely) == pytest.approx(np.log(0.2 * 0.3))
    assert evidence(likely, 0.5) == pytest.approx(
        np.log(np.mean(np.sqrt([0.1, 0.3])) * np.mean(np.sqrt([0.5, 0.1])))
    )


def effective(weights: Array) -> float:
    return float(weights.sum() ** 2 / (weights**2).sum())


def test_what_counts_is_what_so_many_setups_resolve() -> None:
    draws = np.random.default_rng(3)
    one = draws.normal(0.0, 1.0, 2000)
    sizes = (0.1, 3.0, 10.0, 30.0)
    found = [counts_for([{"": size * one}, {"": size * one - 1e6}]) for size in sizes]
    # Little is said by the first, and all of it resolved; the others say more and more.
    assert found[0] == 1.0
    assert all(0.0 < later < former for former, later in pairwise(found))
    for size, weight in zip(sizes[1:], found[1:], strict=True):
        spoken = effective(np.exp(weight * size * (one - one.max())))
        assert spoken == pytest.approx(RESOLVED, rel=0.02)


def test_every_setup_of_a_log_must_be_resolved() -> None:
    one = np.random.default_rng(4).normal(0.0, 1.0, 2000)
    sharp = counts_for([{"a": 0.1 * one, "b": 10.0 * one}])
    assert sharp == counts_for([{"b": 10.0 * one}])


def test_a_test_to_come_hangs_on_no_few_setups() -> None:
    likely = 20.0 * np.random.default_rng(5).normal(0.0, 1.0, 2000)
    weights = setup_weights(likely, 1.0)
    assert weights.sum() == pytest.approx(1.0)
    assert effective(weights) >= SPREAD_OVER
    mild = 0.2 * likely / 20.0
    np.testing.assert_allclose(setup_weights(mild, 1.0), np.exp(mild) / np.exp(mild).sum())


def test_numbers_far_from_all_others_are_misread() -> None:
    sizes = np.random.default_rng(6).normal(0.03, READING, 20)
    wrong = np.append(sizes, 0.3)
    assert outlying(wrong).tolist() == [False] * 20 + [True]
    assert not outlying(np.array([0.01, 0.01, 0.01, 0.5])).any()
    # Most are equal: nothing says how far is far.
    assert not outlying(np.array([0.01] * 6 + [0.02])).any()
    log = Log(tuple(frame(2 + i, KEPT, width=float(size)) for i, size in enumerate(wrong)), "", ())
    assert groups(log)[0].measures[1, KEPT].tolist() == sizes.tolist()
