"""Every stage against its declarations: arguments, units, limits, sources and influence."""

from __future__ import annotations

import inspect
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest

from jitter.draws.values import fixed_values
from jitter.quantities import (
    Basis,
    Choice,
    Declaration,
    Kind,
    Mark,
    Quantity,
    Shape,
    Window,
    argument,
)
from jitter.stage import Stage
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Nominal, Study
from jitter.trial import open_road, walk

STAGES = (*CHAIN.stages, CHAIN.trimming)
BY_ARGUMENT = {argument(key): declared for key, declared in CHAIN.declarations.items()}
BUILT_IN = {"progress", "delay_correction"}
NUMBERS = {key: item for key, item in CHAIN.declarations.items() if isinstance(item, Quantity)}
# Read by the draws, which make that many trimming frames; no stage needs it.
READ_BY_DRAWS = {"trim.frames"}


class Documented(NamedTuple):
    """An entry of a docstring's section."""

    type: str
    unit: str | None


def documented(stage: Stage, section: str) -> dict[str, Documented]:
    """Return the names in a section of a stage's docstring, with their types and units."""
    text = inspect.getdoc(stage.work) or ""
    body = re.search(rf"^{section}\n-+\n(.*?)(?=^\w+\n-+\n|\Z)", text, re.S | re.M)
    assert body, f"{stage.name} has no {section}"
    found = {}
    for line in body[1].splitlines():
        entry = re.fullmatch(r"(\w+(?:, \w+)*)(?: : (.+))?", line)
        if entry:
            unit = re.search(r"\[([^]]+)\]$", entry[2] or "")
            for name in entry[1].split(", "):
                found[name] = Documented(entry[2] or "", unit[1] if unit else None)
    return found


def by_name(stage: Stage) -> str:
    return stage.name


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_argument_has_an_origin(stage: Stage) -> None:
    earlier = {event for other in STAGES[: STAGES.index(stage)] for event in other.gives}
    nominals = {f"{argument(key)}_nominal" for key in NUMBERS}
    known = earlier | BY_ARGUMENT.keys() | nominals | BUILT_IN | {stage.table}
    assert set(stage.needs) - known == set()


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_table_is_prepared_and_used(stage: Stage) -> None:
    assert bool(stage.table) == (stage.prepare is not None)
    assert not stage.table or stage.table in stage.needs


def test_every_declared_value_is_an_argument_of_some_stage() -> None:
    needed = {name for stage in STAGES for name in stage.needs}
    unused = {key for key in CHAIN.declarations if argument(key) not in needed}
    assert unused == READ_BY_DRAWS


def test_names_are_unique() -> None:
    declared = [item for stage in STAGES for item in stage.declares]
    keys = [item.key for item in declared]
    keys += [item.diameter_key for item in NUMBERS.values() if item.diameter_key]
    events = [event for stage in STAGES for event in stage.gives]
    tables = [stage.table for stage in STAGES if stage.table]
    names = [argument(key) for key in keys] + events + tables
    repeated = {name for name, count in Counter(names).items() if count > 1}
    # The one event that closes the circle of trimming is a built-in of the timer.
    assert repeated == set()
    assert BUILT_IN & set(names) == {"delay_correction"}
    assert all(re.fullmatch(r"[a-z]+\.[a-z_]+", key) for key in keys)


def expected_type(item: Declaration) -> str:
    """Return what a stage's docstring must say of a declared argument."""
    if isinstance(item, Choice):
        return "str"
    if isinstance(item, Window):
        return f"pair [{item.unit}]"
    if item.kind is Kind.SETTING:
        return f"float [{item.unit}]"
    axes = ", ".join(["2"] * (item.per_drop + item.per_axis) + ["s", "n"])
    return f"array ({axes}) " + ("of bool" if item.kind is Kind.CHANCE else f"[{item.unit}]")


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_documented_types_and_units_are_the_declared_ones(stage: Stage) -> None:
    said = documented(stage, "Parameters")
    assert tuple(said) == stage.needs
    for name in stage.needs:
        base = name.removesuffix("_nominal")
        if name in BY_ARGUMENT:
            assert said[name].type == expected_type(BY_ARGUMENT[name])
        elif base != name:
            quantity = BY_ARGUMENT[base]
            assert isinstance(quantity, Quantity)
            assert said[name].type == f"float [{quantity.unit}]"


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_event_is_documented(stage: Stage) -> None:
    assert tuple(documented(stage, "Returns")) == stage.gives


def test_an_event_has_the_same_type_and_unit_wherever_it_is_named() -> None:
    written = {
        name: entry for stage in STAGES for name, entry in documented(stage, "Returns").items()
    }
    for stage in STAGES:
        for name, entry in documented(stage, "Parameters").items():
            if name in written:
                assert (stage.name, name, entry) == (stage.name, name, written[name])


def spreads(item: Quantity) -> Iterator[tuple[str, Any, Basis]]:
    yield "setup", item.setup, item.setup_basis
    yield "shot", item.shot, item.shot_basis


@pytest.mark.parametrize("key", CHAIN.declarations)
def test_every_number_says_where_it_comes_from(key: str) -> None:
    item = CHAIN.declarations[key]
    founded = {Mark.PUBLISHED, Mark.LIBRARY, Mark.DERIVED, Mark.COMMON, Mark.MEMORY}
    bases = [item.basis]
    if isinstance(item, Quantity):
        bases += [basis for _, spread, basis in spreads(item) if spread.shape is not Shape.NONE]
    for basis in bases:
        # The mark "yours" belongs to studies. An assumption may stand alone; anything else
        # says what it rests on.
        assert basis.mark in founded | {Mark.ASSUMED}
        assert basis.source or basis.mark is Mark.ASSUMED


@pytest.mark.parametrize("key", CHAIN.declarations)
def test_defaults_are_within_their_limits(key: str) -> None:
    item = CHAIN.declarations[key]
    if isinstance(item, Choice):
        assert item.nominal in item.options
        assert len(set(item.options)) == len(item.options) > 1
        return
    assert item.lower < item.upper
    if isinstance(item, Window):
        assert item.lower <= item.nominal[0] < item.nominal[1] <= item.upper
        return
    nominal = item.nominal
    starts = CHAIN.declarations["timer.start"]
    assert isinstance(starts, Choice)
    if isinstance(nominal, Mapping):
        assert set(nominal) == set(starts.options)
    values = nominal.values() if isinstance(nominal, Mapping) else (nominal,)
    assert all(value is None or item.lower <= value <= item.upper for value in values)


@pytest.mark.parametrize("key", NUMBERS)
def test_kinds_and_spreads_fit_together(key: str) -> None:
    item = NUMBERS[key]
    for level, spread, _ in spreads(item):
        if spread.shape is not Shape.NONE:
            assert item.strays, level
            assert spread.size > 0.0
    if item.kind is Kind.ERROR:
        assert item.nominal == 0.0
        # An error must be able to go either way.
        assert item.lower < 0.0 < item.upper
    if item.kind is Kind.CHANCE:
        assert (item.lower, item.upper, item.unit) == (0.0, 1.0, "1")
    if item.whole:
        assert item.nominal == round(float(str(item.nominal)))


@pytest.mark.parametrize("key", [key for key, item in NUMBERS.items() if item.together])
def test_quantities_that_share_a_set_up_draw_have_the_same_spread(key: str) -> None:
    item = NUMBERS[key]
    partners = [other for other in NUMBERS.values() if other.together == item.together]
    assert len(partners) > 1
    assert all(other.setup == item.setup for other in partners)


# A shot in which everything matters: an open reservoir halfway through the session, drops off
# the line, a light a little too bright from a flash that needs a while to recharge.
SETTINGS = ("reservoir.constant_head='no'", "flash.power='1/4'", "flash.energy=1.1")
OFF_LINE = np.array([[[[0.0002]], [[0.0001]]], [[[-0.0002]], [[0.0003]]]])


@cache
def base() -> tuple[Study, object]:
    study = read_study("version = 1", source="test", chain=CHAIN, settings=SETTINGS)
    return study, open_road(study, CHAIN).fixed["fall_table"]


def events_of(study: Study, **changes: Any) -> dict[str, Any]:
    """Return every event of the shot of a study, with the fall table of the base study."""
    values = fixed_values(study) | {"fall_table": base()[1], "progress": np.array([[0.5]])}
    values["valve_scatter"] = values["valve_scatter"] + OFF_LINE
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
        yield from (option for option in item.options if option != nominal)
    elif isinstance(item, Window):
        yield (item.lower, item.lower + 0.01)
    else:
        here = 0.0 if nominal is None else float(str(nominal))
        if nominal is None:
            yield 0.5 * (item.lower + item.upper)
        yield here * 1.01 if here else 0.01 * item.upper
        yield item.lower
        yield item.upper


@pytest.mark.parametrize("key", [key for key in CHAIN.declarations if key not in READ_BY_DRAWS])
def test_every_value_changes_an_event(key: str) -> None:
    study, _ = base()
    before = events_of(study)
    item, entry = CHAIN.declarations[key], study.entries[key]
    if isinstance(item, Quantity) and item.kind in (Kind.CHANCE, Kind.TICK):
        struck = np.array([[True]]) if item.kind is Kind.CHANCE else np.array([[4e-6]])
        assert differ(events_of(study, **{argument(key): struck}), before)
        return

    def moved(new: Nominal) -> Study:
        return replace(study, entries={**study.entries, key: replace(entry, nominal=new)})

    assert any(differ(events_of(moved(new)), before) for new in moves(item, entry.nominal))


def test_the_same_study_changes_no_event() -> None:
    study, _ = base()
    assert not differ(events_of(study), events_of(study))
