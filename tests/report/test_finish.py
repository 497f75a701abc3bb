"""A page's last touches: its card, and links that lead to its tables."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from urllib.parse import unquote

import html5lib
import pytest

from jitter.answers.run import RunAnswer
from jitter.report.beside import tables_folder
from jitter.report.card import Rate, read_card
from jitter.report.document import run_document
from jitter.report.finish import Finished, answering, finish, rates_in
from jitter.report.page import run_page
from tests.report.test_page import HOSTILE, OURS

MADE = datetime(2026, 3, 1, 21, 5, tzinfo=UTC)
TARGET = Path("my \"rig\" #1 & 'co' <b>.html")


def finished(answer: RunAnswer) -> Finished:
    return finish(
        run_page(answer),
        TARGET,
        question="run",
        answer=answer,
        document=run_document(answer),
        made=MADE,
    )


@pytest.mark.parametrize(
    ("question", "findings", "told"),
    [
        ("run", ("One.", "Two.", "Three."), ("One.", "Two.")),
        ("require", ("One.",), ("One.",)),
        # The ranking opens with what every run tells.
        ("rank", ("One.", "Two.", "Three."), ("Two.",)),
        ("rank", ("One.",), ("One.",)),
        ("show", (), ()),
    ],
)
def test_a_card_tells_what_answers_the_question(
    question: str, findings: tuple[str, ...], told: tuple[str, ...]
) -> None:
    assert answering(question, findings) == told


@pytest.fixture(scope="module")
def made(barn: RunAnswer) -> Finished:
    return finished(barn)


def test_is_valid_and_needs_nothing_to_be_read(made: Finished) -> None:
    html5lib.HTMLParser(strict=True).parse(made.html)
    assert not re.search(r"<link|<img|<iframe|@import|src=", made.html)
    card = '<script type="application/json" id="card">'
    assert re.findall(r"<script[^>]*>", made.html.replace(OURS, "")) == [card]


def test_each_table_leads_to_its_sheet(made: Finished) -> None:
    links = re.findall(r'<a href="([^"#]+)" aria-label="([^"]+)">this table as CSV', made.html)
    folder = tables_folder(TARGET).name
    addresses = [unquote(unescape(address)) for address, _ in links]
    assert addresses == [f"{folder}/{name}" for name in made.sheets]
    assert len(links) == made.html.count("<table")
    # A label begins with the words that are seen, and no two are the same.
    labels = [label for _, label in links]
    assert all(label.startswith("this table as CSV: ") for label in labels)
    assert len(set(labels)) == len(labels)


def test_the_card_tells_study_and_answer(made: Finished, barn: RunAnswer) -> None:
    card = read_card(made.html)
    assert card is not None
    assert (card.question, card.made) == ("run", MADE)
    assert (card.digests, card.seed) == ((barn.study.digest,), barn.study.seed)
    assert card.finding.startswith("Of your frames, ")
    rate = barn.as_set.hit_rate
    assert card.rates["as_set"] == Rate(rate.value, rate.low, rate.high)
    assert card.values.keys() == barn.study.entries.keys()
    assert card.values["sensor.height"] == "483 mm; set-up within 1 mm"
    assert card.values["liquid.fat"] == "–"


def test_a_hostile_title_is_text_everywhere(barn: RunAnswer) -> None:
    answer = replace(barn, study=replace(barn.study, title=HOSTILE))
    page = finished(answer)
    html5lib.HTMLParser(strict=True).parse(page.html)
    assert page.html.replace(OURS, "").count("<script") == 1
    card = read_card(page.html)
    assert card is not None
    assert card.title.startswith('</title><script>alert("x")</script> gnp.exe')
    assert all(re.fullmatch(r"[a-z0-9-]+\.csv", name) for name in page.sheets)


ESTIMATE = {"value": 0.5, "low": 0.4, "high": 0.6, "level": 0.95}
BOTH = {"as_set": ESTIMATE, "as_trimmed": ESTIMATE}


@pytest.mark.parametrize(
    ("document", "found"),
    [
        ({"hit_rate": BOTH}, True),
        ({"own": {"settings": {}, **BOTH}}, True),
        ({way: {"hit_rate": ESTIMATE, "reasons": []} for way in BOTH}, True),
        ({"hit_rate": 0.8}, False),
        ({"hit_rate": {way: {"before": ESTIMATE, "after": ESTIMATE} for way in BOTH}}, False),
        ({"checks": []}, False),
    ],
)
def test_rates_are_found_where_documents_hold_them(
    document: dict[str, object], found: bool
) -> None:
    assert rates_in(document) == ({way: Rate(0.5, 0.4, 0.6) for way in BOTH} if found else {})
