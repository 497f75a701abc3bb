"""The cheapest combination of spreads, against the closed forms of linear normal errors."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from jitter.answers.effort import Effort, Net
from jitter.answers.ranking import sources
from jitter.answers.require.allocation import Allocation
from jitter.answers.require.prices import LEAST, Price, PricedRig, open_priced
from jitter.arrays import Array
from jitter.draws.layout import Layout
from tests.toy import TOY, hit_share, toy_study

LAYOUT, NET = Layout(seed=6, setups=4096, shots=32), Net(seed=6, points=32)
EFFORTS = (LAYOUT, NET)


def opened(
    slopes: tuple[float, ...], costs: tuple[float, ...], powers: tuple[float, ...], whole: float
) -> tuple[PricedRig, float]:
    """Return priced spreads of 1 whose sum is weighed by slopes, and the target for its sd."""
    # An input of sd c k is c times one of sd k, so the factors are the spreads asked for.
    study = toy_study(half_width=2.0 * whole, shot=dict(zip("abc", slopes, strict=False)))
    prices = [
        Price(source, cost, power)
        for source, cost, power in zip(sources(study), costs, powers, strict=True)
    ]
    return open_priced(study, TOY, prices), hit_share(2.0, 1.0)


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize(
    ("slopes", "costs", "power", "whole", "spreads", "cost"),
    [
        # closed form: sigma_i = S (A_i/c_i²)^(1/3) / √Σ c_j² (A_j/c_j²)^(2/3) for A/sigma; the
        # exponents are 1/4 and 1/2 for A/sigma².
        ((1.0, 2.0), (1.0, 1.0), 1.0, 1.0, (0.62168176, 0.39163497), 4.161938184941),
        ((1.0, 2.0), (1.0, 1.0), 2.0, 1.0, (0.57735027, 0.40824829), 9.0),
        (
            (3.0, 2.0, 1.0),
            (1.0, 2.0, 0.5),
            1.0,
            2.0,
            (0.42043903, 0.69412955, 0.69412955),
            5.980099272911,
        ),
    ],
)
def test_the_cheapest_spreads_are_the_closed_form(
    slopes: tuple[float, ...],
    costs: tuple[float, ...],
    power: float,
    whole: float,
    spreads: tuple[float, ...],
    cost: float,
    effort: Effort,
) -> None:
    c2, a = np.square(slopes), np.array(costs)
    share = (a / c2) ** (1.0 / (power + 2.0))
    truth = whole * share / np.sqrt(float(np.sum(c2 * share**2)))
    assert truth == pytest.approx(spreads, abs=1e-8)
    rig, target = opened(slopes, costs, (power,) * len(slopes), whole)
    priced = Allocation(rig, "as_set", effort)
    found = priced.cheapest(target)
    assert found is not None
    # The hit rate is known to 0.06 points (of 131,072 shots), so all spreads together to 0.3 %;
    # around its least the cost hardly changes where spreads are traded against each other.
    assert priced.cost(found) == pytest.approx(cost, rel=0.015)
    assert found == pytest.approx(truth, rel=0.05)


@pytest.mark.parametrize("effort", EFFORTS)
def test_mixed_laws_are_the_closed_form(effort: Effort) -> None:
    slopes, costs, powers = np.array([1.0, 2.0, 1.0]), np.array([1.0, 1.0, 3.0]), (1.0, 2.0, 1.0)
    rig, target = opened(tuple(slopes), tuple(costs), powers, 1.0)
    priced = Allocation(rig, "as_set", effort)
    found = priced.cheapest(target)
    power = np.array(powers)

    def spreads(multiplier: float) -> Array:
        # closed form: q A sigma^-q = multiplier c² sigma², with Σ c² sigma² = 1.
        at: Array = (power * costs / (multiplier * slopes**2)) ** (1.0 / (power + 2.0))
        return at

    def over(multiplier: float) -> float:
        return float(np.sum((slopes * spreads(multiplier)) ** 2)) - 1.0

    truth = spreads(float(brentq(over, 1e-3, 1e3)))
    assert found is not None
    assert priced.cost(found) == pytest.approx(float(np.sum(costs * truth**-power)), rel=0.015)
    assert found == pytest.approx(truth, rel=0.07)


@pytest.mark.parametrize("effort", EFFORTS)
def test_what_matters_not_may_grow_to_its_end(effort: Effort) -> None:
    study = toy_study(half_width=2.0, shot={"a": 1.0, "idle": 1.0})
    prices = [Price(source, 1.0, 1.0) for source in sources(study)]
    priced = Allocation(open_priced(study, TOY, prices), "as_set", effort)
    found = priced.cheapest(hit_share(2.0, 1.0))
    assert found is not None
    assert found[1] == pytest.approx(8.0)
    assert found[0] == pytest.approx(1.0, rel=0.02)


@pytest.mark.parametrize("effort", EFFORTS)
def test_scaling_all_alike_costs_more(effort: Effort) -> None:
    rig, target = opened((1.0, 2.0), (1.0, 1.0), (1.0, 1.0), 1.0)
    priced = Allocation(rig, "as_set", effort)
    alike, found = priced.alike(target), priced.cheapest(target)
    assert alike is not None
    assert found is not None
    # closed form: 5 k² = 1, cost 2 √5.
    assert alike == pytest.approx([5.0**-0.5] * 2, rel=0.02)
    assert priced.cost(alike) > 1.05 * priced.cost(found)
    assert [rate.value for rate in priced.rates([alike, found])] == pytest.approx(
        [target, target], abs=2e-3
    )


def test_a_target_that_nothing_bars_leaves_all_as_wide_as_looked_at() -> None:
    rig, _ = opened((1.0, 2.0), (1.0, 1.0), (1.0, 1.0), 1.0)
    found = Allocation(rig, "as_set", NET).cheapest(0.01)
    assert found == pytest.approx(rig.most)


def test_out_of_reach_is_none() -> None:
    study = toy_study(half_width=1.0, shot={"a": 1.0, "b": 1.0})
    (price, _) = (Price(source, 1.0, 1.0) for source in sources(study))
    priced = Allocation(open_priced(study, TOY, [price]), "as_set", NET)
    # closed form: without a, b alone leaves 2 Φ(1) - 1 = 68 %.
    assert priced.cheapest(0.75) is None
    (rate,) = priced.rates([np.array([LEAST])])
    assert rate.value == pytest.approx(hit_share(1.0, 1.0), abs=0.01)
