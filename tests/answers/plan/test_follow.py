"""Whole sessions followed: the same draws as anywhere, and closed forms of a drifting toy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.hits import count_hits
from jitter.answers.plan.follow import follow
from jitter.draws.layout import Layout
from jitter.stages import CHAIN
from tests.answers.test_session import (
    AT_SETUP,
    AT_SHOT,
    DRIFT,
    SESSION,
    inside,
    session_of,
    trimmed,
)
from tests.conftest import load


def test_sessions_are_those_of_the_same_draws() -> None:
    study = load("porch-milk-open-bottle", "session.frames=40")
    kept = follow(study, CHAIN, setups=300)
    hits = count_hits(study, CHAIN, Layout(study.seed, 300, 40))
    assert list(kept) == [0, 40, 20, 10, 5]
    assert kept[0][:, -1].tolist() == hits.keepers("as_set").tolist()
    assert kept[40][:, -1].tolist() == hits.keepers("as_trimmed").tolist()


def test_sessions_do_not_depend_on_the_threads() -> None:
    study = session_of(frames=500)
    one, two = (follow(study, SESSION, setups=150, workers=workers) for workers in (1, 2))
    for gap, kept in one.items():
        assert (kept == two[gap]).all()


def test_keepers_are_counted_as_they_come() -> None:
    kept = follow(session_of(frames=7), SESSION, setups=50)
    assert list(kept) == [0, 7, 4, 2, 1]
    for counts in kept.values():
        steps = np.diff(counts, axis=1, prepend=0)
        assert set(np.unique(steps)) <= {0, 1}


@pytest.mark.parametrize("frames", [96, 100])
def test_shares_by_frame_are_the_closed_forms(frames: int) -> None:
    setups = 4000
    kept = follow(session_of(frames=frames), SESSION, setups=setups)
    shortest = math.ceil(frames / 8)

    def check(gap: int, place: int, truth: float) -> None:
        share = np.diff(kept[gap], axis=1, prepend=0)[:, place].mean()
        # One shot of each set-up at a place: binomial.
        assert abs(share - truth) <= 4.5 * math.sqrt(truth * (1.0 - truth) / setups)

    whole = math.hypot(AT_SETUP, AT_SHOT)
    for place in (0, 17, frames - 1):
        # closed form: as set, e ~ N(drift · frame, set-up² + shot²); trimmed, by frames since.
        check(0, place, inside(DRIFT * place, whole))
        check(frames, place, trimmed(place))
        check(shortest, place, trimmed(place % shortest))
        check(4 * shortest, place, trimmed(place % (4 * shortest)))
