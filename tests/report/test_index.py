"""The index: every page of ours in a folder, newest first, and what changed between them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from io import StringIO
from pathlib import Path
from urllib.parse import unquote

import html5lib
import pytest
from rich.console import Console

from jitter.errors import MistakeError
from jitter.report.card import Card, Rate, write_card
from jitter.report.html import PAGE_END, UNTITLED, page
from jitter.report.index.cards import Leaf, gather
from jitter.report.index.document import index_document
from jitter.report.index.page import index_page
from jitter.report.index.screen import index_screen
from jitter.report.index.versions import apart, families
from jitter.report.index.words import COLUMNS, changes, letter, rate_rows
from jitter.report.reading import read_page
from tests.report.test_card import HOSTILE

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
OLD = Card(
    question="run",
    title="Barn",
    finding="Of your frames, half.",
    made=NOON,
    digests=("a" * 16,),
    seed=11,
    values={"sensor.height": "483 mm", "timer.delay": "294 ms"},
    rates={"as_set": Rate(0.5, 0.45, 0.55), "as_trimmed": Rate(0.7, 0.65, 0.75)},
)
NEW = replace(
    OLD,
    made=NOON + timedelta(hours=1),
    digests=("b" * 16,),
    values={"sensor.height": "483 mm", "timer.delay": "290 ms"},
    rates={"as_set": Rate(0.6, 0.56, 0.64), "as_trimmed": Rate(0.72, 0.65, 0.78)},
)


def write(folder: Path, name: str, card: Card | None, title: str = "x") -> None:
    html = page(heading=title, about="y", findings=(), warnings=(), body=[])
    block = write_card(card) if card else ""
    (folder / name).write_text(html.replace(PAGE_END, block + PAGE_END), encoding="utf-8")


def leaves(*cards: Card) -> tuple[Leaf, ...]:
    return tuple(Leaf(f"{place}.html", card) for place, card in enumerate(cards))


def test_pages_come_newest_first_whatever_their_zone(tmp_path: Path) -> None:
    # 12:30 at noon's place is half an hour after noon, though 11:30 stands on that clock.
    west = (NOON + timedelta(minutes=30)).astimezone(timezone(timedelta(hours=-1)))
    write(tmp_path, "a.html", OLD)
    write(tmp_path, "b.html", NEW)
    write(tmp_path, "c.HTM", replace(OLD, made=west))
    write(tmp_path, "d.html", None, title="without a card")
    found = gather(tmp_path)
    assert [leaf.file for leaf in found] == ["b.html", "c.HTM", "a.html", "d.html"]
    assert found[-1].card == Card("", "without a card: y", "")


def test_what_is_not_ours_has_no_part(tmp_path: Path) -> None:
    write(tmp_path, "index.html", replace(OLD, question="index"))
    (tmp_path / "mine.html").write_text("<title>mine</title>")
    (tmp_path / "folder.html").mkdir()
    (tmp_path / "lost.html").symlink_to(tmp_path / "nowhere")
    with pytest.raises(MistakeError, match="no page of jitter's"):
        gather(tmp_path)
    with pytest.raises(MistakeError, match="no page of jitter's"):
        gather(tmp_path / "nowhere")
    write(tmp_path, "a.html", OLD)
    assert [leaf.file for leaf in gather(tmp_path)] == ["a.html"]


def test_tells_what_changed_in_study_and_answer() -> None:
    (family,) = families(leaves(NEW, OLD))
    assert family.differing == (("timer.delay", "290 ms", "294 ms"),)
    # closed form: 0.56 lies above 0.55; 0.65 to 0.75 and 0.65 to 0.78 have much in common.
    assert changes(family) == [
        "From B to A, as set by ruler: 50.0 % to 60.0 % keepers; the intervals lie apart.",
        "From B to A, after trimming: 70.0 % to 72.0 % keepers; the intervals overlap, so that it"
        " may be luck.",
    ]
    assert rate_rows(family)[0] == (
        *("A", "0.html", "60.0 %", "56.0 to 64.0 %", "72.0 %", "65.0 to 78.0 %", "11"),
    )


def test_a_value_that_only_one_page_knows_differs() -> None:
    more = replace(NEW, values={**NEW.values, "new.key": "1"})
    (family,) = families(leaves(more, OLD))
    assert ("new.key", "1", "–") in family.differing


def test_the_closest_rate_of_a_version_speaks_for_it() -> None:
    rough = replace(OLD, rates={"as_set": Rate(0.4, 0.1, 0.9), "as_trimmed": Rate(0.4, 0.1, 0.9)})
    (family,) = families(leaves(NEW, rough, OLD))
    assert changes(family)[0].startswith("From B to A, as set by ruler: 50.0 %")


def test_pages_without_counterpart_are_not_put_side_by_side() -> None:
    silent = replace(OLD, question="show", rates={})
    assert families(leaves(OLD, replace(NEW, title="Attic"))) == ()
    assert families(leaves(OLD, silent)) == ()
    assert families(leaves(OLD, replace(NEW, values={}))) == ()
    # Two studies that nobody named need not be the same.
    assert families(leaves(*(replace(card, title=UNTITLED) for card in (NEW, OLD)))) == ()
    (same_study,) = families(leaves(OLD, replace(OLD, question="rank")))
    assert len(same_study.versions) == 1
    assert "The study is the same in all" in index_page(leaves(OLD, replace(OLD, question="rank")))


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ((0.1, 0.2), (0.3, 0.4), True),
        ((0.1, 0.3), (0.2, 0.4), False),
        ((0.1, 0.2), (0.2, 0.3), False),
    ],
)
def test_apart(one: tuple[float, float], other: tuple[float, float], expected: bool) -> None:
    first, second = (Rate(sum(ends) / 2, *ends) for ends in (one, other))
    assert apart(first, second) == apart(second, first) == expected


def test_letters() -> None:
    assert [letter(place) for place in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]


MANY = [
    replace(OLD, digests=(f"{n:016x}",), values={"timer.delay": f"{n} ms"}, made=NOON)
    for n in range(40)
]
HARD = replace(NEW, title=HOSTILE, finding=HOSTILE, values={"timer.delay": HOSTILE})


@pytest.mark.parametrize(
    "cards",
    [
        (OLD,),
        (NEW, OLD),
        (HARD, replace(OLD, title=HOSTILE)),
        MANY,
        (Card("", "x", ""),),
        (replace(NEW, rates={}), replace(OLD, rates={})),
    ],
    ids=["one", "two", "hostile", "many", "unknown", "no rates"],
)
def test_the_page_is_valid_and_needs_nothing(cards: tuple[Card, ...]) -> None:
    html = index_page(leaves(*cards))
    html5lib.HTMLParser(strict=True).parse(html)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", html)
    links = re.findall(r'<h3 dir="auto"><a href="([^"]+)"', html)
    assert [unquote(link) for link in links] == [f"{place}.html" for place in range(len(cards))]
    for table in read_page(html).tables:
        assert len(table.headers) <= 1 + COLUMNS
        assert {len(row) for row in table.rows} == {len(table.headers)}
    json.dumps(index_document(leaves(*cards)), allow_nan=False)


def test_hostile_names_of_files_lead_to_those_files(tmp_path: Path) -> None:
    name = "\" onclick='x' #1 & <b> ?.html"
    write(tmp_path, name, OLD)
    html = index_page(gather(tmp_path))
    html5lib.HTMLParser(strict=True).parse(html)
    assert unquote(re.findall(r'<a href="([^"]+)"', html)[0]) == name
    assert "<b>" not in html


def test_endless_titles_are_cut_and_right_to_left_ones_keep_their_side() -> None:
    html = index_page(leaves(HARD))
    assert "x" * 200 not in re.sub(r"<p dir.*?</p>", "", html)
    assert "&lt;/script&gt;&lt;script&gt;alert(1)" in html
    assert '<h3 dir="auto">' in html


@pytest.mark.parametrize("width", [60, 80, 140])
def test_the_screen_fits(width: int) -> None:
    written = StringIO()
    told = index_screen(leaves(NEW, OLD, HARD), width=width)
    Console(file=written, width=width, highlight=False).print(told)
    lines = written.getvalue().splitlines()
    assert max(len(line) for line in lines) <= width
    text = " ".join(written.getvalue().split())
    assert "Of your frames, half." in text
    assert "timer.delay: 290 ms <- 294 ms" in text
    assert "From B to A, as set by ruler: 50.0 % to 60.0 % keepers" in text


def test_the_document_tells_pages_and_changes() -> None:
    document = index_document(leaves(NEW, OLD))
    assert [one["file"] for one in document["pages"]] == ["0.html", "1.html"]
    assert document["pages"][0]["hit_rate"]["as_set"] == {"value": 0.6, "low": 0.56, "high": 0.64}
    (study,) = document["studies"]
    assert study["differing"] == {"timer.delay": ["290 ms", "294 ms"]}
