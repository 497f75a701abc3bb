"""What differs between two studies: told apart, kept together, and taken over whole."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from jitter.answers.compare.difference import Difference, differences
from jitter.study.study import Study
from tests.conftest import STUDIES, load

NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


def places(found: tuple[Difference, ...]) -> list[set[tuple[str, str]]]:
    return [{(change.key, change.part) for change in one.changes} for one in found]


@pytest.mark.parametrize("name", NAMES)
def test_a_study_differs_from_itself_by_nothing(name: str) -> None:
    study = load(name)
    assert differences(study, replace(study, seed=99, title="Another")) == ()
    assert differences(study, load(name, "sensor.height.basis=a ruler")) == ()


@pytest.mark.parametrize(("one", "other"), [*permutations(NAMES, 2)])
def test_all_differences_taken_over_make_the_other_study(one: str, other: str) -> None:
    first, second = load(one), load(other)
    found = differences(first, second)
    there: Study = first
    for difference in found:
        assert difference.taken(first, other=False).digest == first.digest
        assert difference.taken(second, other=True).digest == second.digest
        there = difference.taken(there, other=True)
    assert there.digest == second.digest
    for difference in reversed(found):
        there = difference.taken(there, other=False)
    assert there.digest == first.digest


def test_values_and_spreads_are_told_apart() -> None:
    other = load(
        "barn-table",
        "sensor.height=480 mm",
        "sensor.height.setup=within 2 mm",
        "valve.latency.alike=0.5",
        "pool.level.drift=0.01 mm",
    )
    assert sorted(map(sorted, places(differences(load("barn-table"), other)))) == [
        [("pool.level", "drift")],
        [("sensor.height", "nominal")],
        [("sensor.height", "setup")],
        [("valve.latency", "alike")],
    ]


def test_a_choice_takes_along_what_hangs_on_it() -> None:
    other = load("barn-table", "timer.start=valve", "timer.delay=457 ms")
    (found,) = differences(load("barn-table"), other)
    assert places((found,)) == [{("timer.start", "nominal"), ("timer.delay", "nominal")}]
    # The delay's declared default depends on the choice: its whole entry goes over.
    entry = found.taken(load("barn-table"), other=True).entries["timer.delay"]
    assert entry == other.entries["timer.delay"]
    # Without the choice, a delay is a delay.
    assert places(differences(other, load("barn-table", "timer.start=valve"))) == [
        {("timer.delay", "nominal")}
    ]


def test_a_value_takes_along_what_it_takes_the_place_of() -> None:
    other = load("barn-table", "jet.time=125 ms", "jet.time.setup=sd 3 ms")
    (found,) = differences(load("barn-table"), other)
    assert {key for key, _ in places((found,))[0]} == {"jet.time", "jet.time_scale"}


def test_spreads_that_share_a_draw_are_one_difference() -> None:
    other = load(
        "barn-table", "valve.first_volume.setup=sd 5 %", "valve.second_volume.setup=sd 5 %"
    )
    assert places(differences(load("barn-table"), other)) == [
        {("valve.first_volume", "setup"), ("valve.second_volume", "setup")}
    ]
