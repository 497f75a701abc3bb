"""The reference tells every declaration, and every example in it is a study."""

from __future__ import annotations

import itertools
import math
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.reference.answer import reference
from jitter.answers.reference.examples import Line, example_study, fragment
from jitter.answers.reference.items import TOP, Item
from jitter.errors import MistakeError
from jitter.quantities import (
    NONE,
    Basis,
    Choice,
    Curve,
    Declaration,
    Kind,
    Mark,
    Quantity,
    Shape,
    Spread,
    Window,
)
from jitter.stage import Chain, Stage
from jitter.stages import CHAIN, trimming
from jitter.study.reader import read_study
from jitter.study.study import Entry, Study
from jitter.units.reading import read_measure
from jitter.units.table import DIMENSIONS

ITEMS = reference(CHAIN)
BY_KEY = {item.key: item for item in ITEMS}
WAYS = [
    pytest.param(item, lines, id=key)
    for item in ITEMS
    for key, lines in zip(item.keys, item.ways, strict=True)
]

# Closed form: half a unit in the last of n significant digits is at most 0.5 * 10**(1 - n) of
# the value; a hair more, for the float itself.
FOUR_DIGITS, THREE_DIGITS = 1.001 * 0.5e-3, 1.001 * 0.5e-2


def _read(text: str, chain: Chain = CHAIN) -> Study:
    return read_study(text, source="example", chain=chain)


def _assert_spread(read: Spread, declared: Spread) -> None:
    assert (read.shape, read.relative) == (declared.shape, declared.relative)
    assert read.size == pytest.approx(declared.size, rel=THREE_DIGITS, abs=0.0)


def _assert_says_the_default(entry: Entry, declared: Declaration, *, power: int = 1) -> None:
    """Hold a value read from an example against its declaration.

    Closed form: of a quantity that varies as a power of the one that was rounded, the relative
    error is that many times as large, to first order.
    """
    assert entry.given
    if isinstance(declared, Choice):
        assert entry.nominal == declared.nominal
    elif isinstance(declared, Window):
        assert entry.nominal == pytest.approx(declared.nominal, rel=FOUR_DIGITS, abs=0.0)
    elif isinstance(declared, Curve):
        assert isinstance(entry.nominal, tuple)
        assert len(entry.nominal) >= 2
    elif declared.nominal is None:
        assert declared.lower <= entry.number <= declared.upper
    else:
        # A temperature is rounded in degrees Celsius, and told to the millionth.
        zero, least = (273.15, 1e-6) if declared.unit == "K" else (0.0, 0.0)
        wanted = pytest.approx(declared.nominal - zero, rel=1.01 * power * FOUR_DIGITS, abs=least)
        assert entry.number - zero == wanted
    if isinstance(declared, Quantity):
        _assert_spread(entry.setup, declared.setup)
        _assert_spread(entry.shot, declared.shot)
        strays = {"setup": declared.setup, "shot": declared.shot}
        assert {level for level, spread in strays.items() if spread != NONE} <= entry.given


def test_tells_every_declaration_once_and_the_top_of_the_file() -> None:
    keys = [item.key for item in ITEMS]
    assert sorted(keys) == sorted([*CHAIN.declarations, "version", "title", "seed"])
    for item in ITEMS[len(TOP) :]:
        assert item.declaration is CHAIN.declarations[item.key]


def test_sections_stand_together_in_the_order_of_the_shot() -> None:
    sections = [item.section for item in ITEMS]
    first = list(dict.fromkeys(key.split(".")[0] for key in CHAIN.declarations))
    assert list(dict.fromkeys(sections)) == ["", *first]
    changes = sum(one != other for one, other in itertools.pairwise(sections))
    assert changes == len(first)


@pytest.mark.parametrize(("item", "lines"), WAYS)
def test_every_example_is_a_study_that_says_the_default(
    item: Item, lines: tuple[Line, ...]
) -> None:
    study = _read(example_study(lines))
    if item in TOP:
        read = {"version": 1, "title": study.title, "seed": study.seed}[item.key]
        assert lines[-1].toml() in (f"{item.key} = {read}", f'{item.key} = "{read}"')
        return
    entry = study.entries[item.key]
    cubed = item.sphere is not None and lines[-1].name == item.sphere.key.partition(".")[2]
    assert isinstance(item.declaration, Quantity | Window | Choice | Curve)
    _assert_says_the_default(entry, item.declaration, power=3 if cubed else 1)


@pytest.mark.parametrize(("item", "lines"), WAYS)
def test_an_example_on_a_narrow_screen_says_the_same(item: Item, lines: tuple[Line, ...]) -> None:
    narrow, wide = _read(example_study(lines, 30)), _read(example_study(lines))
    assert narrow == wide
    assert max(len(line) for line in fragment(lines, 46).splitlines()) <= 46


def test_a_quantity_that_needs_another_has_it_beside_it() -> None:
    names = [line.name for line in BY_KEY["flash.full_duration"].lines]
    assert names == ["kind", "full_duration"]
    with pytest.raises(MistakeError, match="it has no part without"):
        _read(example_study(BY_KEY["flash.full_duration"].lines[1:]))


def test_what_stands_instead_and_what_gives_way_are_told_both_ways() -> None:
    told = {(item.key, other) for item in ITEMS for other in item.gives_way}
    declared = {
        (other, key)
        for key, one in CHAIN.declarations.items()
        if isinstance(one, Quantity | Curve)
        for other in one.instead
    }
    assert told == declared
    shared = {(item.key, other) for item in ITEMS for other in item.shares}
    assert shared == {(other, key) for key, other in shared}
    assert ("valve.first_volume", "valve.second_volume") in shared


@pytest.mark.parametrize("item", [item for item in ITEMS if item.variants], ids=lambda one: one.key)
def test_variants_are_the_defaults_of_a_study_that_chooses_them(item: Item) -> None:
    for choice, variant in item.variants:
        key, _, option = choice.partition("=")
        section, _, name = key.partition(".")
        chosen = Line(section, name, (("", f'"{option}"'),))
        # What it needs beside it, but not itself.
        entry = _read(example_study((*item.lines[:-1], chosen))).entries[item.key]
        assert (entry.nominal, entry.setup, entry.shot) == (
            variant.nominal,
            variant.setup,
            variant.shot,
        )


# What is asked, and the keys that answer; None: any that hold the word.
@pytest.mark.parametrize(
    ("word", "keys"),
    [
        ("sensor.height", ["sensor.height"]),
        ("SENSOR.Height", ["sensor.height"]),
        (" [reservoir] ", ["reservoir.head", "reservoir.bore", "reservoir.constant_head"]),
        ("valve.first_diameter", ["valve.first_volume"]),
        ("diameter", ["valve.first_volume", "valve.second_volume"]),
        ("seed", ["seed"]),
        ("optical slave", ["flash.link"]),
        (
            "iso",
            ["flash.guide_number", "camera.iso", "camera.lowest_iso", "camera.highest_iso"],
        ),
        ("magnif", ["camera.magnification"]),
    ],
)
def test_finds_sections_keys_and_words(word: str, keys: list[str]) -> None:
    assert [item.key for item in reference(CHAIN, [word])] == keys


def test_a_section_is_all_of_it_and_no_more() -> None:
    for section in {item.section for item in ITEMS} - {""}:
        wanted = [item for item in ITEMS if item.section == section]
        assert list(reference(CHAIN, [section])) == wanted


def test_words_of_the_meaning_are_found_everywhere() -> None:
    found = reference(CHAIN, ["temperature"])
    assert {item.section for item in found} == {"liquid", "air"}
    wanted = [item.key for item in reference(CHAIN, ["photographer"])]
    assert wanted == ["camera.highest_iso", "keeper.age"]


def test_several_words_find_what_any_of_them_finds_in_the_order_of_the_shot() -> None:
    found = [item.key for item in reference(CHAIN, ["timer.delay", "seed", "sensor.height"])]
    assert found == ["seed", "timer.delay", "sensor.height"]
    assert reference(CHAIN, ["trim", "keeper", "trim"]) == reference(CHAIN, ["keeper", "trim"])


def test_words_of_how_values_are_written_stand_beside_what_they_find() -> None:
    assert reference(CHAIN, ["within"]) == ()
    assert [item.key for item in reference(CHAIN, ["drift"])] == ["pool.level_drift"]
    for words, writing in (
        (["drift"], True),
        (["sensor", "SD"], True),
        (["sensor"], False),
        ([], False),
    ):
        assert reference(CHAIN, words).writing == writing


@pytest.mark.parametrize("word", ["lag", "qqq", "gear"])
def test_where_nothing_is_near_nothing_is_guessed(word: str) -> None:
    with pytest.raises(MistakeError) as raised:
        reference(CHAIN, [word])
    assert raised.value.faults[0].right.startswith("sections are: liquid, air, valve,")


def test_a_single_unknown_word_is_told() -> None:
    with pytest.raises(MistakeError, match="nothing a study may say goes by this word"):
        reference(CHAIN, ["sensor", "qqq"])


def test_unknown_words_are_all_told_with_a_near_one() -> None:
    with pytest.raises(MistakeError) as raised:
        reference(CHAIN, ["sensr", "sensor", "hight", "qqq", "", "[]"])
    faults = raised.value.faults
    assert [fault.key for fault in faults] == ["sensr", "hight", "qqq", "''", "[]"]
    assert "sensor" in faults[0].right
    assert "height" in faults[1].right
    for section in ("valve", "trim"):
        assert section in faults[2].right


def test_a_fragment_under_its_own_section_does_not_say_it_again() -> None:
    lines = [Line("timer", "start", (("", '"valve"'),)), Line("timer", "step", (("", '"4 us"'),))]
    assert fragment(lines, under="timer") == 'start = "valve"\nstep = "4 us"'
    other = [*lines, Line("sensor", "width", (("", '"1 mm"'),))]
    assert fragment(other, under="sensor").splitlines() == [
        "[timer]",
        'start = "valve"',
        'step = "4 us"',
        "[sensor]",
        'width = "1 mm"',
    ]


class Nothing(NamedTuple):
    """What a stage gives that does nothing."""


def _nothing() -> Nothing:
    return Nothing()


def chain_of(*declared: Declaration) -> Chain:
    """Return a chain that declares something and does nothing."""
    stage = Stage(name="nothing", declares=declared, work=_nothing)
    return Chain(stages=(stage,), trimming=trimming.STAGE)


RATIOS = st.one_of(st.just(0.0), st.floats(1e-4, 1e4))
SHAPES = (Shape.NORMAL, Shape.RECTANGULAR, Shape.TRIANGULAR, Shape.ARCSINE, Shape.TRUNCATED)


@st.composite
def spreads(draw: st.DrawFn, unit: str, nominal: float | None, widest: float) -> Spread:
    """Draw a spread that fits into a range of this width."""
    if draw(st.booleans()):
        return NONE
    if (nominal is None or nominal > 0.0) and unit != "K":
        if draw(st.booleans()):
            return Spread(Shape.LOGNORMAL, draw(st.floats(1e-3, 2.0)))
        if draw(st.booleans()):
            share = draw(st.floats(1e-4, 0.2))
            return Spread(draw(st.sampled_from(SHAPES)), share, relative=True)
    return Spread(draw(st.sampled_from(SHAPES)), widest * draw(st.floats(1e-3, 0.9)))


@st.composite
def quantities(draw: st.DrawFn) -> Quantity:
    """Draw a quantity of any unit, size and kind, whose limits are no narrower than half of it."""
    unit = draw(st.sampled_from(sorted(DIMENSIONS)))
    usual = read_measure(DIMENSIONS[unit][1], unit).value
    kind = draw(st.sampled_from([Kind.MEASURE, Kind.SETTING, Kind.TICK, Kind.ERROR, Kind.CHANCE]))
    nominal: float | None = usual * draw(st.floats(0.5, 2.0) if unit == "K" else RATIOS)
    low, high = (0.5 * nominal, 2.0 * nominal) if nominal else (-usual, usual)
    if kind is Kind.CHANCE:
        unit, nominal, low, high = "1", draw(st.floats(0.0, 1.0)), 0.0, 1.0
    elif kind is Kind.ERROR:
        nominal, low, high = 0.0, -usual, usual
    elif draw(st.booleans()):
        low, high = -math.inf, math.inf
    if kind is Kind.MEASURE and draw(st.booleans()):
        nominal, low, high = None, usual / 8.0, 8.0 * usual
    widest = min(high - low, usual)
    strays = kind in (Kind.MEASURE, Kind.ERROR)
    return Quantity(
        key="toy.value",
        meaning="a toy",
        symbol="t",
        unit=unit,
        nominal=nominal,
        lower=low,
        upper=high,
        kind=kind,
        setup=draw(spreads(unit, nominal, widest)) if strays else NONE,
        shot=draw(spreads(unit, nominal, widest)) if strays else NONE,
        basis=Basis(Mark.ASSUMED, "a toy"),
    )


@given(declared=quantities())
@settings(deadline=None, max_examples=300)
def test_the_example_of_any_quantity_says_its_default(declared: Quantity) -> None:
    chain = chain_of(declared)
    (item,) = reference(chain, ["toy.value"])
    for room in (None, 24):
        study = _read(example_study(item.lines, room), chain)
        _assert_says_the_default(study.entries["toy.value"], declared)


@pytest.mark.parametrize(
    ("units", "lower", "upper"),
    [
        (("1", "s"), (1e-3, 1e-6), (1.0, 1.0)),
        (("1", "s"), (0.25, 1e-3), (1.0, 0.1)),
        (("m", "m3/s"), (1e-3, 1e-9), (5.0, 1e-4)),
    ],
)
def test_the_example_of_any_table_is_inside_its_limits(
    units: tuple[str, str], lower: tuple[float, float], upper: tuple[float, float]
) -> None:
    curve = Curve(
        key="toy.table",
        meaning="a toy",
        symbol="t",
        columns=("one", "other"),
        units=units,
        lower=lower,
        upper=upper,
        basis=Basis(Mark.ASSUMED, "a toy"),
    )
    chain = chain_of(curve)
    (item,) = reference(chain, ["toy.table"])
    for room in (None, 24):
        read = _read(example_study(item.lines, room), chain).entries["toy.table"]
        _assert_says_the_default(read, curve)
