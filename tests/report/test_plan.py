"""What `jitter plan` says: words, screen, page and document, reached or not."""

from __future__ import annotations

import html
import io
import json
import re
from dataclasses import replace

import html5lib
import pytest
from rich.console import Console

from jitter.answers.plan.answer import PlanAnswer, answer_plan
from jitter.answers.plan.planning import Manner
from jitter.report.plan.document import plan_document
from jitter.report.plan.page import plan_page
from jitter.report.plan.screen import plan_screen
from jitter.report.plan.words import findings, manner_words, need_words, rates_words
from jitter.report.safety import CAUTIONS
from jitter.stages import CHAIN
from tests.conftest import load
from tests.report.test_page import HOSTILE


def answer(name: str, *settings: str, want: int = 12, sure: float = 0.95) -> PlanAnswer:
    parts = {"setups": 200, "setup_time": 1200.0}
    return answer_plan(load(name, *settings), CHAIN, want=want, sure=sure, **parts)  # type: ignore[arg-type]


CASES = {
    "reached": ("barn-table", (), 12, 0.95),
    "one frame": ("barn-table", (), 1, 0.5),
    "one long set-up out of reach": ("hill-hut-dimmed-strobe", (), 12, 0.95),
    "drifts": ("porch-milk-open-bottle", (), 12, 0.95),
    "a longer evening": ("barn-table", (), 90, 0.95),
    "never": ("barn-table", ("sensor.miss_chance=100 %",), 3, 0.9),
    "drifts and out of reach": ("porch-milk-open-bottle", ("session.frames=20",), 19, 0.99),
    "an evening of one frame": ("barn-table", ("session.frames=1",), 1, 0.5),
}


@pytest.fixture(scope="module", params=CASES)
def made(request: pytest.FixtureRequest) -> PlanAnswer:
    name, settings, want, sure = CASES[request.param]
    return answer(name, *settings, want=want, sure=sure)


def printed(made: PlanAnswer, width: int) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(plan_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def test_every_form_says_the_same(made: PlanAnswer) -> None:
    page, document = plan_page(made), plan_document(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), " ".join(printed(made, 140).split())
    assert document["findings"] == list(findings(made))
    for sentence in findings(made):
        assert sentence in text
        assert sentence in screen
    for caution in CAUTIONS:
        assert caution in text
    for strategy in made.strategies:
        assert manner_words(strategy.manner) in text
    assert made.study.digest in text
    assert made.study.digest in screen
    assert f"seed {made.layout.seed}" in screen


@pytest.mark.parametrize("width", [60, 80, 140])
def test_screen_fits(made: PlanAnswer, width: int) -> None:
    lines = printed(made, width).splitlines()
    assert max(map(len, lines)) <= width


def test_document_is_plain_and_complete(made: PlanAnswer) -> None:
    document = json.loads(json.dumps(plan_document(made), allow_nan=False))
    assert document["schema"] == "jitter.plan/1"
    assert document["met"] == (made.best is not None)
    assert sum(one["quickest"] for one in document["strategies"]) == document["met"]
    for one in document["strategies"]:
        assert [row["sure"] for row in one["by_certainty"]] == [0.5, 0.8, 0.9, 0.95, 0.99]
        if one["asked"] is not None:
            assert sum(one["asked"]["frames_by_setup"]) == one["asked"]["frames"]
            assert one["chance"]["low"] <= one["chance"]["value"] <= one["chance"]["high"]
        assert sum(one["evening"]["frames_by_setup"]) == document["evening_frames"]


def test_page_has_pictures_with_words_for_listeners(made: PlanAnswer) -> None:
    page = plan_page(made)
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert len(labels) == 2
    assert all(len(label) > 30 for label in labels)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_out_of_reach_says_what_it_takes() -> None:
    said = " ".join(findings(answer("barn-table", want=90)))
    assert "out of reach" in said
    assert re.search(r"It takes \d frames to trim, then 1\d\d more, in one set-up: about ", said)
    assert "jitter run says what costs most" in said
    never = " ".join(findings(answer("barn-table", "sensor.miss_chance=100 %", want=3)))
    assert "Not even 2000 frames do it" in never
    assert "100.0 % of the set-ups give no keeper at all" in never


def test_one_long_setup_that_risks_a_bad_one_is_said_to() -> None:
    said = " ".join(findings(answer("hill-hut-dimmed-strobe")))
    assert re.search(
        r"As set by ruler, one long set-up risks a bad one: .* set-ups \(.*\) do", said
    )


def test_a_quicker_split_is_said_to_be() -> None:
    made = answer_plan(
        load("hill-hut-dimmed-strobe", "session.frames=400", "trim.frames=50"),
        CHAIN,
        want=40,
        sure=0.9,
        setup_time=60.0,
        setups=1000,
    )
    assert made.best is not None
    assert made.best.manner.setups > 1
    said = " ".join(findings(made))
    assert re.search(r"one long set-up risks a bad one: (it needs|even all) \d+ frames", said)


def test_what_comes_first_is_said_first() -> None:
    # Dear set-ups and cheap frames: one set-up, trimmed or not.
    made = answer("kitchen-glycerol", want=20)
    (trimmed,) = (
        one
        for one in made.strategies
        if one.manner == Manner("as_trimmed", 1) and one.asked is not None
    )
    assert trimmed.asked is not None
    said = need_words(trimmed.manner, trimmed.asked)
    begins = f"{trimmed.asked.trimming} frames to trim, then {trimmed.asked.frames} more, in one"
    assert said.startswith(begins)


def test_rows_that_say_nothing_are_told_as_one() -> None:
    made = answer("barn-table", "sensor.miss_chance=100 %", want=3)
    page = plan_page(made)
    tables = re.findall("<table.*?</table>", page, re.DOTALL)
    words = ["1 to 6 set-ups, as set by ruler", "1 to 6 set-ups, trimmed"]
    for told in tables[:2]:
        assert re.findall(r"<tr><t[hd][^>]*>([^<]*)<", told.partition("<tbody>")[2]) == words
    # Where something is told of a row it stands by itself.
    reached = plan_page(answer("barn-table"))
    assert "6 set-ups, trimmed" in reached
    assert "1 to 6" not in reached


def test_how_alike_frames_are_is_told_under_how_it_was_computed_only(made: PlanAnswer) -> None:
    assert "variance" in plan_page(made).partition("How it was computed")[2]
    assert "variance" not in printed(made, 140)
    assert rates_words(made) in " ".join(printed(made, 140).split())


def test_hostile_title_is_shown_as_text(made: PlanAnswer) -> None:
    page = plan_page(replace(made, study=replace(made.study, title=HOSTILE)))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page


def test_same_answer_gives_the_same_page(made: PlanAnswer) -> None:
    assert plan_page(made) == plan_page(made)
