"""The cheapest combination for a rig, checked on fresh draws."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from jitter.answers.effort import Net, rates_of
from jitter.answers.hits import WAYS, count_hits
from jitter.answers.require.cheapest import FRESH, CheapestAnswer, answer_cheapest
from jitter.answers.require.prices import open_priced, priced
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
    return answer_cheapest(study, CHAIN, priced(study, EFFORTS), target)


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
        # The check at points and this (8,192 set-ups of 32) err, and so does the gap by which the
        # target was moved.
        errors = [(one.high - one.low) / (2.0 * 1.96) for one in (rate, plan.rate, plan.rate)]
        assert abs(rate.value - 0.8) < 4.5 * sum(error**2 for error in errors) ** 0.5
        assert abs(plan.rate.value - 0.8) < 4.5 * sum(error**2 for error in errors) ** 0.5
        assert plan.cost < plan.cost_alike


def test_the_check_is_at_points_that_had_no_part() -> None:
    answer, study = asked(0.8), load("barn-table")
    assert isinstance(answer.effort, Net)
    rig = open_priced(study, CHAIN, answer.prices)
    points = FRESH * answer.effort.points
    for way in WAYS:
        plan = answer.plans[way]
        assert plan is not None
        rates = {
            seed: rates_of(
                rig.road,
                [rig.varied(plan.factors)],
                Net(answer.effort.seed + seed, points),
                ways=(way,),
            )[0].rates[way]
            for seed in (0, 1, 2)
        }
        assert plan.rate == rates[2]
        assert plan.rate.value != rates[0].value
        assert plan.gap != 0.0
        # Half widths are two standard errors; the gap by which it was moved errs as much.
        half = 0.5 * (plan.rate.high - plan.rate.low)
        assert abs(plan.rate.value - 0.8) < 2.25 * 2.0**0.5 * half


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
