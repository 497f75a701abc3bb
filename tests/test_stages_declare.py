"""Every stage against its declarations: arguments, units, limits, sources and what is neglected."""

from __future__ import annotations

import inspect
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, replace
from types import NoneType
from typing import Any, NamedTuple, get_args, get_type_hints

import pytest

from jitter.quantities import (
    Basis,
    Choice,
    Curve,
    Declaration,
    Kind,
    Level,
    Mark,
    Quantity,
    Shape,
    Spread,
    Window,
    argument,
)
from jitter.stage import NOMINAL, Stage
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.settle import nominal_arguments
from tests.waking import READ_BY_DRAWS, READ_BY_QUESTIONS

STAGES = (*CHAIN.stages, CHAIN.trimming)
BY_ARGUMENT = {argument(key): declared for key, declared in CHAIN.declarations.items()}
BUILT_IN = {"frame_number", "delay_correction"}
NUMBERS = {key: item for key, item in CHAIN.declarations.items() if isinstance(item, Quantity)}
CURVES = {key: item for key, item in CHAIN.declarations.items() if isinstance(item, Curve)}
VARIED = [key for key, item in NUMBERS.items() if item.variants is not None]


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


WRITTEN = {name: entry for stage in STAGES for name, entry in documented(stage, "Returns").items()}


def by_name(stage: Stage) -> str:
    return stage.name


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_argument_has_an_origin(stage: Stage) -> None:
    earlier = {event for other in STAGES[: STAGES.index(stage)] for event in other.gives}
    nominals = {f"{name}{NOMINAL}" for name in {*earlier, *map(argument, NUMBERS)}}
    known = earlier | BY_ARGUMENT.keys() | nominals | BUILT_IN | {stage.table}
    assert set(stage.needs) - known == set()


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_table_is_prepared_and_used(stage: Stage) -> None:
    assert bool(stage.table) == (stage.prepare is not None)
    assert not stage.table or stage.table in stage.needs


def test_every_declared_value_is_an_argument_of_some_stage() -> None:
    needed = {name for stage in STAGES for name in stage.needs}
    unused = {key for key in CHAIN.declarations if argument(key) not in needed}
    # Choices that do nothing but set the defaults of others.
    silent = {key for key in unused if isinstance(CHAIN.declarations[key], Choice)}
    assert unused - silent == READ_BY_DRAWS | READ_BY_QUESTIONS
    varied = (NUMBERS[key].variants for key in VARIED)
    assert silent <= {variants.by for variants in varied if variants is not None}


@pytest.mark.parametrize("key", sorted(READ_BY_QUESTIONS))
def test_what_the_gear_can_be_set_to_does_not_stray(key: str) -> None:
    # A spread of what no stage reads would be drawn, ranked and felt nowhere.
    assert NUMBERS[key].kind is Kind.SETTING


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
    if isinstance(item, Curve):
        return f"pairs [{', '.join(item.units)}]"
    if item.kind is Kind.SETTING:
        return f"float [{item.unit}]"
    axes = ", ".join(["2"] * (item.per_drop + item.per_axis) + ["s", "n"])
    return f"array ({axes}) " + ("of bool" if item.kind is Kind.CHANCE else f"[{item.unit}]")


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_documented_types_and_units_are_the_declared_ones(stage: Stage) -> None:
    said = documented(stage, "Parameters")
    assert tuple(said) == stage.needs
    for name in stage.needs:
        base = name.removesuffix(NOMINAL)
        if name in BY_ARGUMENT:
            assert said[name].type == expected_type(BY_ARGUMENT[name])
        elif base in BY_ARGUMENT:
            quantity = BY_ARGUMENT[base]
            assert isinstance(quantity, Quantity)
            assert said[name].type == f"float [{quantity.unit}]"
        elif base != name:
            assert said[name].type == f"float [{WRITTEN[base].unit}]"


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_event_is_documented(stage: Stage) -> None:
    assert tuple(documented(stage, "Returns")) == stage.gives


def test_an_event_has_the_same_type_and_unit_wherever_it_is_named() -> None:
    for stage in STAGES:
        for name, entry in documented(stage, "Parameters").items():
            if name in WRITTEN:
                assert (stage.name, name, entry) == (stage.name, name, WRITTEN[name])


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_every_stage_says_what_it_neglects(stage: Stage) -> None:
    text = inspect.getdoc(stage.work) or ""
    # In the words before the list of arguments.
    assert re.search(r"\bneglect", text.partition("\nParameters\n")[0]), stage.name


def spreads(item: Quantity) -> Iterator[tuple[str, Any, Basis]]:
    yield "setup", item.setup, item.setup_basis
    yield "shot", item.shot, item.shot_basis


def check_spread(item: Quantity, level: str, spread: Spread) -> None:
    if spread.shape is not Shape.NONE:
        assert item.strays, level
        assert spread.size > 0.0


def check_basis(basis: Basis) -> None:
    founded = {Mark.PUBLISHED, Mark.LIBRARY, Mark.DERIVED, Mark.COMMON, Mark.MEMORY}
    # The mark "yours" belongs to studies. An assumption may stand alone; anything else says what
    # it rests on.
    assert basis.mark in founded | {Mark.ASSUMED}
    assert basis.source or basis.mark is Mark.ASSUMED


@pytest.mark.parametrize("key", CHAIN.declarations)
def test_every_number_says_where_it_comes_from(key: str) -> None:
    item = CHAIN.declarations[key]
    check_basis(item.basis)
    if isinstance(item, Quantity):
        for _, spread, basis in spreads(item):
            if spread.shape is not Shape.NONE:
                check_basis(basis)


@pytest.mark.parametrize("key", CHAIN.declarations)
def test_defaults_are_within_their_limits(key: str) -> None:
    item = CHAIN.declarations[key]
    if isinstance(item, Choice):
        assert item.nominal in item.options
        assert len(set(item.options)) == len(item.options) > 1
        return
    if isinstance(item, Curve):
        assert item.nominal is None
        assert all(low < high for low, high in zip(item.lower, item.upper, strict=True))
        return
    assert item.lower < item.upper
    if isinstance(item, Window):
        assert item.lower <= item.nominal[0] < item.nominal[1] <= item.upper
        return
    assert item.nominal is None or item.lower <= item.nominal <= item.upper


@pytest.mark.parametrize("key", VARIED)
def test_defaults_that_depend_on_a_choice_are_those_of_its_options(key: str) -> None:
    item = NUMBERS[key]
    assert item.variants is not None
    choice = CHAIN.declarations[item.variants.by]
    assert isinstance(choice, Choice)
    # The declared defaults are those of the usual choice.
    assert set(item.variants.changes) < set(choice.options)
    assert choice.nominal not in item.variants.changes
    free = {"nominal", "setup", "shot", "basis", "setup_basis", "shot_basis"}
    assert free <= {field.name for field in fields(Quantity)}
    for changes in item.variants.changes.values():
        assert set(changes) <= free
        # A spread of its own has a ground of its own.
        grounds = {f"{level}_basis" for level in ("setup", "shot") if level in changes}
        assert grounds <= set(changes)
        varied = replace(item, **changes)
        assert varied != item
        assert varied.nominal is not None
        assert item.lower <= varied.nominal <= item.upper
        for level, spread, basis in spreads(varied):
            check_spread(varied, level, spread)
            check_basis(basis)
        check_basis(varied.basis)


@pytest.mark.parametrize("key", NUMBERS)
def test_kinds_and_spreads_fit_together(key: str) -> None:
    item = NUMBERS[key]
    for level, spread, _ in spreads(item):
        check_spread(item, level, spread)
    if item.kind is Kind.ERROR:
        assert item.nominal == 0.0
        # An error must be able to go either way.
        assert item.lower < 0.0 < item.upper
    if item.kind is Kind.CHANCE:
        assert (item.lower, item.upper, item.unit) == (0.0, 1.0, "1")
    if item.whole and item.nominal is not None:
        assert item.nominal == round(item.nominal)


@pytest.mark.parametrize("key", [key for key, item in NUMBERS.items() if item.together])
def test_quantities_that_share_a_set_up_draw_have_the_same_spreads(key: str) -> None:
    item = NUMBERS[key]
    partners = [other for other in NUMBERS.values() if other.together == item.together]
    assert len(partners) > 1
    assert all((other.setup, other.shot) == (item.setup, item.shot) for other in partners)
    assert item.together not in CHAIN.declarations


RIVALS = [
    (key, other)
    for key, item in CHAIN.declarations.items()
    if isinstance(item, Quantity | Curve)
    for other in item.instead
]
CONDITIONS = [(key, condition) for key, item in NUMBERS.items() for condition in item.only_with]


@pytest.mark.parametrize(("key", "other"), RIVALS)
def test_what_stands_instead_of_another_rests_until_it_is_given(key: str, other: str) -> None:
    assert key != other
    assert other in CHAIN.declarations
    assert CHAIN.declarations[key].nominal is None
    # It takes the place of numbers; a choice always has a word.
    assert isinstance(CHAIN.declarations[other], Quantity | Curve)


@pytest.mark.parametrize(("key", "condition"), CONDITIONS)
def test_what_has_a_part_only_with_another_names_one_that_may_be_absent(
    key: str, condition: str
) -> None:
    other, equals, option = condition.partition("=")
    assert other != key
    item = CHAIN.declarations[other]
    if equals:
        assert isinstance(item, Choice)
        assert option in item.options
        # Were it the usual choice alone, the value would not rest by default.
        assert item.nominal != option
    else:
        assert isinstance(item, Quantity)
        assert not item.nominal


def may_rest(key: str) -> bool:
    """Whether a study may leave a value without a part."""
    item = CHAIN.declarations[key]
    waits = isinstance(item, Quantity) and bool(item.only_with)
    return item.nominal is None or waits or key in {other for _, other in RIVALS}


@pytest.mark.parametrize("stage", STAGES, ids=by_name)
def test_a_stage_allows_for_the_values_that_may_rest_and_for_no_others(stage: Stage) -> None:
    hints = get_type_hints(stage.work)
    for key in CHAIN.declarations:
        name = argument(key)
        if name in stage.needs:
            assert (NoneType in get_args(hints[name])) == may_rest(key), key


ADAPTED = [stage for stage in STAGES if stage.adapt is not None]
# Rigs that make some stage think better of its default spreads.
SPECIAL = (
    (),
    ("liquid.glycerol=90 %",),
    ("valve.first_mass=5 g", "valve.second_mass=5 g"),
    ("flash.half_durations=[['1/64', '80 us'], [1, '2 ms']]",),
)


@pytest.mark.parametrize("stage", ADAPTED, ids=by_name)
def test_adapted_spreads_are_of_declared_numbers_that_stray(stage: Stage) -> None:
    assert stage.adapt is not None
    seen: dict[tuple[str, Level], Any] = {}
    for settings in SPECIAL:
        study = read_study("version = 1", source="test", chain=CHAIN, settings=settings)
        adapted = stage.adapt(nominal_arguments(study.entries))
        # The usual rig has the declared spreads.
        assert settings or not adapted
        seen |= adapted
    assert seen
    own = {item.key for item in stage.declares}
    for (key, level), (spread, basis) in seen.items():
        assert key in own
        check_spread(NUMBERS[key], level, spread)
        check_basis(basis)
