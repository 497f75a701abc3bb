"""A single frame: which errors it has, against the derivative of its age."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.explain import single_frame
from jitter.answers.explain.single_frame import FEWEST, SingleFrame, explain_frame
from jitter.answers.variants import shifted
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.stages.look import DARK, EARLY, KEPT, LATE, LOOKS, LOPSIDED, TWICE
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from tests.answers.explain.made import frame
from tests.conftest import load

TIMING = {
    "jet.time_scale": 1e-3,
    "valve.release_speed": 1e-4,
    "valve.latency": 1e-5,
    "sensor.height": 1e-5,
    "valve.nozzle_height": 1e-5,
    "timer.delay": 1e-5,
}
"""By how much a value is moved for a derivative [SI]."""


@pytest.fixture(autouse=True)
def fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(single_frame, "SETUPS", 1024)
    monkeypatch.setattr(single_frame, "ROUNDS", 6)


def explained(
    study: Study,
    look: int,
    *,
    width: float | None = None,
    side: float | None = None,
    height: float | None = None,
) -> SingleFrame:
    seen = frame(2, look, width=width, side=side, height=height)
    return explain_frame(study, CHAIN, seen, way="as_set")


def test_a_dark_frame_is_a_mishap() -> None:
    study = load("barn-table")
    found = explained(study, DARK)
    # closed form: 1 % of beams miss, 0.5 % of flashes fail, and hardly ever both; nothing else
    # puts the light out here. 4.5 standard errors of a share among the dark frames.
    chance = {"sensor.miss_chance": 0.01, "flash.dark_chance": 0.005}
    either = 1.0 - 0.99 * 0.995
    for key, alone in chance.items():
        truth = alone / either
        bound = 4.5 * math.sqrt(truth * (1.0 - truth) / found.matched)
        assert found.mishaps[key] == pytest.approx(truth, abs=bound)
    assert sum(found.mishaps.values()) == pytest.approx(1.0, abs=0.02)
    frames = found.matched / found.share
    assert found.share == pytest.approx(either, abs=4.5 * math.sqrt(either / frames))
    assert found.needed == ()


@pytest.mark.parametrize(("look", "sign"), [(LATE, 1.0), (EARLY, -1.0)])
def test_errors_of_late_and_early_frames_have_the_sign_of_the_age(look: int, sign: float) -> None:
    study = load("barn-table")
    found = explained(study, look)
    age = single(nominal_shot(study, CHAIN), "age")
    checked = 0
    for one in found.needed:
        if one.level is not Level.SETUP or one.part or one.key not in TIMING:
            continue
        step = TIMING[one.key]
        moved = shifted(study, [one.key], step)
        # closed form: the age's derivative, by a small step of the shot in which nothing strays.
        slope = (single(nominal_shot(moved, CHAIN), "age") - age) / step
        assert np.sign(one.mean) == sign * np.sign(slope), one.key
        checked += 1
    assert checked >= 2
    sizes = [abs(one.mean) for one in found.needed]
    assert sizes == sorted(sizes, reverse=True)
    assert all(0.0 < one.spread < 1.5 for one in found.needed)


def test_the_errors_of_a_lopsided_frame_are_sideways() -> None:
    found = explained(load("barn-table"), LOPSIDED, side=1.2e-3)
    assert found.by_numbers
    means = {(one.key, one.part): one.mean for one in found.needed}
    # The drop stands right of the jet: the second fell to the right, or the first to the left.
    assert means["valve.scatter", "second drop, across the view"] > 0.5
    assert means["valve.scatter", "first drop, across the view"] < -0.5
    assert means["jet.lean", "across the view"] < -0.3


def test_a_keeper_needs_no_error_worth_the_name() -> None:
    found = explained(load("barn-table"), KEPT)
    assert found.matched > 400
    assert all(abs(one.mean) < 0.35 for one in found.needed)


def test_too_rare_a_frame_is_not_explained() -> None:
    found = explained(load("barn-table"), TWICE)
    assert found.matched < FEWEST
    assert found.needed == ()
    assert LOOKS[TWICE] == "two images"


def test_numbers_that_never_happen_are_left_out() -> None:
    found = explained(load("barn-table"), LATE, width=0.3)
    assert not found.by_numbers
    plain = explained(load("barn-table"), LATE)
    assert (found.matched, found.needed) == (plain.matched, plain.needed)
    met = explained(load("barn-table"), LATE, height=0.035)
    assert met.by_numbers
    assert met.matched >= FEWEST
    assert met.share < plain.share


def test_a_frame_is_explained_as_it_was_shot() -> None:
    study = load("barn-table")
    short = explain_frame(study, CHAIN, frame(2, EARLY, delay=0.288), way="as_set")
    # The light comes 6 ms before: more frames are early, and less of an error makes them so.
    assert short.share > 2.0 * explained(study, EARLY).share
