"""What `jitter compare` says: words, screen, page and document, of two studies and of more."""

from __future__ import annotations

import html
import io
import json
import re
from dataclasses import replace

import html5lib
import pytest
from rich.console import Console

from jitter.answers.compare.answer import CompareAnswer, answer_compare
from jitter.report.compare.document import compare_document
from jitter.report.compare.page import compare_page
from jitter.report.compare.screen import compare_screen
from jitter.report.compare.words import findings, sides
from jitter.report.safety import CAUTIONS
from jitter.report.words import UNCLEAR
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.conftest import load
from tests.report.test_page import HOSTILE

BARN = "barn-table"


def answer(*studies: Study, aim: bool = False, setups: int = 200) -> CompareAnswer:
    named = [(f"rig {place}", study) for place, study in enumerate(studies)]
    return answer_compare(named, CHAIN, aim=aim, setups=setups, shots=16)


def variant(*settings: str) -> Study:
    return load(BARN, *settings)


CASES = {
    "one choice": (variant("timer.start=second drop"),),
    "nothing that shows": (variant("timer.step=5 us", "sensor.width=0.9 mm"),),
    "many differences": (load("hill-hut-dimmed-strobe"),),
    "other liquid": (load("workshop-thick-water"),),
    "three": (variant("valve.latency.shot=none"), variant("valve.release_speed.shot=none")),
    "no keepers": (variant("sensor.miss_chance=100 %"),),
    "drift": (variant("pool.level.drift=0.01 mm", "valve.latency.alike=0.5"),),
}


@pytest.fixture(scope="module", params=CASES)
def made(request: pytest.FixtureRequest) -> CompareAnswer:
    return answer(load(BARN), *CASES[request.param])


def printed(made: CompareAnswer, width: int) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(compare_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def test_what_goes_together_is_not_called_one_thing() -> None:
    said = " ".join(findings(answer(load(BARN), variant("timer.start=valve"), aim=True)))
    assert "The two differ in timer.start and timer.delay, which go together." in said
    alone = " ".join(findings(answer(load(BARN), variant("sensor.width=0.9 mm"))))
    assert "The two differ in one thing: sensor.width." in alone


def test_every_form_says_the_same(made: CompareAnswer) -> None:
    page, document = compare_page(made), compare_document(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), " ".join(printed(made, 140).split())
    assert document["findings"] == list(findings(made))
    for sentence in findings(made):
        assert sentence in text
        assert sentence in screen
    for pair in made.against_first:
        for difference in pair.differences:
            for name, one, other in sides(difference):
                assert name in text
                for cell in (one, other):
                    assert cell in text
                    assert " ".join(cell.split()) in screen
    for caution in CAUTIONS:
        assert caution in text
    for contender in made.contenders:
        assert contender.study.digest in text
        assert contender.study.digest in screen


@pytest.mark.parametrize("width", [60, 80, 140])
def test_screen_fits(made: CompareAnswer, width: int) -> None:
    lines = printed(made, width).splitlines()
    assert max(map(len, lines)) <= width


def test_document_is_plain_and_complete(made: CompareAnswer) -> None:
    document = json.loads(json.dumps(compare_document(made), allow_nan=False))
    assert document["schema"] == "jitter.compare/1"
    count = len(made.contenders)
    assert len(document["studies"]) == count
    assert len(document["pairs"]) == count * (count - 1) // 2
    assert (document["drive"] is None) == (count > 2)
    for pair in document["pairs"]:
        one, other = (document["studies"][pair[side]] for side in ("one", "other"))
        for way in ("as_set", "as_trimmed"):
            change = pair[way]["change"]
            apart = other[way]["hit_rate"]["value"] - one[way]["hit_rate"]["value"]
            assert change["value"] == pytest.approx(apart, abs=1e-12)
            assert change["low"] <= change["value"] <= change["high"]


def test_page_has_pictures_with_words_for_listeners(made: CompareAnswer) -> None:
    page = compare_page(made)
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    several = made.drive is not None and len(made.drive.drivers) > 1
    assert len(labels) == (3 if several else 2)
    assert all(len(label) > 30 for label in labels)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_what_drove_it_is_named() -> None:
    said = " ".join(
        findings(answer(load(BARN), variant("valve.release_speed.shot=none", "timer.step=5 us")))
    )
    assert "the one that did most after trimming is valve.release_speed, shot spread" in said


def test_noise_is_said_to_be_noise() -> None:
    made = answer(load(BARN), variant("timer.step=5 us", "sensor.width=0.9 mm"))
    said = " ".join(findings(made))
    assert UNCLEAR in said
    assert "every single one" in said


def test_an_unaimed_rig_is_said_to_be_one() -> None:
    second = variant("timer.start=second drop")
    said = " ".join(findings(answer(load(BARN), second)))
    assert "B (rig 1) misses even when nothing strays, as set by ruler (but trimming" in said
    aimed = " ".join(findings(answer(load(BARN), second, aim=True)))
    assert "misses even" not in aimed
    assert "Every delay was set anew" in aimed


def test_best_of_three_is_named() -> None:
    made = answer(load(BARN), *CASES["three"])
    said = findings(made)[0]
    assert said.startswith("After trimming, C (rig 2) is best with")
    assert "ahead of the next, B (rig 1)" in said


def test_hostile_names_and_titles_are_shown_as_text() -> None:
    study = replace(load(BARN), title=HOSTILE)
    named = [(HOSTILE, study), ("<b>second", variant("timer.step=5 us"))]
    made = answer_compare(named, CHAIN, setups=8, shots=4)
    page = compare_page(made)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page
    assert "<b>second" not in page


def test_same_answer_gives_the_same_page(made: CompareAnswer) -> None:
    assert compare_page(made) == compare_page(made)
