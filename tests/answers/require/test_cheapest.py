"""The cheapest combination for a rig, checked on fresh draws."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.require.cheapest import CheapestAnswer, answer_cheapest, priced
from jitter.answers.variants import scaled
from jitter.draws.layout import Layout
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.study.effort import Effort
from tests.conftest import load

EFFORTS = (
    Effort("valve.release_speed", Level.SHOT, 40.0, 2.0),
    Effort("valve.scatter", Level.SHOT, 20.0, 1.0),
    Effort("valve.second_volume", Level.SETUP, 5.0, 1.0),
)


@cache
def asked(target: float) -> CheapestAnswer:
    study = load("barn-table")
    return answer_cheapest(study, CHAIN, priced(study, EFFORTS), target, setups=1024)


def test_prices_belong_to_draws() -> None:
    keys = [price.source.keys for price in priced(load("barn-table"), EFFORTS)]
    assert keys[2] == ("valve.first_volume", "valve.second_volume")


def test_the_combination_fed_back_gives_the_target() -> None:
    answer = asked(0.8)
    assert answer.met
    assert answer.cost == 65.0
    for way in WAYS:
        plan = answer.plans[way]
        assert plan is not None
        study = replace(load("barn-table"), seed=99)
        for price, factor in zip(answer.prices, plan.factors, strict=True):
            keys = [(key, price.source.level) for key in price.source.keys]
            study = scaled(study, keys, float(factor))
        rate = count_hits(study, CHAIN, Layout(99, 8192, 32)).rates[way]
        # Both the check (8,192 set-ups of 16) and this (8,192 of 32) carry noise, and so does the
        # gap by which the target was moved.
        errors = [(one.high - one.low) / (2.0 * 1.96) for one in (rate, plan.rate, plan.rate)]
        assert abs(rate.value - 0.8) < 4.5 * sum(error**2 for error in errors) ** 0.5
        assert abs(plan.rate.value - 0.8) < 4.5 * sum(error**2 for error in errors) ** 0.5
        assert plan.cost < plan.cost_alike


def test_the_check_is_on_draws_that_had_no_part() -> None:
    answer = asked(0.8)
    for way in WAYS:
        plan = answer.plans[way]
        assert plan is not None
        study = load("barn-table")
        for price, factor in zip(answer.prices, plan.factors, strict=True):
            keys = [(key, price.source.level) for key in price.source.keys]
            study = scaled(study, keys, float(factor))
        rates = {
            seed: count_hits(study, CHAIN, Layout(answer.layout.seed + seed, 8192, 16)).rates[way]
            for seed in (0, 1, 2)
        }
        # The fall's table is fitted anew: one frame in 3000 at the most.
        assert plan.rate.value == pytest.approx(rates[2].value, abs=1 / 3000)
        assert plan.rate.value != pytest.approx(rates[0].value, abs=1e-6)
        assert plan.gap != 0.0


def test_the_same_question_twice_gives_the_same_answer() -> None:
    study = load("barn-table")
    one, two = (
        answer_cheapest(
            study, CHAIN, priced(study, EFFORTS), 0.8, setups=64, shots=8, workers=workers
        )
        for workers in (1, 2)
    )
    for way in WAYS:
        first, second = one.plans[way], two.plans[way]
        assert first is not None
        assert second is not None
        assert (first.cost, first.rate) == (second.cost, second.rate)


def test_out_of_reach_names_what_else_must_shrink() -> None:
    answer = asked(0.99)
    assert not answer.met
    for way in WAYS:
        assert answer.plans[way] is None
        assert answer.best[way].value < 0.99
        keys = [one.source.keys[0] for one in answer.remedies[way]]
        assert keys
        assert not {"valve.release_speed", "valve.scatter"}.intersection(keys)
        rates = [one.together.value for one in answer.remedies[way]]
        assert rates == pytest.approx(sorted(rates))
