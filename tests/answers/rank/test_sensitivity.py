"""Shares of age and hit on the real chain's own machinery, against closed forms and itself."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from jitter.answers.rank.frames import AGE, HIT, OUTPUTS, Fired, fire_anew, fire_frames, outputs
from jitter.answers.rank.indices import Index
from jitter.answers.rank.inputs import (
    SESSION,
    SHOT,
    TRIMMING,
    TRIMMING_FRAMES,
    Draws,
    deviates,
    draw_frames,
    inputs,
    second_seed,
    swapped,
)
from jitter.answers.rank.sensitivity import Sensitivity, answer_sensitivity
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import load
from tests.known_functions import Known, linear_hit, linear_sum
from tests.toy import TOY, toy_study

WIDTH, PAIRS = 4.0, 8192
SETUP, SHOTS = {"a": 3.0}, {"b": 2.0, "c": 1.0, "d": 0.5}
FRAMES, READING = 4, 2.0


def agrees(found: Index, truth: float) -> bool:
    """Whether the truth is within 4.5 of the estimator's own standard errors."""
    return abs(found.estimate.value - truth) <= 4.5 * found.error + 1e-12


@cache
def toy_answer() -> Sensitivity:
    study = toy_study(half_width=WIDTH, setup=SETUP, shot=SHOTS, reading=READING, frames=FRAMES)
    ones = inputs(study)
    assert [one.name for one in ones] == [
        *(f"toy.{name}" for name in "abcd"),
        "trim.reading",
        TRIMMING_FRAMES,
    ]
    return answer_sensitivity(open_road(study, TOY), ones, [[0, 4, 5], [1, 2, 3]], pairs=PAIRS)


def slopes(way: str) -> tuple[float, ...]:
    """Return what each input does, in standard deviations.

    As set the age is a + b + c + d. Trimming takes a out, and puts in the mean of the errors of
    its frames and of their readings: (b² + c² + d²)/N and reading²/N.
    """
    own = tuple(SHOTS.values())
    if way == "as_set":
        return (SETUP["a"], *own, 0.0, 0.0)
    return (0.0, *own, READING / math.sqrt(FRAMES), math.sqrt(sum(c * c for c in own) / FRAMES))


@pytest.mark.parametrize("way", ["as_set", "as_trimmed"])
@pytest.mark.parametrize("what", [AGE, HIT])
def test_the_toy_has_the_shares_of_its_closed_form(way: str, what: str) -> None:
    of = slopes(way)
    # closed form: linear sums c²/Σc², linear hits by `linear_hit`.
    known: Known = linear_sum(*of) if what == AGE else linear_hit(*of, width=WIDTH)
    parts = toy_answer().parts[way, what]
    for place, (first, total, share) in enumerate(
        zip(known.first(), known.total(), known.shapley(), strict=True)
    ):
        assert agrees(parts[place].first, first), place
        assert agrees(parts[place].total, total), place
        assert agrees(parts[place].shapley, share), place
        assert parts[place].shapley.error < 2.0 / math.sqrt(PAIRS)
    for place, members in ((6, frozenset({0, 4, 5})), (7, frozenset({1, 2, 3}))):
        others = known.everything - members
        assert agrees(parts[place].first, known.closed(members))
        assert agrees(parts[place].total, 1.0 - known.closed(others))
        together = math.fsum(known.shapley()[member] for member in members)
        assert agrees(parts[place].shapley, together)


def test_what_was_never_seen_to_turn_a_hit_is_not_called_idle() -> None:
    for part in toy_answer().parts["as_set", HIT][4:6]:
        for index in (part.first, part.total, part.shapley):
            assert index.estimate.value == index.estimate.low == 0.0
            # closed form: 1 - 0.025^(1/n) of the rows, of weight 1/(2 p (1 - p)) = 2.4
            assert index.estimate.high == pytest.approx(2.43 * 3.689 / PAIRS, rel=0.05)


def test_age_and_hit_rank_differently_only_in_shares_when_all_is_linear() -> None:
    parts = toy_answer().parts
    age, hit = parts["as_set", AGE][0].shapley, parts["as_set", HIT][0].shapley
    # closed form: 9/14.25 of the age's variance, 0.535 of the hit's.
    assert age.estimate.low > hit.estimate.high


def test_workers_change_no_digit() -> None:
    study = toy_study(half_width=WIDTH, setup=SETUP, shot=SHOTS)
    road, ones = open_road(study, TOY), inputs(study)
    one, two = (
        answer_sensitivity(road, ones, [], pairs=10_000, workers=workers) for workers in (1, 3)
    )
    assert one.parts == two.parts


def real(*settings: str) -> Study:
    return load("porch-milk-open-bottle", *settings)


COUNT = 60


def both(study: Study) -> tuple[Draws, Draws]:
    first, second = (
        draw_frames(study, Block(Layout(seed, COUNT, 1), 0, COUNT, 0, 1))
        for seed in (study.seed, second_seed(study.seed))
    )
    return first, second


def same(one: Fired, other: Fired) -> bool:
    pairs = (outputs(each, COUNT) for each in (one, other))
    left, right = pairs
    return all(np.array_equal(left[at], right[at], equal_nan=True) for at in OUTPUTS)


@pytest.mark.parametrize("name", ["barn-table", "porch-milk-open-bottle", "kitchen-glycerol"])
def test_reworking_what_an_input_touches_is_firing_anew(name: str) -> None:
    study = load(name)
    road = open_road(study, CHAIN)
    base, other = both(study)
    fired = fire_frames(road, base)
    moved = 0
    for one in inputs(study):
        mixed = swapped(base, other, one)
        again = fire_frames(road, mixed)
        assert same(fire_anew(road, fired, mixed, one), again), one.name
        moved += not same(fired, again)
    # Most inputs change something in so many frames.
    assert moved > 0.5 * len(inputs(study))


def test_all_inputs_swapped_are_the_other_frames() -> None:
    study = real()
    road = open_road(study, CHAIN)
    base, other = both(study)
    mixed = base
    for one in inputs(study):
        assert not set(one.slots) - set(base)
        mixed = swapped(mixed, other, one)
    assert same(fire_frames(road, mixed), fire_frames(road, other))
    assert not same(fire_frames(road, base), fire_frames(road, other))
    slots = [slot for one in inputs(study) for slot in one.slots]
    # Every draw belongs to one input, and to no other.
    assert sorted(slots) == sorted(base)


def test_frames_are_those_of_the_study() -> None:
    study = load("barn-table")
    block = Block(Layout(study.seed, COUNT, 1), 0, COUNT, 0, 1)
    own, trimming = deviates(draw_frames(study, block))
    for seen, drawn in (
        (own, draw(study, block)),
        (trimming, draw(study, block, trimming=True)),
    ):
        assert seen.setup.keys() == drawn.setup.keys()
        assert seen.shot.keys() == drawn.shot.keys()
        assert all(np.array_equal(seen.shot[key], drawn.shot[key]) for key in drawn.shot)
        assert not seen.frame_number.any()


def test_a_session_that_drifts_has_its_place_as_an_input() -> None:
    study = real()
    assert SESSION in [one.name for one in inputs(study)]
    assert SESSION not in [one.name for one in inputs(load("barn-table"))]
    base, other = both(study)
    places = base["place", ""]
    frames = study.number("session.frames")
    assert places.min() >= 0.0
    assert places.max() <= frames - 1.0
    # closed form: uniform from 0 to N - 1, mean (N - 1)/2, variance (N² - 1)/12.
    error = math.sqrt((frames**2 - 1.0) / 12.0 / COUNT)
    assert abs(places.mean() - (frames - 1.0) / 2.0) <= 4.5 * error
    assert not np.array_equal(places, other["place", ""])


def test_what_is_alike_is_one_input() -> None:
    def names(*settings: str) -> list[str]:
        return [
            one.name for one in inputs(load("barn-table", *settings)) if one.level is Level.SHOT
        ]

    apart, both_at_once = names(), "valve.first_volume and valve.second_volume"
    assert {"valve.first_volume", "valve.second_volume"} <= set(apart)
    alike = names('valve.first_volume.alike="0.6"')
    assert both_at_once in alike
    assert len(alike) == len(apart) - 1


def test_reading_errors_are_drawn_where_the_delay_is_trimmed() -> None:
    ones = {one.name: one for one in inputs(load("barn-table"))}
    reading = ones["trim.reading"]
    assert reading.slots == ((TRIMMING, "trim.reading"),)
    assert reading.lasts
    assert ones[TRIMMING_FRAMES].lasts
    assert not any(where == SHOT for where, _ in ones[TRIMMING_FRAMES].slots)


def test_seeds_of_the_two_sets_differ() -> None:
    assert len({seed for own in range(50) for seed in (own, second_seed(own))}) == 100


def test_a_rig_that_never_hits_has_no_shares_of_the_hit() -> None:
    study = load("barn-table", "valve.interval=400 ms")
    ones = inputs(study)
    found = answer_sensitivity(open_road(study, CHAIN), ones, [], pairs=64)
    for output in OUTPUTS:
        for part in found.parts[output]:
            assert math.isnan(part.total.estimate.value)
            assert not part.shapley.estimate.clear
