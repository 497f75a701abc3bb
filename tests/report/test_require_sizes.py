"""Sizes of errors as `jitter require` writes them: rounded down, with room, units and doubt."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jitter.answers.intervals import Estimate
from jitter.answers.require.requirement import Limit, Requirement
from jitter.answers.require.subject import Subject, find_subject
from jitter.report.require.all_words import room_words
from jitter.report.require.sizes import (
    bare_most,
    bare_most_beside_now,
    kept_words,
    most,
    write_most_off,
    write_offset,
    write_size,
)
from jitter.report.require.words import far_words, unreachable_words
from jitter.stages import CHAIN
from tests.conftest import load


def subject(key: str) -> Subject:
    study = load("barn-table")
    return find_subject(study, CHAIN, key, None)


@pytest.mark.parametrize(
    ("size", "rounded"),
    # closed form: two digits where they keep 97 % of the size, three elsewhere, never up.
    [(0.0362, 0.036), (0.01175, 0.0117), (0.0199, 0.0199), (0.0999, 0.099), (0.0, 0.0)],
)
def test_a_size_is_rounded_down_and_keeps_most_of_itself(size: float, rounded: float) -> None:
    assert most(size) == pytest.approx(rounded, rel=1e-12)


@pytest.mark.parametrize(
    ("room", "written"),
    # closed form: 0.02 m/s times the room, rounded down.
    [(1.02, "0.0204 m/s"), (1.09, "0.0218 m/s"), (1.2, "0.024 m/s"), (0.993, "0.0198 m/s")],
)
def test_little_room_shows_beside_what_is_now(room: float, written: str) -> None:
    speed = find_subject(load("barn-table"), CHAIN, "valve.release_speed", None)
    assert speed.present == 0.02
    assert bare_most_beside_now(speed, 0.02 * room) == written


@pytest.mark.parametrize(
    ("room", "said"),
    [
        (1.0004, "less than 1 % wider than now"),
        (1.02, "2 % wider than now"),
        (2.6, "160 % wider than now"),
        (3.62, "3.6 times as wide as now"),
    ],
)
def test_room_is_told_against_now(room: float, said: str) -> None:
    assert room_words(room) == said


def test_a_bare_number_about_none_is_in_per_cent() -> None:
    clock = subject("timer.clock_error")
    # closed form: 0.0005 is 0.05 %, and a study may say so of what is nominally 0.
    assert write_size(clock, clock.present) == "within 0.05 %"
    assert bare_most(clock, 0.0617) == "6.1 %"
    assert write_offset(clock, -0.012) == "-1.2 %"
    study = load("barn-table", 'timer.clock_error={ nominal = 0, setup = "within 0.05 %" }')
    assert study.entries["timer.clock_error"].setup == clock.source.spread


def test_a_bare_number_that_is_something_is_not() -> None:
    # Of what is 1, per cents would be read as a share of it.
    assert not subject("jet.time_scale").per_cent
    assert not subject("flash.duration_scale").per_cent
    assert write_size(subject("flash.duration_scale"), 0.35) == "lognormal sd 0.35"


@pytest.mark.parametrize(
    ("limit", "said"),
    [
        (Limit(0.0, 0.100, 0.090, 0.110, False), "up to 100 mm"),
        (Limit(0.0, 0.590, 0.111, 0.684, False), "at least 110 mm"),
        (Limit(0.0, 0.120, 0.120, 0.120, True), "at least 120 mm"),
        (Limit(0.0, 0.120, 0.040, 0.120, True), "at least 40 mm"),
        (Limit(0.0, 0.120, 0.0, 0.200, False), "perhaps 120 mm, perhaps none,"),
    ],
)
def test_no_more_is_told_of_a_steady_error_than_is_known(limit: Limit, said: str) -> None:
    assert far_words(subject("sensor.height"), 1.0, limit) == said


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("sensor.height", "with a spread of within 32 mm."),
        ("valve.scatter", "with a spread of sd 32 mm."),
        ("sensor.miss_chance", "with a chance of 3.2 %."),
        ("timer.step", "with a step of up to 32 ms."),
    ],
)
def test_a_spread_in_a_sentence_is_one(key: str, said: str) -> None:
    best = Estimate(0.153, 0.150, 0.156)
    need = Requirement(None, best, 0.032)
    end = f"at best 15.3 % (15.0 to 15.6 %), {said}"
    assert unreachable_words(subject(key), need, 0.7).endswith(end)


def test_a_diameter_has_sizes_of_its_own() -> None:
    sphere, volume = subject("valve.first_diameter"), subject("valve.first_volume")
    assert (sphere.name, volume.name) == ("valve.first_diameter", "valve.first_volume")
    assert replace(sphere, sphere=None) == volume
    # closed form: a third, and 4.5 mm times the cube root of 1.331, which is 1.1.
    assert kept_words(sphere, 0.36) == "to sd 12 %"
    assert kept_words(volume, 0.36) == "to sd 36 %"
    assert sphere.sphere is not None
    assert write_most_off(sphere, 0.331 * sphere.sphere.volume) == "0.45 mm"
    assert write_offset(sphere, -0.271 * sphere.sphere.volume) == "-0.45 mm"
