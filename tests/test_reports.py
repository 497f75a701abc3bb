"""The pages in reports/ are those that the program makes now.

Where one is stale, ``python -m tests.make_reports`` makes all of them anew.
"""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path
from xml.etree.ElementTree import parse

import pytest

from jitter.report.beside import LIST, foreign, tables_folder
from jitter.report.card import Card, read_card
from jitter.report.index.cards import OURS, gather
from jitter.report.index.page import index_page
from jitter.report.reading import read_page
from jitter.report.sheets import sheet
from jitter.report.validation.page import validation_page
from jitter.validation.validate import Validation
from tests.conftest import ROOT
from tests.make_reports import COMMANDS, REPORTS, SHOWN, make_page
from tests.readme_pictures import PICTURES

PAGES = ["index", "validation", *COMMANDS]


def shipped(name: str) -> str:
    return (REPORTS / f"{name}.html").read_text(encoding="utf-8")


def words(html: str) -> list[str]:
    """Return the words of a page without its pictures, style, card and links to tables."""
    left_out = r'<(svg|style|script)\b.*?</\1>|<p class="csv">.*?</p>|<!--.*?-->|<[^>]+>'
    return unescape(re.sub(left_out, " ", html, flags=re.DOTALL)).split()


def undated(html: str) -> Card:
    card = read_card(html)
    assert card is not None
    return replace(card, made=None)


def test_the_folder_holds_these_pages_and_their_tables_only() -> None:
    wanted = {f"{name}.html" for name in PAGES}
    wanted |= {f"{name}-tables" for name in PAGES if read_page(shipped(name)).tables}
    wanted.add(SHOWN.name)
    assert {path.name for path in REPORTS.iterdir()} == wanted


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_is_the_one_that_is_made_now(name: str, tmp_path: Path) -> None:
    now = make_page(name, tmp_path).read_text(encoding="utf-8")
    assert words(shipped(name)) == words(now)
    assert undated(shipped(name)) == undated(now)
    assert shipped(name).count("<svg") == now.count("<svg")


@pytest.mark.parametrize("name", COMMANDS)
def test_no_page_tells_where_it_was_made(name: str) -> None:
    assert str(ROOT) not in shipped(name)


@pytest.mark.parametrize("name", PICTURES)
def test_the_readme_shows_the_pictures_of_a_page(name: str) -> None:
    """The picture, and the words for those who do not see it, are those of the page."""
    picture = PICTURES[name](shipped("barn-table-run"))
    assert (SHOWN / f"{name}.svg").read_text(encoding="utf-8") == picture.svg
    parse(SHOWN / f"{name}.svg")
    readme = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    assert f"![{picture.label}](reports/pictures/{name}.svg)" in readme


def test_the_validation_is_the_one_that_is_made_now(found: Validation) -> None:
    now = validation_page(found)
    assert words(shipped("validation")) == words(now)
    assert shipped("validation").count("<svg") == now.count("<svg")


def test_the_index_is_of_these_pages() -> None:
    assert words(shipped(OURS)) == words(index_page(gather(REPORTS)))


@pytest.mark.parametrize("name", PAGES)
def test_the_tables_beside_a_page_are_its_own(name: str) -> None:
    folder = tables_folder(REPORTS / f"{name}.html")
    sheets = {f"{table.name}.csv": sheet(table) for table in read_page(shipped(name)).tables}
    assert foreign(folder) is None
    if sheets:
        assert {path.name for path in folder.iterdir()} == {*sheets, LIST}
    for file, text in sheets.items():
        assert (folder / file).read_text(encoding="utf-8") == text
