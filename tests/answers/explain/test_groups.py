"""Groups of suspects: alike in logs of this size as a rule, and not told apart by this one."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from jitter.answers.explain import answer as module
from jitter.answers.explain import checking, facts, telling
from jitter.answers.explain.answer import APART, ExplainAnswer, answer_explain
from jitter.stages import CHAIN
from tests.answers.explain.made import ALL, made
from tests.conftest import load


@pytest.fixture(autouse=True)
def fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulate little: what is alike as a rule is set by each test."""
    monkeypatch.setattr(module, "SETUPS", 384)
    # Groups are told of however unlikely they are.
    monkeypatch.setattr(module, "LIKELY", 0.0)
    monkeypatch.setattr(telling, "LOGS", 1)
    monkeypatch.setattr(checking, "LOGS", 1)
    monkeypatch.setattr(facts, "PERMUTATIONS", 1)


def explain() -> ExplainAnswer:
    log = made(load("barn-table", "sensor.height=491 mm"), seed=21, frames=40, measured=ALL)
    return answer_explain(load("barn-table"), CHAIN, log)


def test_a_log_tells_apart_what_logs_like_it_leave_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(telling, "TOLD_APART", math.inf)
    parties = [[one.probability for one in party.members] for party in explain().parties]
    assert len(parties) > 1
    # closed form: all suspects were as likely before, so that their probabilities are as the log
    # speaks for them; each group is as wide as the rule allows.
    assert all(members[0] < APART * members[-1] for members in parties)
    assert max(map(len, parties)) > 1
    firsts = [members[0] for members in parties]
    assert all(one >= APART * other for one, other in pairwise(firsts))


def test_what_logs_like_it_tell_apart_stays_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(telling, "TOLD_APART", 1e-300)
    parties = explain().parties
    assert len(parties) > 1
    assert all(len(party.members) == 1 for party in parties)
