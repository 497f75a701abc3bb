"""`jitter plan`: nested normal toys by quadrature, plans carried out, and what is out of reach."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from scipy.special import bdtrc, ndtr

from jitter.answers.plan.answer import PlanAnswer, answer_plan
from jitter.answers.plan.foresight import foresee
from jitter.answers.plan.planning import CERTAINTIES, SPLITS, Strategy
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.report.plan.document import plan_document
from jitter.stage import Chain
from jitter.stages import CHAIN, trimming
from jitter.study.study import Entry, Study
from tests.answers.test_by_setup import generator
from tests.answers.test_session import SESSION, session_of
from tests.conftest import load
from tests.toy import ADD_UP, JUDGE, toy_study

WIDTH, AT_SHOT, READING, READ = 1.0, 0.6, 0.5, 8
EVENING = Chain(
    stages=(
        replace(
            ADD_UP,
            declares=(
                *ADD_UP.declares,
                CHAIN.declarations["session.frames"],
                CHAIN.declarations["session.cadence"],
            ),
        ),
        JUDGE,
    ),
    trimming=trimming.STAGE,
)


def toy(at_setup: float, *, frames: int = 100, seed: int = 5) -> Study:
    """Return a toy whose set-up error is N(0, at_setup²) [ms] in an evening of so many frames."""
    study = toy_study(
        half_width=WIDTH,
        setup={"a": at_setup} if at_setup else None,
        shot={"a": AT_SHOT},
        reading=READING,
        frames=READ,
        seed=seed,
        chain=EVENING,
    )
    frames_entry = replace(study.entries["session.frames"], nominal=float(frames))
    return replace(study, entries={**study.entries, "session.frames": frames_entry})


def plan_toy(study: Study, chain: Chain = EVENING, **parts: Any) -> PlanAnswer:
    asked: dict[str, Any] = {"want": 12, "sure": 0.95, "setup_time": 1200.0}
    with patch("jitter.answers.plan.answer.find_warnings", return_value=()):
        return answer_plan(study, chain, **(asked | parts))


@cache
def planned(at_setup: float) -> PlanAnswer:
    return plan_toy(toy(at_setup))


def between(at_setup: float, way: str) -> float:
    """Return the set-up part of the age, as set and as trimmed [ms].

    Trimming takes the set-up's error out and puts in the mean of its frames' shot and reading
    errors: variance (shot² + reading²)/N.
    """
    return at_setup if way == "as_set" else math.hypot(AT_SHOT, READING) / math.sqrt(READ)


def rates(at_setup: float, way: str) -> tuple[Array, Array]:
    """Return the law of p = Φ((W - b)/s) - Φ((-W - b)/s), b ~ N(0, between²), by Gauss-Hermite."""
    places, weights = np.polynomial.hermite_e.hermegauss(120)
    shift = between(at_setup, way) * places
    law = ndtr((WIDTH - shift) / AT_SHOT) - ndtr((-WIDTH - shift) / AT_SHOT)
    return law, weights / weights.sum()


def truth(at_setup: float, way: str, shared: tuple[int, ...], want: int) -> float:
    """Return P(K >= want) over set-ups, by quadrature and convolution."""
    law, weights = rates(at_setup, way)
    whole = np.ones(1)
    for length in shared:
        above = [float(weights @ bdtrc(kept - 1, length, law)) for kept in range(1, length + 1)]
        tails = [1.0, *above, 0.0]
        whole = np.convolve(whole, -np.diff(tails))
    return float(whole[want:].sum())


@pytest.mark.parametrize("at_setup", [0.0, 0.5, 1.0])
def test_certainties_are_those_of_the_nested_normal_family(at_setup: float) -> None:
    for strategy in planned(at_setup).strategies:
        if strategy.asked is None or strategy.chance is None:
            continue
        exact = truth(at_setup, strategy.manner.way, strategy.asked.shared, 12)
        # closed form by quadrature; the interval's half width doubled for 4 standard errors, and
        # the hundredth that the deconvolution of the set-ups' law promises.
        room = 2.0 * (strategy.chance.high - strategy.chance.value) + 0.01
        assert abs(strategy.chance.value - exact) <= room
        assert strategy.chance.value >= 0.95 - 1e-12
        whole = truth(at_setup, strategy.manner.way, strategy.evening.frames, 12)
        assert abs(strategy.evening.chance - whole) <= 0.02


def test_intervals_of_a_certainty_cover_it() -> None:
    """The deconvolution's own error is part of what is counted."""
    repeats = 200
    asked: list[tuple[int, ...]] = [(20,), (26,), (14, 14)]
    exact = {shared: truth(0.5, "as_set", shared, 12) for shared in asked}
    covered = dict.fromkeys(asked, 0)
    for seed in range(repeats):
        layout = Layout(seed, 1000, 24)
        seen = foresee(toy(0.5), EVENING, layout, moving=False, workers=1)["as_set"]
        for shared in asked:
            chance = seen.chance(0, shared, 12)
            covered[shared] += chance.low <= exact[shared] <= chance.high
    for shared, count in covered.items():
        print(f"{shared}: {count} of {repeats} intervals cover {exact[shared]:.4f}")
        # Binomial around 0.95, 4.5 standard errors below.
        assert count / repeats >= 0.95 - 4.5 * math.sqrt(0.95 * 0.05 / repeats)


@pytest.mark.parametrize("setups", [1, 3])
@pytest.mark.parametrize("way", ["as_set", "as_trimmed"])
def test_a_plan_carried_out_reaches_its_want(setups: int, way: str) -> None:
    """Evenings shot by other code: normal numbers, a window, trimming by the mean age read."""
    evenings, want = 20_000, 12
    strategy = next(
        one
        for one in planned(0.5).strategies
        if (one.manner.way, one.manner.setups) == (way, setups)
    )
    assert strategy.asked is not None
    assert strategy.chance is not None
    rng = generator(77)
    kept = np.zeros(evenings, dtype=int)
    for frames in strategy.asked.shared:
        shift = rng.normal(0.0, 0.5, (evenings, 1))
        if way == "as_trimmed":
            ages = shift + rng.normal(0.0, AT_SHOT, (evenings, READ))
            shift = shift - (ages + rng.normal(0.0, READING, ages.shape)).mean(1, keepdims=True)
        ages = shift + rng.normal(0.0, AT_SHOT, (evenings, frames))
        kept += (np.abs(ages) < WIDTH).sum(axis=1)
    reached = float((kept >= want).mean())
    print(f"{way}, {setups}: planned {strategy.chance.value:.4f}, reached {reached:.4f}")
    noise = 4.5 * math.sqrt(reached * (1.0 - reached) / evenings)
    half = strategy.chance.high - strategy.chance.value
    assert abs(reached - strategy.chance.value) <= noise + 2.0 * half + 0.005
    assert abs(kept.mean() - strategy.asked.expected) <= 0.01 * strategy.asked.expected


def one_of(answer: PlanAnswer, way: str, setups: int) -> Strategy:
    return next(
        one
        for one in answer.strategies
        if (one.manner.way, one.manner.setups, one.manner.every) == (way, setups, 0)
    )


def test_alike_frames_take_more_than_independent_ones() -> None:
    answer = planned(1.0)
    alone, many = one_of(answer, "as_set", 1), one_of(answer, "as_set", 6)
    independent = answer.independent["as_set"]
    assert many.asked is not None
    assert independent is not None
    assert independent < many.asked.frames
    # One set-up is out of reach or takes more than six of them.
    assert alone.asked is None or alone.asked.frames > many.asked.frames
    assert answer.foresight["as_set"].alikeness > answer.foresight["as_trimmed"].alikeness


def test_setups_that_differ_by_nothing_take_what_independent_frames_take() -> None:
    answer = planned(0.0)
    for setups in SPLITS:
        asked = one_of(answer, "as_set", setups).asked
        assert asked is not None
        assert abs(asked.frames - (answer.independent["as_set"] or 0)) <= 1


def test_table_rises_with_the_certainty() -> None:
    for strategy in planned(0.5).strategies:
        frames = [one.frames for one in strategy.table if one is not None]
        assert frames == sorted(frames)
        assert len(strategy.table) == len(CERTAINTIES)


def test_free_setups_make_many_short_ones_the_quickest() -> None:
    costly = plan_toy(toy(1.0), setup_time=36_000.0)
    free = plan_toy(toy(1.0), setup_time=0.0, want=20)
    assert costly.best is not None
    assert costly.best.manner.setups == 1
    assert free.best is not None
    assert free.best.manner.setups > 1 or free.best.manner.way == "as_trimmed"
    as_set = [one for one in free.strategies if one.manner.way == "as_set" and one.asked]
    assert min(as_set, key=lambda one: one.asked.time if one.asked else 0).manner.setups > 1


def test_out_of_reach_is_said_with_what_it_would_take() -> None:
    answer = plan_toy(toy(0.5, frames=20), want=20)
    assert answer.best is None
    assert all(strategy.asked is None for strategy in answer.strategies)
    assert answer.beyond is not None
    manner, need = answer.beyond
    assert need.frames > 20
    assert truth(0.5, manner.way, need.shared, 20) == pytest.approx(0.95, abs=0.03)
    # closed form: more keepers than any longer evening has frames.
    nothing = plan_toy(toy(0.5, frames=2), want=1000)
    assert (nothing.best, nothing.beyond) == (None, None)


def test_a_short_evening_has_no_more_setups_than_frames() -> None:
    answer = plan_toy(toy(0.5, frames=2), want=1, sure=0.5)
    assert {strategy.manner.setups for strategy in answer.strategies} == {1, 2}


def test_asked_twice_the_same_answer() -> None:
    study = load("barn-table")
    one, two = (
        answer_plan(
            study, CHAIN, want=12, sure=0.9, setup_time=60.0, setups=300, shots=16, workers=workers
        )
        for workers in (1, 2)
    )
    assert plan_document(one) == plan_document(two)


def test_a_drifting_rig_is_followed_and_trimming_again_compared() -> None:
    study = session_of()
    cadence = Entry(CHAIN.declarations["session.cadence"], 15.0)
    study = replace(study, entries={**study.entries, "session.cadence": cadence})
    answer = plan_toy(study, SESSION, want=80, sure=0.9, setup_time=7200.0)
    assert answer.moving
    assert (answer.layout.setups, answer.layout.shots) == (4096, 96)
    again = [one for one in answer.strategies if one.manner.every]
    assert {one.manner.way for one in again} == {"as_trimmed"}
    # The toy drifts out of its window: only trimming again keeps it there to the end.
    once = one_of(answer, "as_trimmed", 1)
    best = max(again, key=lambda one: one.evening.expected)
    assert best.evening.expected > once.evening.expected + 5.0
    assert answer.best is not None
    assert answer.best.manner.every > 0
