"""`jitter explain`: planted faults are found, and where nothing is wrong nothing is said to be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import fields, replace

import numpy as np
import pytest

from jitter.answers.explain import answer as module
from jitter.answers.explain import checking, facts, telling
from jitter.answers.explain.answer import ExplainAnswer, answer_explain
from jitter.answers.explain.lineup import SAID, UNKNOWN
from jitter.answers.explain.suspects import CHANCE, OFF, STRAYS
from jitter.answers.warnings import find_warnings
from jitter.records.log import Log
from jitter.stages import CHAIN
from jitter.stages.look import KEPT
from jitter.trial import nominal_shot
from tests.answers.explain.made import ALL, NONE, frame, made
from tests.conftest import load


@pytest.fixture(autouse=True)
def fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take fewer simulated set-ups and logs, which widens what cannot be told apart."""
    monkeypatch.setattr(module, "SETUPS", 384)
    monkeypatch.setattr(telling, "LOGS", 8)
    monkeypatch.setattr(checking, "LOGS", 49)
    monkeypatch.setattr(facts, "PERMUTATIONS", 199)


def explain(log: Log, *, workers: int | None = None, frame: int | None = None) -> ExplainAnswer:
    return answer_explain(load("barn-table"), CHAIN, log, workers=workers, frame=frame)


def sums_to_one(answer: ExplainAnswer) -> None:
    named = sum(party.probability for party in answer.parties)
    whole = answer.described + answer.unknown + named + answer.rest
    assert whole == pytest.approx(1.0, abs=1e-9)
    for party in answer.parties:
        assert party.probability == pytest.approx(sum(one.probability for one in party.members))
    named_once = [one.suspect for party in answer.parties for one in party.members]
    assert len(named_once) == len(set(named_once))


@pytest.mark.parametrize(
    ("setting", "key", "how", "measured"),
    [
        ("valve.release_speed.shot=sd 0.06 m/s", "valve.release_speed", STRAYS, NONE),
        ("valve.scatter.shot=sd 1.2 mm", "valve.scatter", STRAYS, ALL),
        ("sensor.height=493 mm", "sensor.height", OFF, ALL),
        ("sensor.miss_chance=20 %", "sensor.miss_chance", CHANCE, NONE),
    ],
)
def test_a_planted_fault_is_in_the_likeliest_group(
    setting: str, key: str, how: str, measured: Sequence[bool]
) -> None:
    answer = explain(made(load("barn-table", setting), seed=21, frames=60, measured=measured))
    sums_to_one(answer)
    first = answer.parties[0]
    assert (key, how) in {(one.suspect.key, one.suspect.how) for one in first.members}
    assert first.probability > max(0.5, answer.described, answer.unknown)
    assert answer.described < 0.1
    assert answer.fit is not None
    assert answer.fit.chance < 0.05
    # What is to be separated next is told of, the likeliest first.
    assert answer.tests
    assert (
        answer.doubted[0]
        == max(
            (one for party in answer.parties for one in party.members),
            key=lambda one: one.probability,
        ).suspect
    )
    assert [test.gain for test in answer.tests] == sorted(
        (test.gain for test in answer.tests), reverse=True
    )
    assert all(len(test.outcomes) == 1 + len(answer.doubted) for test in answer.tests)
    if how == OFF:
        (blamed,) = [one for one in first.members if one.suspect.key == key]
        # closed form: it is 10 mm off; the log must agree within four of its own errors.
        assert blamed.offset == pytest.approx(0.010, abs=4.0 * blamed.spread)
        assert blamed.offset > 0.0
    else:
        size = {(one.suspect.key, one.suspect.how): one for one in first.members}[key, how].size
        assert size is not None
        # closed form: three times as far, or one frame in five, as planted.
        truth = 3.0 if how == STRAYS else 0.2
        assert size.low < truth < size.high
        assert size.low > 1.0 if how == STRAYS else size.low > 0.03


@pytest.mark.parametrize("measured", [NONE, ALL])
def test_where_nothing_is_wrong_luck_stays_the_likeliest(measured: Sequence[bool]) -> None:
    answer = explain(made(load("barn-table"), seed=22, frames=40, measured=measured))
    sums_to_one(answer)
    every = [one.probability for party in answer.parties for one in party.members]
    assert answer.described > max([0.4, answer.unknown, *every])
    assert answer.fit is not None
    assert answer.fit.chance > 0.05


def test_a_log_that_tells_nothing_leaves_what_was_thought_before() -> None:
    for log in (Log((), "", ()), Log(tuple(frame(2 + i, None) for i in range(9)), "", ())):
        answer = explain(log)
        assert (answer.described, answer.unknown) == (SAID, UNKNOWN)
        assert (answer.parties, answer.tests, answer.fit) == ((), (), None)
        sums_to_one(answer)


def test_three_frames_say_next_to_nothing() -> None:
    answer = explain(made(load("barn-table"), seed=23, frames=3), frame=1)
    sums_to_one(answer)
    assert answer.described == pytest.approx(SAID, abs=0.15)
    assert math.isnan(answer.facts.long_run)
    assert answer.single is not None
    assert answer.single.frame == answer.log.frames[1]


def test_a_long_log_is_answered() -> None:
    answer = explain(
        made(load("barn-table", "timer.delay=300 ms"), seed=24, frames=5000, measured=ALL)
    )
    sums_to_one(answer)
    # More is said than so few simulated set-ups resolve: it counts for less than it could.
    assert 0.0 < answer.weight < 0.5
    assert all(np.isfinite(one.probability) for party in answer.parties for one in party.members)


def test_several_setups_tell_more_than_one() -> None:
    study = load("barn-table", "valve.scatter.shot=sd 0.8 mm")
    one = explain(made(study, seed=25, frames=20))
    several = explain(made(study, seed=25, frames=20, setups=3))
    sums_to_one(several)
    assert several.facts.setups == 3
    assert several.facts.clustered
    assert several.described < one.described
    blamed = {one.suspect.key for party in several.parties for one in party.members}
    # Twice the scatter, and three times the lean, put drops aside by nearly as much.
    assert blamed & {"valve.scatter", "jet.lean"}


def test_delays_told_frame_by_frame_are_no_fault() -> None:
    early, sound = load("barn-table", "timer.delay=282 ms"), load("barn-table")
    log = made(early, seed=26, frames=30, delay=0.282)
    now = made(sound, seed=26, frames=10)
    both = Log((*log.frames, *now.frames), "", ())
    told = explain(both)
    sums_to_one(told)
    assert told.facts.looks[KEPT] < 12
    assert told.described > 0.4
    # The same frames, were they shot with the delay of the study, speak of a fault.
    silent = Log(tuple(frame(one.line, one.look, one.setup) for one in both.frames), "", ())
    assert explain(silent).described < 0.5 * told.described


def test_what_most_frames_were_shot_with_is_looked_at_for_its_aim() -> None:
    late, sound = load("barn-table", "timer.delay=320 ms"), load("barn-table")
    log = made(late, seed=26, frames=4)
    told = find_warnings(late, nominal_shot(late, CHAIN))[0]
    assert told.startswith("Even the shot in which nothing strays is no keeper: late")
    assert answer_explain(late, CHAIN, log).unaimed == told
    assert answer_explain(sound, CHAIN, log).unaimed == ""
    # Trimming mends a delay, and a log may tell its own.
    assert answer_explain(late, CHAIN, log, way="as_trimmed").unaimed == ""
    aimed = tuple(replace(one, delay=sound.number("timer.delay")) for one in log.frames[1:])
    mostly = replace(log, frames=(log.frames[0], *aimed))
    assert answer_explain(late, CHAIN, mostly).unaimed == ""


def test_progress_lasts_until_the_end_and_never_goes_back() -> None:
    heard: list[tuple[int, int]] = []
    log = made(load("barn-table", "sensor.height=493 mm"), seed=27, frames=12)
    answer_explain(
        load("barn-table"), CHAIN, log, frame=0, progress=lambda *told: heard.append(told)
    )
    shares = [done / total for done, total in heard]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    # Suspects are simulated in about half of the time; the rest has its own words.
    assert sum(share > 0.6 for share in shares) > 10


def test_the_threads_change_nothing() -> None:
    log = made(load("barn-table", "sensor.height=493 mm"), seed=27, frames=12)
    one, two = (explain(log, workers=workers) for workers in (1, 2))
    for field in fields(ExplainAnswer):
        # NaN is not itself, but is written as itself.
        if field.name not in ("study", "log"):
            assert repr(getattr(one, field.name)) == repr(getattr(two, field.name)), field.name
