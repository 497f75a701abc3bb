"""The card in a page: told to programs, run by nobody, believed by nobody."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import html5lib
import pytest

from jitter.report.card import CLOSING, OPENING, Card, Rate, read_card, write_card
from jitter.report.html import PAGE_END, page

HOSTILE = (
    "</script><script>alert(1)</script><!-- <script> \"'& \u05e9\u05dc\u05d5\u05dd " + "x" * 10_000
)
CARD = Card(
    question="run",
    title=HOSTILE,
    finding=f"Of {HOSTILE}",
    made=datetime(2026, 3, 1, 21, 5, 6, tzinfo=UTC),
    digests=("0123456789abcdef",),
    seed=11,
    values={"timer.start": HOSTILE},
    rates={"as_set": Rate(0.5, 0.4, 0.6)},
)


def carrying(block: str) -> str:
    html = page(heading="x", about="", findings=(), warnings=(), body=[])
    return html.replace(PAGE_END, block + PAGE_END)


@pytest.mark.parametrize("card", [CARD, Card("index", "x", "")])
def test_comes_back(card: Card) -> None:
    assert read_card(carrying(write_card(card))) == card


def test_nothing_in_it_ends_it() -> None:
    block = write_card(CARD)
    assert len(re.findall("[<>&]", block)) == len(re.findall("[<>&]", OPENING + CLOSING))
    html5lib.HTMLParser(strict=True).parse(carrying(block))


def test_letters_that_no_page_shows_are_not_taken_over() -> None:
    read = read_card(carrying(write_card(replace(CARD, title="a\u202eb\nc"))))
    assert read is not None
    assert read.title == "a b c"


def told(**changes: Any) -> str:
    block = write_card(CARD).removeprefix(OPENING).removesuffix(f"{CLOSING}\n")
    return f"{OPENING}{json.dumps(json.loads(block) | changes)}{CLOSING}\n"


@pytest.mark.parametrize(
    "block",
    [
        "",
        f"{OPENING}{CLOSING}",
        f"{OPENING}[]{CLOSING}",
        f"{OPENING}{{}}{CLOSING}",
        f"{OPENING}{'[' * 100_000}{CLOSING}",
        told(schema="jitter.page/2"),
        told(title=["x"]),
        told(made="yesterday"),
        told(made=5),
        told(seed="x"),
        told(digests=None),
        told(values=[]),
        told(values={"a": 1}),
        told(rates={"as_set": {}}),
        told(rates={"as_set": {"value": 7, "low": 0, "high": 8}}),
        told(rates={"as_set": {"value": float("nan"), "low": 0, "high": 1}}),
        told(rates={"as_set": 1}),
    ],
)
def test_a_card_that_is_none_is_not_believed(block: str) -> None:
    assert read_card(carrying(told())) == CARD
    assert read_card(carrying(block)) is None


def test_a_time_without_a_zone_can_be_put_in_order() -> None:
    read = read_card(carrying(told(made="2026-03-01T21:05:06")))
    assert read is not None
    assert read.made is not None
    assert read.made.tzinfo is not None
