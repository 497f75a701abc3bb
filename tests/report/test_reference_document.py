"""The reference for programs holds every declaration in SI, and nothing that JSON cannot say."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from jitter import __version__
from jitter.answers.reference.answer import reference
from jitter.quantities import (
    NONE,
    Basis,
    Choice,
    Curve,
    Kind,
    Mark,
    Quantity,
    Spread,
    Variants,
    Window,
    within,
)
from jitter.report.reference.document import reference_document
from jitter.stages import CHAIN
from jitter.study.reader import DEFAULT_SEED, LARGEST_SEED, read_study
from jitter.units.reading import read_measure, read_spread
from tests.answers.reference.test_reference import chain_of

TEXT = json.dumps(reference_document(reference(CHAIN)), allow_nan=False)
TOLD: dict[str, dict[str, Any]] = {item["key"]: item for item in json.loads(TEXT)["items"]}
NUMBERS = {key: one for key, one in CHAIN.declarations.items() if isinstance(one, Quantity)}

# Closed form: half a unit in the last of n significant digits is at most 0.5 * 10**(1 - n) of
# the value.
FOUR_DIGITS, THREE_DIGITS = 1.001 * 0.5e-3, 1.001 * 0.5e-2


def _basis(basis: Basis) -> dict[str, str]:
    return {"mark": str(basis.mark), "source": basis.source}


def _assert_is_spread(told: dict[str, Any] | None, declared: Spread, basis: Basis) -> None:
    if declared == NONE:
        assert told is None
        return
    assert told is not None
    assert (told["shape"], told["size"]) == (declared.shape.value, declared.size)
    assert told["relative"] == declared.relative
    assert told["basis"] == _basis(basis)


def test_has_a_schema_and_every_declaration() -> None:
    document = json.loads(TEXT)
    assert (document["schema"], document["jitter"]) == ("jitter.quantities/1", __version__)
    assert set(TOLD) == {*CHAIN.declarations, "version", "title", "seed"}
    assert set(document["sections"]) == {key.split(".")[0] for key in CHAIN.declarations}
    assert document == reference_document(reference(CHAIN))


@pytest.mark.parametrize("key", CHAIN.declarations)
def test_tells_what_is_declared(key: str) -> None:
    told, declared = TOLD[key], CHAIN.declarations[key]
    assert f"{told['section']}.{told['name']}" == key
    assert told["meaning"] == declared.meaning
    default = declared.nominal
    assert told["default"]["value"] == (list(default) if isinstance(default, tuple) else default)
    if default is not None:
        assert told["default"]["basis"] == _basis(declared.basis)
    if isinstance(declared, Quantity | Window):
        assert told["unit"] == declared.unit
        assert (told["limits"]["lower"], told["limits"]["upper"]) == (
            declared.lower,
            declared.upper,
        )
    if isinstance(declared, Quantity):
        assert told["kind"] == declared.kind.value
        assert told["limits"]["whole"] == declared.whole
        assert told["instead_of"] == list(declared.instead)
        assert len(told["only_with"]) == len(declared.only_with)
        assert ("alike" in told["parts"], "drift" in told["parts"]) == (
            declared.paired,
            declared.drifts,
        )
        _assert_is_spread(told["setup"], declared.setup, declared.setup_basis)
        _assert_is_spread(told["shot"], declared.shot, declared.shot_basis)
    elif isinstance(declared, Choice):
        assert told["limits"]["options"] == list(declared.options)
    elif isinstance(declared, Curve):
        columns = told["limits"]["columns"]
        assert [column["unit"] for column in columns] == list(declared.units)
        assert [column["lower"] for column in columns] == list(declared.lower)
        assert [column["upper"] for column in columns] == list(declared.upper)


@pytest.mark.parametrize("key", NUMBERS)
def test_the_words_say_the_same_numbers(key: str) -> None:
    told, declared = TOLD[key], NUMBERS[key]
    # A temperature is rounded in degrees Celsius.
    zero, least = (273.15, 1e-6) if declared.unit == "K" else (0.0, 0.0)

    def assert_says(written: str, value: float) -> None:
        near = pytest.approx(value - zero, rel=FOUR_DIGITS, abs=least)
        assert read_measure(written, declared.unit).value - zero == near

    low, high = told["limits"]["written"].split(" to ")
    assert_says(low, declared.lower)
    assert_says(high, declared.upper)
    if declared.nominal is not None:
        assert_says(told["default"]["written"], declared.nominal)
    for level, spread in (("setup", declared.setup), ("shot", declared.shot)):
        if spread != NONE:
            nominal = 1.0 if declared.nominal is None else declared.nominal
            read = read_spread(told[level]["written"], declared.unit, nominal=nominal)
            assert (read.shape, read.relative) == (spread.shape, spread.relative)
            assert read.size == pytest.approx(spread.size, rel=THREE_DIGITS)


def test_every_example_is_a_whole_study() -> None:
    for item in TOLD.values():
        assert len(item["examples"]) == (1 if item["or_as"] is None else 2)
        for text in item["examples"]:
            read_study(text, source=item["key"], chain=CHAIN)


def test_the_top_of_the_file_is_in_numbers_too() -> None:
    assert TOLD["version"]["default"]["value"] is None
    assert TOLD["version"]["limits"]["lower"] == TOLD["version"]["limits"]["upper"] == 1
    assert TOLD["seed"]["default"]["value"] == DEFAULT_SEED
    assert TOLD["seed"]["limits"]["upper"] == LARGEST_SEED
    assert TOLD["title"]["limits"]["upper"] is None
    kinds = [TOLD[key]["kind"] for key in ("version", "title", "seed")]
    assert kinds == ["number", "text", "number"]


def test_a_drop_given_by_its_diameter() -> None:
    told = TOLD["valve.first_volume"]["or_as"]
    declared = NUMBERS["valve.first_volume"]
    assert told["key"] == "valve.first_diameter"
    assert declared.nominal is not None
    # Closed form: V = pi / 6 D³, so dV / V = 3 dD / D.
    for width, volume in (
        (told["default"]["value"], declared.nominal),
        (told["limits"]["lower"], declared.lower),
        (told["limits"]["upper"], declared.upper),
    ):
        assert math.pi / 6.0 * width**3 == pytest.approx(volume, rel=1e-12)
    assert 3.0 * told["setup"]["size"] == pytest.approx(declared.setup.size, rel=1e-12)


def test_variants_and_conditions_name_the_choice() -> None:
    radio = TOLD["flash.delay"]["variants"][1]
    assert radio["with"] == {"key": "flash.link", "option": "radio"}
    declared = NUMBERS["flash.delay"]
    assert isinstance(declared.variants, Variants)
    assert radio["default"]["value"] == declared.variants.changes["radio"]["nominal"]
    assert TOLD["valve.wobble_phase"]["only_with"] == [{"key": "valve.wobble", "option": None}]
    options = [one["option"] for one in TOLD["flash.full_duration"]["only_with"]]
    assert options == ["full discharge", "voltage-controlled"]


def test_limits_that_there_are_not_are_null() -> None:
    free = Quantity(
        key="toy.free",
        meaning="a toy without limits",
        symbol="f",
        unit="m",
        nominal=None,
        setup=within(0.001),
        kind=Kind.MEASURE,
        basis=Basis(Mark.ASSUMED),
    )
    text = json.dumps(reference_document(reference(chain_of(free), ["toy"])), allow_nan=False)
    (told,) = json.loads(text)["items"]
    assert (told["limits"]["lower"], told["limits"]["upper"]) == (None, None)
    assert told["limits"]["written"] == "any"
    assert told["default"] == {"value": None, "written": "–", "basis": None}
    assert told["setup"]["written"] == "within 1 mm"
