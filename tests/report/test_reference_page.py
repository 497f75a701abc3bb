"""The reference's page: valid, self-contained, complete, its examples right, and safe."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from html import escape, unescape

import html5lib
import pytest

from jitter.answers.reference.answer import reference
from jitter.quantities import Basis, Choice, Curve, Declaration, Mark, Quantity, Window
from jitter.report.reference.page import reference_page
from jitter.report.reference.words import facts
from jitter.report.safety import CAUTIONS
from jitter.report.target import STAMP
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from tests.answers.reference.test_reference import chain_of

ITEMS = reference(CHAIN)
HOSTILE = '</td></table></title><script>alert("x")</script><b onclick=\'y\'> & "'


@pytest.fixture(scope="module")
def page() -> str:
    return reference_page(ITEMS)


def test_is_valid_html(page: str) -> None:
    html5lib.HTMLParser(strict=True).parse(page)


def test_needs_nothing_from_outside(page: str) -> None:
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    links = re.findall(r'(?:href|url)\s*[=(]\s*"?([^"\s)]+)', page)
    assert len(links) == len(ITEMS)
    assert all(link.startswith("#") for link in links)


def test_every_link_leads_somewhere(page: str) -> None:
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', page)) == set(ids) == {item.key for item in ITEMS}


def test_tells_every_value_section_and_caution(page: str) -> None:
    groups = dict(re.findall(r'<tr id="([^"]+)"(.*?)</tbody>', page, re.DOTALL))
    for key, declared in CHAIN.declarations.items():
        assert f"<h2>[{key.split('.')[0]}]</h2>" in page
        assert f"<br>{escape(declared.meaning)}</th>" in groups[key]
        if declared.nominal is not None:
            assert escape(declared.basis.source) in groups[key]
            assert str(declared.basis.mark) in groups[key]
    for item in ITEMS:
        for label, text in facts(item):
            assert f">{label}</th>" in groups[item.key]
            for line in text.splitlines():
                assert escape(line) in groups[item.key]
    for caution in CAUTIONS:
        assert escape(caution) in page
    assert STAMP in page[:400]


def _shown_examples(page: str) -> Iterator[str]:
    """Yield every example on the page as a study, read as a browser shows it."""
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    for section in tree.iter("section"):
        title = "".join(section.find("h2").itertext())
        head = "version = 1\n" + (f"{title}\n" if title.startswith("[") else "")
        for row in section.iter("tr"):
            for code in row.iter("code"):
                text = "\n".join(code.itertext())
                yield text if text.startswith("version") else head + text


def test_every_example_shown_is_a_study(page: str) -> None:
    examples = list(_shown_examples(page))
    # One to each value, and a second where a drop may be given by its diameter.
    assert len(examples) == len(ITEMS) + sum(item.sphere is not None for item in ITEMS)
    for text in examples:
        read_study(text, source="page", chain=CHAIN)


def test_a_part_of_it_is_a_page_too() -> None:
    for words in (["version"], ["keeper.age"], ["flash", "seed"]):
        items = reference(CHAIN, words)
        page = reference_page(items)
        html5lib.HTMLParser(strict=True).parse(page)
        assert re.findall(r'\bid="([^"]+)"', page) == [item.key for item in items]


@pytest.mark.parametrize("words", [["within"], ["drift"], ["sensor", "sd"]])
def test_how_values_are_written_is_a_page_too(words: list[str]) -> None:
    items = reference(CHAIN, words)
    page = reference_page(items)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "0.01 ms/frame" in unescape(page)
    assert ("Where to find it" in page) == bool(items)
    assert "0 value" not in page


BASIS = Basis(Mark.ASSUMED, HOSTILE)
HOSTILES: tuple[Declaration, ...] = (
    Quantity(
        key="toy.number", meaning=HOSTILE, symbol=f"x_{HOSTILE}", unit="m", nominal=1.0, basis=BASIS
    ),
    Choice(key="toy.choice", meaning=HOSTILE, options=(HOSTILE,), nominal=HOSTILE, basis=BASIS),
    Window(
        key="toy.window", meaning=HOSTILE, symbol=HOSTILE, unit="s", nominal=(0.0, 1.0), basis=BASIS
    ),
    Curve(
        key="toy.curve",
        meaning=HOSTILE,
        symbol=HOSTILE,
        columns=(HOSTILE, HOSTILE),
        units=("1", "s"),
        lower=(0.1, 0.1),
        upper=(1.0, 1.0),
        basis=BASIS,
    ),
)


def test_what_is_declared_is_shown_as_text() -> None:
    page = reference_page(reference(chain_of(*HOSTILES)))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page
    assert "<b " not in page
    # Meaning, symbol, source; of the choice also its option, default and example.
    assert page.count("&lt;script&gt;") > 12


def test_hostile_lines_of_an_example_are_shown_as_text() -> None:
    (item,) = reference(CHAIN, ["title"])
    line = replace(item.lines[0], parts=(("", HOSTILE),))
    page = reference_page([replace(item, lines=(line,))])
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page


def test_same_values_give_the_same_page(page: str) -> None:
    assert reference_page(reference(CHAIN)) == page
