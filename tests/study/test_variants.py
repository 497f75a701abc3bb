"""Defaults that depend on a word chosen elsewhere: the word brings them, the study outdoes them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from jitter.quantities import NONE, Basis, Choice, Kind, Mark, Quantity, Variants
from jitter.stage import Chain
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from tests.toy import ADD_UP, TOY, toy_quantity
from tests.waking import surroundings

Read = Callable[..., Study]
MINIMAL = "version = 1\n"
VARIED = {
    key: item
    for key, item in CHAIN.declarations.items()
    if isinstance(item, Quantity) and item.variants is not None
}


def _cases() -> list[tuple[str, str, str]]:
    """Return every varied key with its choice and each of the choice's options."""
    found = []
    for key, item in VARIED.items():
        assert item.variants is not None
        choice = CHAIN.declarations[item.variants.by]
        assert isinstance(choice, Choice)
        found += [(key, choice.key, option) for option in choice.options]
    return found


def _declared(key: str, option: str) -> Quantity:
    """Return a declaration with the changes that belong to an option."""
    item = VARIED[key]
    assert item.variants is not None
    return replace(item, **item.variants.changes.get(option, {}))


def test_the_choices_of_flash_link_and_start_vary_defaults() -> None:
    assert {choice for _, choice, _ in _cases()} == {"flash.kind", "flash.link", "timer.start"}


@pytest.mark.parametrize(("key", "choice", "option"), _cases())
def test_a_choice_brings_its_defaults(read: Read, key: str, choice: str, option: str) -> None:
    around = next(surroundings(key))
    expected = _declared(key, option)
    entry = read(MINIMAL, f"{choice}={option}", *around).entries[key]
    assert entry.nominal == expected.nominal
    assert (entry.setup, entry.shot) == (expected.setup, expected.shot)
    bases = (expected.basis, expected.setup_basis, expected.shot_basis)
    assert (entry.basis, entry.setup_basis, entry.shot_basis) == bases
    assert entry.given == frozenset()


@pytest.mark.parametrize(("key", "choice", "option"), _cases())
def test_what_the_study_gives_outdoes_the_choice_part_by_part(
    read: Read, key: str, choice: str, option: str
) -> None:
    expected = _declared(key, option)
    chosen = (f"{choice}={option}", *next(surroundings(key)))
    moved = {"s": "0.05 s", "1": "1"}[expected.unit]
    entry = read(MINIMAL, f"{key}={moved}", *chosen).entries[key]
    assert entry.nominal == float(moved.removesuffix(" s"))
    assert (entry.setup, entry.shot) == (expected.setup, expected.shot)
    off = read(MINIMAL, *chosen, f"{key}.shot=none").entries[key]
    assert (off.nominal, off.setup, off.shot) == (expected.nominal, expected.setup, NONE)


@pytest.mark.parametrize("lines", [("link", "delay"), ("delay", "link")])
def test_the_order_in_the_file_changes_nothing(read: Read, lines: tuple[str, str]) -> None:
    given = {"link": 'link = "radio"', "delay": 'delay = { shot = "sd 40 us" }'}
    text = "\n".join([MINIMAL, "[flash]", *(given[line] for line in lines)])
    entry = read(text).entries["flash.delay"]
    assert entry.nominal == _declared("flash.delay", "radio").nominal
    assert entry.given == {"shot"}


def test_the_order_of_the_declarations_changes_nothing() -> None:
    variants = Variants("toy.word", {"two": {"nominal": 2.0}})
    varied = toy_quantity("varied", kind=Kind.MEASURE, nominal=1.0, variants=variants)
    word = Choice(
        key="toy.word",
        meaning="a word",
        options=("one", "two"),
        nominal="one",
        basis=Basis(Mark.ASSUMED, "a toy"),
    )
    for declares in ((varied, word), (word, varied)):
        chain = Chain(stages=(replace(ADD_UP, declares=declares),), trimming=TOY.trimming)
        for option, nominal in (("one", 1.0), ("two", 2.0)):
            text = f'version = 1\ntoy.word = "{option}"\n'
            study = read_study(text, source="test", chain=chain)
            assert study.number("toy.varied") == nominal
            assert list(study.entries)[:2] == [item.key for item in declares]
