"""The reference fits its screen, cuts nothing, and is legible in ASCII and without colour."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence

import pytest
from rich.console import Console

from jitter.answers.reference.answer import WRITING, reference
from jitter.answers.reference.items import Item
from jitter.quantities import Basis, Mark, Quantity
from jitter.report.reference.screen import FEW, reference_screen
from jitter.report.reference.words import PARTS, default, examples, facts, spreads
from jitter.stages import CHAIN
from tests.answers.reference.test_reference import chain_of

ITEMS = reference(CHAIN)
SECTIONS = {
    section: reference(CHAIN, [section]) for section in {item.section for item in ITEMS} if section
}
WIDTHS = (60, 80, 120, 140)


def _print(items: Sequence[Item], width: int, *, blocks: bool = True, colour: bool = False) -> str:
    console = Console(
        file=io.StringIO(),
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        highlight=False,
    )
    console.print(reference_screen(items, width=width, blocks=blocks), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def _words(text: str) -> str:
    """Return a text as one line, so that where it was broken does not count."""
    return " ".join(text.split())


@pytest.mark.parametrize("width", WIDTHS)
def test_the_list_fits_and_cuts_no_name_and_no_value(width: int) -> None:
    lines = _print(ITEMS, width).splitlines()
    assert max(len(line) for line in lines) <= width
    for item in ITEMS:
        assert any(line.split()[:1] == [item.name] for line in lines)
    joined = _words(" ".join(lines))
    for words in ("lognormal sd 0.35", "2 ms to 10 ms", "first drop", "shutter_opens_before"):
        assert words in joined
    assert "…" not in joined


@pytest.mark.parametrize("width", [60, 80])
def test_a_narrow_list_keeps_each_value_and_each_spread_on_one_line(width: int) -> None:
    lines = _print(ITEMS, width).splitlines()
    at = 0
    for item in ITEMS:
        at = next(row for row in range(at, len(lines)) if lines[row].startswith(f"{item.name} "))
        block = lines[at : at + 6]
        assert _words(item.meaning) in _words(" ".join(block))
        for told in (default(item.declaration), *spreads(item.declaration)):
            assert any(told in line for line in block)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("section", SECTIONS)
def test_a_section_is_told_in_full_and_fits(section: str, width: int) -> None:
    text = _print(SECTIONS[section], width)
    assert max(len(line) for line in text.splitlines()) <= width
    # Labels stand in a column of their own; without them each text is in one piece.
    bare = _words(re.sub(r"(?m)^  (\w[\w ]{1,9}) +(?=\S)", " ", text))
    for item in SECTIONS[section]:
        assert _words(item.meaning) in _words(text)
        for _, told in facts(item):
            assert _words(told) in bare


@pytest.mark.parametrize("section", SECTIONS)
def test_no_line_of_an_example_is_broken(section: str) -> None:
    lines = [line.rstrip() for line in _print(SECTIONS[section], 60).splitlines()]
    shown = {line[14:] for line in lines}
    for item in SECTIONS[section]:
        for _, text in examples(item, 60 - 14):
            assert set(text.splitlines()) <= shown


def test_few_values_are_told_in_full_and_many_in_a_list() -> None:
    first = ITEMS[:FEW]
    assert "example" in _print(first[:-1], 80)
    assert "example" not in _print(first, 80)


def test_parts_are_told_where_they_are_of_use() -> None:
    assert "Parts, in braces" in _print(reference(CHAIN, ["valve.latency"]), 80)
    assert "alike" in _print(reference(CHAIN, ["valve.latency"]), 80)
    assert "alike" not in _print(reference(CHAIN, ["sensor.height"]), 80)
    assert "Parts, in braces" not in _print(reference(CHAIN, ["version", "flash.kind"]), 80)


@pytest.mark.parametrize("word", ["drift", "setup", "shot", "within", "sd", "Lognormal"])
@pytest.mark.parametrize("width", WIDTHS)
def test_a_word_of_how_values_are_written_is_answered(word: str, width: int) -> None:
    text = _print(reference(CHAIN, [word]), width)
    assert max(len(line) for line in text.splitlines()) <= width
    for told in ('"0.01 ms/frame" or "1 %/frame"', '"within 1 mm" a half width', "lognormal sd"):
        assert _words(told) in _words(text)
    for part, _ in PARTS:
        assert re.search(rf"(?m)^  {part} ", text)


def test_it_is_answered_below_a_list_too() -> None:
    listed = _print(reference(CHAIN, ["valve", "flash"]), 80)
    assert "Parts, in braces" not in listed
    assert "Parts, in braces" in _print(reference(CHAIN, ["valve", "flash", "drift"]), 80)


def test_all_parts_are_words_that_are_answered() -> None:
    assert {part for part, _ in PARTS} <= set(WRITING)


@pytest.mark.parametrize("width", WIDTHS)
def test_in_ascii_every_letter_can_be_read(width: int) -> None:
    for items in (ITEMS, *SECTIONS.values()):
        text = _print(items, width, blocks=False)
        assert text.isascii()
        assert "?" not in text
    assert "47.71 uL" in _print(ITEMS, width, blocks=False)
    assert "47.71 µL" in _print(ITEMS, width)


def test_without_colour_has_no_escapes_and_colour_adds_no_words() -> None:
    for items in (ITEMS, SECTIONS["valve"]):
        plain, coloured = _print(items, 80), _print(items, 80, colour=True)
        assert "\x1b" not in plain
        assert "\x1b" in coloured
        assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == plain


@pytest.mark.parametrize("width", WIDTHS)
def test_what_is_declared_is_no_markup(width: int) -> None:
    declared = [
        Quantity(
            key=f"toy.value{number}",
            meaning="[bold]x[/bold] [red]",
            symbol="[i]",
            unit="m",
            nominal=1.0,
            basis=Basis(Mark.ASSUMED, "[link=x]y"),
        )
        for number in range(FEW)
    ]
    listed = _print(reference(chain_of(*declared)), width)
    full = _print(reference(chain_of(*declared), ["toy"]), width)
    for text in (listed, full):
        assert text.count("[bold]x[/bold] [red]") == FEW
    assert full.count("[link=x]y") == FEW
