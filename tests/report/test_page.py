"""The page: valid, self-contained, complete, and safe against what users write."""

from __future__ import annotations

import re
from dataclasses import replace

import html5lib
import pytest

from jitter.answers.run import RunAnswer, answer_run
from jitter.report.page import run_page
from jitter.report.safety import CAUTIONS
from jitter.report.sorting import SCRIPT
from jitter.report.target import STAMP
from jitter.stages import CHAIN
from jitter.stages.verdict import REASONS
from tests.conftest import load

HOSTILE = '</title><script>alert("x")</script>\u202egnp.exe & <b>"\' ' + "long " * 2000
OURS = f"<script>{SCRIPT}</script>"
"""The only one that a page may hold, `tests/test_in_a_browser.py` sees what it does."""


@pytest.fixture(scope="module")
def page(barn: RunAnswer) -> str:
    return run_page(barn)


def test_is_valid_html(page: str) -> None:
    html5lib.HTMLParser(strict=True).parse(page)


def test_needs_nothing_from_outside(page: str) -> None:
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page.replace(OURS, ""))
    links = re.findall(r'(?:href|url)\s*[=(]\s*"?([^"\s)]+)', page)
    assert all(link.startswith("#") for link in links)


def test_has_the_pictures_with_words_for_listeners(page: str) -> None:
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    drawn = [label for label in labels if label.startswith("Drawn frame")]
    assert len(labels) == 4 + len(drawn)
    assert len(drawn) > 24
    assert all(len(label) > 30 for label in labels)


def test_has_three_sheets_of_drawn_frames(page: str) -> None:
    sheets = re.findall(r'<figure role="group" aria-label="([^"]+)"', page)
    assert [label.split()[0] for label in sheets] == ["Contact", "A", "Drawn"]


def test_a_run_without_frames_to_draw_has_a_page(barn: RunAnswer) -> None:
    page = run_page(replace(barn, frames=None))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "Drawn frame" not in page


def test_ids_are_unique_and_every_reference_has_one(page: str) -> None:
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    wanted = set(re.findall(r'(?:href="#|url\(#)([^")]+)', page))
    assert wanted <= set(ids)


def test_what_to_mend_comes_before_how_it_came_about(page: str) -> None:
    order = re.findall(r'<section id="([^"]+)"', page)
    assert order == ["seen", "keepers", "misses", "costs", "ages", "shot", "assumed", "computed"]
    assert re.findall(r'<a href="#([^"]+)"', page.split("</nav>")[0]) == order


def test_text_in_pictures_is_text(page: str) -> None:
    assert page.count("<text") > 40


def test_tells_every_reason_source_value_and_caution(page: str, barn: RunAnswer) -> None:
    for reason in REASONS:
        assert f">{reason}<" in page
    for rank in barn.ranking:
        assert rank.source.keys[0] in page
    for key in barn.study.entries:
        assert key in page
    for caution in CAUTIONS:
        assert caution.split(":")[0][:40] in page
    assert barn.study.digest in page
    assert STAMP in page[:400]


def test_hostile_title_is_shown_as_text(barn: RunAnswer) -> None:
    page = run_page(replace(barn, study=replace(barn.study, title=HOSTILE)))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page.replace(OURS, "")
    assert "&lt;script&gt;" in page


@pytest.mark.parametrize(
    "settings",
    [
        ("session.cadence=1 s", "flash.power=1"),
        ("valve.interval=20 ms",),
        ("timer.start=valve", "timer.delay=30 ms"),
        ("sensor.miss_chance=100 %",),
    ],
    ids=["dark", "no jet", "far too early", "never started"],
)
def test_rigs_without_a_keeper_have_a_page_too(settings: tuple[str, ...]) -> None:
    answer = answer_run(load("barn-table", *settings), CHAIN, setups=8, shots=4)
    html5lib.HTMLParser(strict=True).parse(run_page(answer))


def test_hostile_basis_is_shown_as_text() -> None:
    study = load("barn-table", "sensor.height.basis=<script>alert(1)</script>")
    page = run_page(answer_run(study, CHAIN, setups=8, shots=4))
    assert "<script" not in page.replace(OURS, "")
    assert "&lt;script&gt;alert(1)" in page


def test_same_answer_gives_the_same_page(barn: RunAnswer) -> None:
    assert run_page(barn) == run_page(barn)
