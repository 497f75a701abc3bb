"""Every value of a study, woken where it rests by default, changes some event of a shot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from jitter.draws.values import fixed_values
from jitter.quantities import Choice, Curve, Declaration, Kind, Quantity, Window, argument
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Nominal, Study
from jitter.trial import open_road
from tests.waking import READ_BY_DRAWS, READ_BY_QUESTIONS, SAMPLES, chosen, wakings

STAGES = (*CHAIN.stages, CHAIN.trimming)

# A shot in which everything matters: an open reservoir halfway through the session, drops off
# the line, a light a little too bright from a flash that needs a while to recharge.
SETTINGS = ("reservoir.constant_head='no'", "flash.power='1/4'", "flash.energy=1.1")
OFF_LINE = np.array([[[[0.0002]], [[0.0001]]], [[[-0.0002]], [[0.0003]]]])
FRAME = np.array([[50.0]])

# Where the first and the second drop's own values wake a value, each must be able to alone.
CHECKED = [key for key in CHAIN.declarations if key not in READ_BY_DRAWS | READ_BY_QUESTIONS]


@cache
def read(*settings: str) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=(*SETTINGS, *settings))


@cache
def table(*settings: str) -> object:
    return open_road(read(*settings), CHAIN).fixed["fall_table"]


def events_of(study: Study, fall_table: object, **changes: Any) -> dict[str, Any]:
    """Return every event of the shot of a study, with a given fall table."""
    values = fixed_values(study) | {"fall_table": fall_table}
    values |= CHAIN.nominals(values)
    values["valve_scatter"] = values["valve_scatter"] + OFF_LINE
    values["frame_number"] = FRAME
    events = walk(STAGES, values | changes)
    return {event: events[event] for stage in STAGES for event in stage.gives}


def flat(event: Any) -> list[Any]:
    """Return the arrays in an event."""
    if isinstance(event, tuple):
        return [array for part in event for array in flat(part)]
    return [event] if isinstance(event, np.ndarray) else []


def differ(some: dict[str, Any], others: dict[str, Any]) -> bool:
    pairs = zip(flat(tuple(some.values())), flat(tuple(others.values())), strict=True)
    return not all(
        np.array_equal(np.asarray(a, dtype=float), np.asarray(b, dtype=float), equal_nan=True)
        for a, b in pairs
    )


def moves(item: Declaration, nominal: Nominal) -> Iterator[Nominal]:
    """Yield other values: a little further first, then the limits."""
    if isinstance(item, Choice):
        return
    if isinstance(item, Window):
        yield (item.lower, item.lower + 0.01)
    elif isinstance(item, Curve):
        assert isinstance(nominal, tuple)
        yield tuple((pair[0], 1.01 * pair[1]) for pair in nominal if isinstance(pair, tuple))
    else:
        here = float(str(nominal))
        yield here * 1.01 if here else 0.01 * item.upper
        yield item.lower
        yield item.upper


CASES = [(key, waking) for key in CHECKED for waking in wakings(key)]


def test_every_value_that_rests_by_default_is_woken() -> None:
    resting = {key for key, entry in read().entries.items() if entry.nominal is None}
    assert resting
    limits = [(key, waking) for key in sorted(READ_BY_QUESTIONS) for waking in wakings(key)]
    for key, waking in (*CASES, *limits):
        assert read(*waking).entries[key].nominal is not None, key
    assert resting <= {key for key, _ in (*CASES, *limits)}


@pytest.mark.parametrize(("key", "waking"), CASES, ids=[" ".join([key, *on]) for key, on in CASES])
def test_every_value_changes_an_event(key: str, waking: tuple[str, ...]) -> None:
    study, fall_table = read(*waking), table(*waking)
    before = events_of(study, fall_table)
    item, entry = CHAIN.declarations[key], study.entries[key]
    if isinstance(item, Choice):
        others = [option for option in item.options if option != entry.nominal]
        for option in others:
            assert differ(events_of(read(*chosen(key, option)), fall_table), before), option
        return
    if isinstance(item, Quantity) and item.kind in (Kind.CHANCE, Kind.TICK):
        struck = np.array([[True]]) if item.kind is Kind.CHANCE else np.array([[4e-6]])
        assert differ(events_of(study, fall_table, **{argument(key): struck}), before)
        return

    def moved(new: Nominal) -> Study:
        return replace(study, entries={**study.entries, key: replace(entry, nominal=new)})

    assert any(
        differ(events_of(moved(new), fall_table), before) for new in moves(item, entry.nominal)
    )


RESTING = [key for key in SAMPLES if CHAIN.declarations[key].nominal is None]


@pytest.mark.parametrize("key", [key for key in RESTING if key in CHECKED])
def test_a_value_that_rests_by_default_changes_an_event_when_it_is_given(key: str) -> None:
    *_, waking = wakings(key)
    without = waking[:-1]
    assert differ(
        events_of(read(*waking), table(*waking)), events_of(read(*without), table(*waking))
    )


def test_several_flashes_fire_apart_by_default() -> None:
    given = ("flash.count=2",)
    together = (*given, "flash.stagger='0 us'")
    assert read(*given).number("flash.stagger") > 0.0
    before = events_of(read(*together), table(*given))
    assert differ(events_of(read(*given), table(*given)), before)


def test_a_single_flash_is_apart_from_none() -> None:
    given = ("flash.count=1",)
    assert not differ(events_of(read(*given), table()), events_of(read(), table()))


def test_the_same_study_changes_no_event() -> None:
    assert not differ(events_of(read(), table()), events_of(read(), table()))
