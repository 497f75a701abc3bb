"""Gains by removing, halving and doubling: the main answer's own, closed forms, and the limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from jitter.answers.effort import Net
from jitter.answers.hits import WAYS, count_hits, difference
from jitter.answers.intervals import Estimate
from jitter.answers.rank.effects import Effects, answer_effects
from jitter.answers.rank.simulated import simulate_ages
from jitter.answers.ranking import sources
from jitter.answers.run import answer_run
from jitter.answers.variants import scaled
from jitter.arrays import Array
from jitter.draws.layout import CELL, Layout
from jitter.quantities import Level
from jitter.stage import UnpreparedError
from jitter.stages import CHAIN
from jitter.trial import open_road
from tests.conftest import load
from tests.toy import MS, TOY, Sum, deviation, hit_share, toy_study

SMALL = Layout(seed=11, setups=128, shots=32)
FRAMES = 128 * 32
WIDTH = 4.0
SETUP, SHOTS = {"a": 3.0}, {"b": 2.0, "c": 1.0, "d": 0.5}


def agrees(found: Estimate, truth: float) -> bool:
    """Whether the truth is within 4.5 standard errors, 1.96 of which the interval reaches."""
    error = (found.high - found.low) / (2.0 * 1.96)
    return abs(found.value - truth) <= 4.5 * error


@cache
def toy_effects(*, drawn: bool) -> Effects:
    study = toy_study(half_width=WIDTH, setup=SETUP, shot=SHOTS)
    layout = Layout(study.seed, 4096, 16)
    return answer_effects(open_road(study, TOY), sources(study), layout, drawn=drawn)


@pytest.mark.parametrize("drawn", [False, True])
@pytest.mark.parametrize(("name", "factor"), [("removed", 0.0), ("halved", 0.5), ("doubled", 2.0)])
def test_effects_are_those_of_the_closed_form(name: str, factor: float, drawn: bool) -> None:
    sizes = SETUP | SHOTS
    effects = toy_effects(drawn=drawn)
    whole = hit_share(WIDTH, deviation(*sizes.values()))
    for place, key in enumerate(sizes):
        less = sizes | {key: factor * sizes[key]}
        found = getattr(effects.by_way["as_set"][place], name)
        # closed form: 2 Φ(W/sd) - 1
        truth = hit_share(WIDTH, deviation(*less.values())) - whole
        assert agrees(found, truth), key
    assert agrees(effects.rates["as_set"], whole)
    assert isinstance(effects.effort, Layout if drawn else Net)


@pytest.mark.parametrize("drawn", [False, True])
def test_slopes_are_those_of_the_closed_form(drawn: bool) -> None:
    sizes = SETUP | SHOTS
    for place, key in enumerate(sizes):
        less, more = (
            hit_share(WIDTH, deviation(*(sizes | {key: sizes[key] * factor}).values()))
            for factor in (1.0 / 1.1, 1.1)
        )
        found = toy_effects(drawn=drawn).by_way["as_set"][place].tenth
        assert found is not None
        # closed form: half of what lies between a tenth less and a tenth more.
        assert agrees(found, 0.5 * (more - less)), key
        if not drawn:
            # The line is steepest for the spreads as they are, and nearly so for these.
            assert found.value == pytest.approx(0.5 * (more - less), abs=1e-5)


def test_gains_are_those_of_the_main_answer() -> None:
    study = load("barn-table")
    found = sources(study)
    effects = answer_effects(open_road(study, CHAIN), found, SMALL, drawn=True)
    main = answer_run(study, CHAIN, setups=SMALL.setups, shots=SMALL.shots)
    ranked = {rank.source: rank for rank in main.ranking}
    for way in WAYS:
        for source, effect in zip(found, effects.by_way[way], strict=True):
            gain = getattr(ranked[source], way)
            # Fall tables fitted over other ranges agree to a microsecond: a frame or two.
            for one, other in ((effect.removed, gain.removed), (effect.halved, gain.halved)):
                assert one.value == pytest.approx(other.value, abs=3.0 / FRAMES)
        rate = getattr(main, way).hit_rate.value
        assert effects.rates[way].value == pytest.approx(rate, abs=3.0 / FRAMES)
    simulated = simulate_ages(open_road(study, CHAIN), SMALL)
    assert simulated == main.as_set.ages


def test_doubling_is_firing_a_doubled_study() -> None:
    study = load("barn-table")
    found = sources(study)
    effects = answer_effects(open_road(study, CHAIN), found, SMALL, drawn=True)
    before = count_hits(study, CHAIN, SMALL)
    for place, source in enumerate(found):
        variant = scaled(study, [(key, source.level) for key in source.keys], 2.0)
        after = count_hits(variant, CHAIN, SMALL)
        for way in WAYS:
            doubled = effects.by_way[way][place].doubled
            assert doubled is not None
            # Fall tables fitted over other ranges agree to a microsecond: a frame or two.
            assert doubled.value == pytest.approx(
                difference(after, before, way).value, abs=3.0 / FRAMES
            )


def narrow(ends: Mapping[str, Any]) -> object:
    """Prepare no table, and none at all where an input reaches beyond 20 ms."""
    if ends["toy_a"][1] > 20.0 * MS:
        raise UnpreparedError("it ranges too widely", "make its spread smaller")
    return None


def test_spreads_too_wide_to_double_are_not_doubled() -> None:
    add_up, judge = TOY.stages
    chain = replace(TOY, stages=(replace(add_up, prepare=narrow, table="toy_table"), judge))
    study = toy_study(half_width=WIDTH, setup=SETUP, shot=SHOTS)
    # closed form: one in 1e7 reaches 5.2 standard deviations, 15.6 ms; doubled, 31 ms.
    effects = answer_effects(open_road(study, chain), sources(study), SMALL)
    for way in WAYS:
        assert all(effect.doubled is None for effect in effects.by_way[way])
        # A tenth more, 17 ms, is within reach.
        assert all(effect.tenth is not None for effect in effects.by_way[way])
        assert any(effect.removed.clear for effect in effects.by_way[way])


def tabled(
    *,
    toy_a: Array,
    toy_b: Array,
    toy_c: Array,
    toy_d: Array,
    toy_idle: Array,
    delay_correction: Array,
    toy_table: float,
) -> Sum:
    """Return the sum of the inputs, and nothing but rubbish where the table does not reach."""
    age = toy_a + toy_b + toy_c + toy_d + 0.0 * toy_idle + delay_correction
    return Sum(np.where(np.abs(toy_a) > toy_table, 0.0, age))


def test_tables_reach_as_far_as_doubled_spreads() -> None:
    add_up, judge = TOY.stages
    reaching = replace(
        add_up, work=tabled, prepare=lambda ends: ends["toy_a"][1], table="toy_table"
    )
    chain = replace(TOY, stages=(reaching, judge))
    study = toy_study(half_width=WIDTH, setup=SETUP, shot=SHOTS)
    layout = Layout(study.seed, 4096, 16)
    effects = answer_effects(open_road(study, chain), sources(study), layout, drawn=True)
    # The same draws, none of which goes beyond a table that reaches 5.2 standard deviations.
    assert effects == toy_effects(drawn=True)


def test_long_set_ups_are_counted_whole() -> None:
    study = toy_study(half_width=WIDTH, shot=SHOTS)
    layout = Layout(study.seed, 2, CELL + 100)
    effects = answer_effects(open_road(study, TOY), sources(study), layout, drawn=True)
    (effect, *_) = effects.by_way["as_set"]
    less = scaled(study, [("toy.b", Level.SHOT)], 0.0)
    after, before = (count_hits(each, TOY, layout) for each in (less, study))
    assert effect.removed.value == pytest.approx(difference(after, before, "as_set").value)


@pytest.mark.parametrize("drawn", [False, True])
def test_workers_change_no_digit(drawn: bool) -> None:
    study = load("barn-table")
    layout, road = Layout(study.seed, 1200, 32), open_road(study, CHAIN)
    one, two = (
        answer_effects(road, sources(study)[:3], layout, drawn=drawn, workers=workers)
        for workers in (1, 2)
    )
    assert one == two
