"""Whether the rig as described would give a log: fair where it did, small where it did not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.explain import checking
from jitter.answers.explain.checking import Fit, check
from jitter.answers.explain.law import law
from jitter.answers.explain.likelihood import groups
from jitter.answers.explain.telling import shape_of
from jitter.answers.explain.views import Condition
from jitter.stages.look import DARK, KEPT, LATE
from tests.answers.explain.made import NONE, shot, written
from tests.conftest import load

NOW = Condition()


@pytest.fixture(autouse=True)
def fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "LOGS", 49)


def judged(setting: str, *, logs: int, frames: int, slipping: bool = False) -> list[Fit]:
    study = load("barn-table")
    known = law(shot(study, seed=11, setups=256, frames=32), NONE)
    fresh = shot(study, seed=12, setups=256, frames=32)
    settings = [setting] if setting else []
    seen = shot(load("barn-table", *settings), seed=13, setups=logs, frames=frames)
    slips = np.random.Generator(np.random.PCG64DXSM(14)) if slipping else None
    found = []
    for place in range(logs):
        rows = groups(written(seen, [place], slips=slips))
        found.append(check({NOW: fresh}, {NOW: known}, rows, shape_of(rows), seed=place))
    return found


def test_the_chance_is_fair_for_logs_of_the_rig_as_described() -> None:
    logs = 60
    found = judged("", logs=logs, frames=30, slipping=True)
    chances = np.array([fit.chance for fit in found])
    # closed form: of a uniform law, 4.5 standard errors around 1/2 and under each share.
    assert abs(chances.mean() - 0.5) < 4.5 * math.sqrt(1.0 / 12.0 / logs)
    for many in (0.05, 0.2, 0.5, 0.8):
        bound = 4.5 * math.sqrt(many * (1.0 - many) / logs)
        assert abs((chances <= many).mean() - many) < bound
    # Nine in ten logs lie between the ends, or more since counts are whole.
    inside = [
        one.low <= one.seen <= one.high for fit in found for one in fit.expected if one.look == KEPT
    ]
    assert len(inside) == logs
    assert np.mean(inside) > 0.9 - 4.5 * math.sqrt(0.09 / logs)
    by_look = np.array([one.chance for fit in found for one in fit.expected if one.look == KEPT])
    assert (by_look <= 0.1).mean() < 0.1 + 4.5 * math.sqrt(0.09 / logs)


def test_the_chance_is_small_for_a_rig_at_fault() -> None:
    found = judged("timer.delay=304 ms", logs=10, frames=30)
    assert np.median([fit.chance for fit in found]) < 0.05
    late = [one for fit in found for one in fit.expected if one.look == LATE]
    assert len(late) == 10
    assert np.median([one.chance for one in late]) < 0.05
    assert all(one.low <= one.middle <= one.high for fit in found for one in fit.expected)


def test_looks_that_nobody_shows_are_left_out() -> None:
    (fit,) = judged("sensor.miss_chance=100 %", logs=1, frames=12)
    (dark,) = [one for one in fit.expected if one.look == DARK]
    # Every frame is dark: no imagined log is so far off, which is all that 49 of them can say.
    assert (dark.seen, dark.chance) == (12, 0.04)
    assert fit.chance == 0.02
    assert sum(one.seen for one in fit.expected) == 12
