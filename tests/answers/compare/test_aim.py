"""Aiming: the shot in which nothing strays, and the delay that brings it to the middle."""

from __future__ import annotations

import pytest

from jitter.answers.compare.aim import aimed, aims
from jitter.stages import CHAIN
from jitter.trial import nominal_shot, single
from tests.conftest import load
from tests.toy import TOY, toy_study


@pytest.mark.parametrize("start", ["first drop", "second drop", "valve"])
def test_an_aimed_shot_has_the_middle_age(start: str) -> None:
    study = aimed(load("barn-table", f"timer.start={start}"), CHAIN)
    # closed form: the age moves as the delay does; the middle of 2 to 10 ms.
    assert single(nominal_shot(study, CHAIN), "age") == pytest.approx(0.006, abs=1e-9)


def test_trimming_mends_a_wrong_delay_and_nothing_else() -> None:
    assert aims(load("barn-table"), CHAIN) == {"as_set": True, "as_trimmed": True}
    late = load("barn-table", "timer.delay=330 ms")
    assert aims(late, CHAIN) == {"as_set": False, "as_trimmed": True}
    smeared = load("barn-table", "flash.power=1", "session.cadence=30 s")
    assert aims(smeared, CHAIN) == {"as_set": False, "as_trimmed": False}
    both = load("barn-table", "flash.power=1", "session.cadence=30 s", "timer.delay=330 ms")
    assert aims(both, CHAIN) == {"as_set": False, "as_trimmed": False}


def test_what_cannot_be_aimed_stays_as_it_is() -> None:
    # The jet is gone when the second drop comes: no age.
    apart = load("barn-table", "valve.interval=400 ms")
    assert aimed(apart, CHAIN) is apart
    # The second drop crosses the beam after the meeting: no delay from 0 on is early enough.
    low = load("barn-table", "timer.start=second drop", "sensor.height=5 mm", "timer.delay=0 ms")
    early = aimed(low, CHAIN)
    assert early.number("timer.delay") >= 0.0
    toy = toy_study(half_width=1.0)
    assert aimed(toy, TOY) is toy
