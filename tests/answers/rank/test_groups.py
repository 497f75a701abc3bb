"""Groups of inputs, found from what they move."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from jitter.answers.rank.groups import (
    AIM,
    MISHAPS,
    NO_PART,
    PICTURE,
    SET_UP,
    SHOT,
    TIMING,
    cause_group,
    level_group,
)
from jitter.answers.rank.inputs import SESSION, TRIMMING_FRAMES, inputs
from jitter.stages import CHAIN
from jitter.trial import nominal_shot
from tests.conftest import load
from tests.toy import TOY, toy_quantity, toy_study


@cache
def groups(name: str, *settings: str) -> dict[str, tuple[str, str]]:
    study = load(name, *settings)
    nominal = nominal_shot(study, CHAIN)
    return {
        f"{one.name} {one.level}": (level_group(one), cause_group(study, CHAIN, nominal, one))
        for one in inputs(study)
    }


# By sense: what a photographer would call each.
@pytest.mark.parametrize(
    ("source", "level", "cause"),
    [
        ("valve.release_speed shot", SHOT, TIMING),
        ("sensor.height setup", SET_UP, TIMING),
        ("jet.height_scale setup", SET_UP, TIMING),
        ("flash.delay shot", SHOT, TIMING),
        # The drop off the beam line is seen late whichever way it is off: an even effect.
        ("sensor.offset setup", SET_UP, TIMING),
        ("valve.scatter shot", SHOT, AIM),
        ("jet.lean shot", SHOT, AIM),
        ("flash.energy shot", SHOT, PICTURE),
        ("flash.duration_scale setup", SET_UP, PICTURE),
        ("camera.focus setup", SET_UP, PICTURE),
        ("sheet.spread_scale setup", SET_UP, PICTURE),
        ("sensor.miss_chance shot", SHOT, MISHAPS),
        ("flash.dark_chance shot", SHOT, MISHAPS),
        ("camera.shutter_opens_before shot", SHOT, MISHAPS),
        # Both drops of a set-up are late by as much, and so is the start signal.
        ("valve.latency setup", SET_UP, NO_PART),
        # Read for the trimming, and then in the delay of the whole set-up.
        ("trim.reading shot", SET_UP, TIMING),
        (f"{TRIMMING_FRAMES} setup", SET_UP, TIMING),
    ],
)
def test_groups_make_sense(source: str, level: str, cause: str) -> None:
    assert groups("barn-table")[source] == (level, cause)


def test_groups_follow_the_rig() -> None:
    by_valve = groups("barn-table", "timer.start=valve")
    assert by_valve["valve.latency setup"] == (SET_UP, TIMING)
    assert by_valve["sensor.height setup"] == (SET_UP, NO_PART)
    # A tight shutter cannot be told from a wide one near a shot that it spares.
    assert by_valve["camera.shutter_opens_before shot"] == (SHOT, MISHAPS)


def test_what_the_light_comes_from_shows_in_the_picture() -> None:
    lit = groups(
        "barn-table",
        "flash.guide_number=20 m",
        "flash.distance=40 cm",
        "flash.count=2",
        "flash.link=optical slave",
        "keeper.depth=10 mm",
    )
    for source in ("flash.guide_number setup", "flash.distance setup", "flash.energy shot"):
        assert lit[source][1] == PICTURE
    # Flashes farther apart draw every edge twice long before they move the moment.
    assert lit["flash.stagger setup"] == (SET_UP, PICTURE)
    assert lit["camera.focus setup"] == (SET_UP, PICTURE)


def test_a_place_in_a_session_is_grouped_by_what_drifts() -> None:
    assert groups("porch-milk-open-bottle")[f"{SESSION} shot"] == (SHOT, TIMING)
    drifting = groups("barn-table", 'flash.energy.drift="0.001"')
    assert drifting[f"{SESSION} shot"] == (SHOT, PICTURE)


def test_without_a_jet_nothing_is_timing() -> None:
    found = groups("barn-table", "valve.interval=400 ms")
    assert found["sensor.height setup"] == (SET_UP, NO_PART)
    assert found["jet.lean shot"] == (SHOT, AIM)


def test_an_input_at_its_limit_is_moved_the_other_way() -> None:
    add_up, judge = TOY.stages
    declares = (toy_quantity("a", upper=0.0), *add_up.declares[1:])
    chain = replace(TOY, stages=(replace(add_up, declares=declares), judge))
    study = toy_study(half_width=4.0, shot={"a": 1.0, "idle": 1.0}, chain=chain)
    nominal = nominal_shot(study, chain)
    found = {one.name: cause_group(study, chain, nominal, one) for one in inputs(study)}
    assert found["toy.a"] == TIMING
    assert found["toy.idle"] == NO_PART
