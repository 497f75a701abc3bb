"""What `jitter explain` says: every form alike, whole, and safe against what users write."""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace

import html5lib
import pytest

from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.explain.blame import Blamed
from jitter.answers.explain.suspects import CHANCE, OFF, STRAYS, Suspect
from jitter.answers.intervals import Estimate
from jitter.answers.typical import Example, examples
from jitter.records.log import Log
from jitter.report.explain.document import explain_document
from jitter.report.explain.names import explain_suspect
from jitter.report.explain.page import explain_page
from jitter.report.explain.rows import look_rows, outcome_rows, series_rows, suspect_rows
from jitter.report.explain.words import findings, held
from jitter.report.safety import CAUTIONS
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS
from tests.report.explain_answers import answers, printed, rig
from tests.report.test_page import HOSTILE

NASTY = "[/b]<script>\x9b31m" + HOSTILE[:200] + " [bold]x[/bold] \x1b[31m $x^2$ {0} %s \u202e"


@pytest.fixture(scope="module", params=answers())
def made(request: pytest.FixtureRequest) -> ExplainAnswer:
    return answers()[request.param]


@pytest.fixture(scope="module")
def pictures() -> Mapping[int, Example]:
    return examples(rig(), CHAIN)


def test_every_form_says_the_same(made: ExplainAnswer) -> None:
    page, document = explain_page(made, {}), explain_document(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), " ".join(printed(made, 140).split())
    assert document["findings"] == list(findings(made))
    for sentence in (*findings(made), *held(made), *made.log.notes):
        assert sentence in text
        assert sentence in screen
    for rows in (look_rows(made), suspect_rows(made), series_rows(made), outcome_rows(made)):
        for cell in (cell for row in rows for cell in row):
            assert cell in text
    for caution in CAUTIONS:
        assert caution in text
    for said in (made.study.digest, made.log.source):
        assert said in text
        assert said in screen
    assert f"Seed {made.layout.seed}" in screen


@pytest.mark.parametrize("width", [60, 80, 100, 140])
def test_screen_fits_and_breaks_no_word(made: ExplainAnswer, width: int) -> None:
    shown = printed(made, width)
    assert max(map(len, shown.splitlines())) <= width
    words = set(shown.split())
    said = [*findings(made), *held(made)]
    said += [row[place] for row in suspect_rows(made) for place in (1, 2, 3)]
    said += [row[0] for row in look_rows(made)]
    said += [cell for row in series_rows(made) + outcome_rows(made) for cell in row]
    said += [row[4] for row in suspect_rows(made) if row[0]]
    assert {word for sentence in said for word in sentence.split()} <= words


def test_document_is_plain_and_complete(made: ExplainAnswer) -> None:
    document = json.loads(json.dumps(explain_document(made), allow_nan=False))
    assert document["schema"] == "jitter.explain/1"
    # Closed form: every frame with a verdict has one look and one set-up.
    assert sum(document["looks"].values()) == document["told"]
    assert sum(one["frames"] for one in document["by_setup"].values()) == document["told"]
    assert list(document["looks"]) == list(LOOKS)
    for group, party in zip(document["groups"], made.parties, strict=True):
        assert [one["quantity"] for one in group["suspects"]] == [
            one.suspect.key for one in party.members
        ]
        for one, member in zip(group["suspects"], party.members, strict=True):
            assert (one["offset"] is None) == math.isnan(member.offset)
            assert (one["size"] is None) == (member.suspect.how == OFF)
    for test in document["tests"]:
        assert len(test["outcomes"]) == 1 + len(made.doubted)
    assert (document["frame"] is None) == (made.single is None)


@pytest.mark.parametrize("name", ["a group", "no verdict"])
def test_page_stands_alone_and_its_pictures_have_words(
    name: str, pictures: Mapping[int, Example]
) -> None:
    made = answers()[name]
    page = explain_page(made, pictures)
    html5lib.HTMLParser(strict=True).parse(page)
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    # Figures of the looks and of the course, unless nothing is told.
    assert len(labels) == len(pictures) + (0 if made.fit is None else 2)
    assert all(len(label) > 30 for label in labels)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', page)) <= set(ids)
    for look in LOOKS:
        assert f">{look}</h3>" in page


def test_same_answer_gives_the_same_page(made: ExplainAnswer) -> None:
    assert explain_page(made, {}) == explain_page(made, {})


def nasty() -> ExplainAnswer:
    """Return an answer in which every text of the user's is hostile."""
    made = answers()["several set-ups"]
    named = {frame.setup: f"{place} {NASTY}" for place, frame in enumerate(made.log.frames)}
    frames = tuple(
        replace(frame, setup=named[frame.setup], time=NASTY, remarks=NASTY)
        for frame in made.log.frames
    )
    by_setup = {named[name]: counted for name, counted in made.facts.by_setup.items()}
    single = answers()["a frame"].single
    assert single is not None
    return replace(
        made,
        study=replace(made.study, title=HOSTILE),
        log=Log(frames, f"{NASTY}.csv", (NASTY, "columns not used: " + "long" * 900)),
        facts=replace(made.facts, by_setup=by_setup),
        single=replace(single, frame=frames[0]),
    )


def test_hostile_texts_are_shown_as_text_on_the_page() -> None:
    page = explain_page(nasty(), {})
    html5lib.HTMLParser(strict=True).parse(page)
    assert not re.search(r"<script|<b>", page)
    assert html.unescape(page).count("<script>") >= 3
    # A title keeps its own letters, as on every page.
    rest = page[page.index('<p class="warning">') :]
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", rest)


@pytest.mark.parametrize("width", [60, 80, 100, 140])
def test_hostile_texts_are_shown_as_text_on_the_screen(width: int) -> None:
    shown = printed(nasty(), width)
    assert max(map(len, shown.splitlines())) <= width
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", shown)
    assert "[/b]" in shown
    json.dumps(explain_document(nasty()), allow_nan=False)


def test_what_strays_or_strikes_is_told_by_how_much() -> None:
    sized = Blamed(
        Suspect("valve.release_speed", STRAYS), 0.9, math.nan, math.nan, Estimate(3.1, 2.04, 4.26)
    )
    assert explain_suspect(rig(), sized).endswith(
        "strays 3.1 (2 to 4.3) times as far from shot to shot as the study says"
    )
    sized = Blamed(
        Suspect("sensor.miss_chance", CHANCE), 0.9, math.nan, math.nan, Estimate(0.183, 0.1, 0.262)
    )
    assert explain_suspect(rig(), sized).endswith(
        "about 18 % (10 to 26 %), not the 1 % of the study"
    )
