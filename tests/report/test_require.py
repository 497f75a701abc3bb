"""What `jitter require` says: page, screen and document of all three questions."""

from __future__ import annotations

import html
import json
import re
from dataclasses import replace

import html5lib
import pytest

from jitter.answers.effort import Net
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.require.answer import RequireAnswer
from jitter.answers.require.remedies import Remedy
from jitter.answers.require.requirement import Limit, Requirement
from jitter.draws.layout import Layout
from jitter.report.effort import FALLEN_BACK
from jitter.report.require.document import Answer, require_document
from jitter.report.require.page import require_page
from jitter.report.require.sizes import floored, write_bare
from jitter.report.require.words import findings, told
from jitter.report.safety import CAUTIONS
from tests.report.require_answers import NAMES, all_answers, printed
from tests.report.test_page import HOSTILE, OURS


@pytest.fixture(scope="module")
def answers() -> dict[str, Answer]:
    return all_answers()


@pytest.mark.parametrize("name", NAMES)
def test_every_answer_is_told_in_every_form(answers: dict[str, Answer], name: str) -> None:
    answer = answers[name]
    page = require_page(answer)
    html5lib.HTMLParser(strict=True).parse(page)
    document = json.loads(json.dumps(require_document(answer), allow_nan=False))
    assert document["schema"] == "jitter.require/1"
    assert document["met"] is answer.met
    assert document["findings"]
    text, screen = html.unescape(page), " ".join(printed(answer, 140).split())
    for sentence in document["findings"]:
        assert sentence in text
        assert sentence in screen
    for held in (document["held_fixed"], f"seed {document['seed']}"):
        assert held in text
        assert held in screen
    assert all(caution in text for caution in CAUTIONS)
    assert answer.study.digest in text


@pytest.mark.parametrize("name", NAMES)
def test_no_table_and_no_heading_stands_over_nothing(answers: dict[str, Answer], name: str) -> None:
    page = require_page(answers[name])
    tree = html5lib.HTMLParser(namespaceHTMLElements=False).parse(page)
    assert all(table.findall("./tbody/tr") for table in tree.iter("table"))
    assert all(len(section) > 1 for section in tree.iter("section"))
    lines = [line.rstrip() for line in printed(answers[name], 80).splitlines()]
    # What no line follows is no heading, nor the head of a table.
    for place, line in enumerate(lines):
        if line.startswith(("Required", "Keepers against", "The cheapest spreads")):
            assert lines[place + 2]


@pytest.mark.parametrize("width", [60, 80, 140])
@pytest.mark.parametrize("name", NAMES)
def test_the_screen_fits(answers: dict[str, Answer], name: str, width: int) -> None:
    assert max(len(line) for line in printed(answers[name], width).splitlines()) <= width


@pytest.mark.parametrize("name", ["reached", "all", "cheapest"])
def test_the_page_has_pictures_and_needs_nothing_from_outside(
    answers: dict[str, Answer], name: str
) -> None:
    page = require_page(answers[name])
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page.replace(OURS, ""))
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert len(labels) == (2 if name == "reached" else 1)
    assert all(labels)


@pytest.mark.parametrize("name", ["reached", "all", "cheapest"])
def test_the_page_says_last_what_was_assumed_and_how_it_was_computed(
    answers: dict[str, Answer], name: str
) -> None:
    titles = re.findall("<h2>(.*?)</h2>", require_page(answers[name]))
    assert titles[-3:] == ["What was assumed", "How it was computed", "Working safely"]
    assert len(titles) == len(set(titles)) > 3


@pytest.mark.parametrize("name", ["reached", "all", "cheapest"])
def test_a_hostile_title_is_text(answers: dict[str, Answer], name: str) -> None:
    answer = answers[name]
    hostile = replace(answer, study=replace(answer.study, title=HOSTILE))
    page = require_page(hostile)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page.replace(OURS, "")
    assert "\u202e" not in printed(hostile, 80).splitlines()[0]


def test_a_requirement_is_a_sentence_to_act_on(answers: dict[str, Answer]) -> None:
    answer = answers["reached"]
    assert isinstance(answer, RequireAnswer)
    limit = answer.spread.needs["as_set"].limit
    assert limit is not None
    said = " ".join(findings(answer))
    size = write_bare(answer.subject, floored(limit.most))
    ends = [write_bare(answer.subject, end, digits=3) for end in (limit.low, limit.high)]
    assert ends[0] != ends[1]
    assert (
        f"As set by ruler, keep sensor.height within {size} for 60 in 100 ({ends[0]} to {ends[1]},"
        " sure to 95 %)" in said
    )
    assert "After trimming on 8 frames any spread of sensor.height as wide as within" in said
    assert "too low" in said
    assert "too high" in said


def test_a_chance_and_a_step_have_words_of_their_own(answers: dict[str, Answer]) -> None:
    chance, step, new = (answers[name] for name in ("chance", "step", "new"))
    assert isinstance(chance, RequireAnswer)
    assert isinstance(step, RequireAnswer)
    assert isinstance(new, RequireAnswer)
    assert "keep sensor.miss_chance to a chance of" in " ".join(findings(chance))
    assert "at most for 60 in 100" in " ".join(findings(step))
    assert "It does not stray from set-up to set-up" in " ".join(findings(new))
    assert "too long" in " ".join(findings(new))


def test_out_of_reach_says_so_and_what_else_must_shrink(answers: dict[str, Answer]) -> None:
    answer = answers["unreached"]
    assert isinstance(answer, RequireAnswer)
    said = " ".join(findings(answer))
    best = answer.spread.needs["as_set"].best.value
    assert f"not reachable with this alone: at best {100 * best:.1f} %" in said
    assert "What else must shrink: valve.release_speed from shot to shot (sd 0.02 m/s)" in said
    rows = require_document(answer)["what_else"]["as_set"]
    assert rows[0]["quantity"] == "valve.release_speed"


def test_what_has_no_remedy_has_no_table_of_remedies(answers: dict[str, Answer]) -> None:
    answer = answers["unreached"]
    assert isinstance(answer, RequireAnswer)
    assert "<h2>What else must shrink, as set by ruler</h2>" in require_page(answer)
    bare = replace(answer, remedies=dict.fromkeys(WAYS, ()))
    assert "What else must shrink" not in require_page(bare)


def with_need(answer: RequireAnswer, limit: Limit | None, best: Estimate) -> RequireAnswer:
    needs = dict.fromkeys(WAYS, Requirement(limit, best, 0.0))
    remedies: dict[str, tuple[Remedy, ...]] = dict.fromkeys(WAYS, ()) if limit is None else {}
    return replace(answer, spread=replace(answer.spread, needs=needs), remedies=remedies)


def test_what_is_not_sure_is_said_to_be_so(answers: dict[str, Answer]) -> None:
    answer = answers["reached"]
    assert isinstance(answer, RequireAnswer)
    best = Estimate(0.59, 0.57, 0.61)
    close = findings(with_need(answer, None, best))
    assert "too close to call; many random draws may tell, by --setups" in close[0]
    assert "the aim is off" in close[1]
    doubtful = findings(with_need(answer, Limit(0.0, 0.001, 0.0, 0.003, False), best))
    assert "perhaps 3 mm, perhaps none is small enough" in doubtful[0]
    whole = findings(with_need(answer, Limit(0.0, 0.12, 0.004, 0.12, True), best))
    assert "But it is sure only up to 4 mm" in whole[0]
    only = findings(with_need(answer, Limit(0.002, 0.02, 0.01, 0.03, False), best))
    assert "only where sensor.height strays by 2 mm to 20 mm" in only[0]
    assert "The aim is off" in only[0]


@pytest.mark.parametrize(
    ("size", "rounded"),
    [(0.0015999, 0.0015), (0.04999995, 0.05), (0.123, 0.12), (0.0, 0.0), (8.0, 8.0), (1e-5, 1e-5)],
)
def test_a_limit_is_rounded_down(size: float, rounded: float) -> None:
    assert floored(size) == pytest.approx(rounded, rel=1e-12)


def test_the_curve_is_told_from_none_to_its_end(answers: dict[str, Answer]) -> None:
    answer = answers["reached"]
    assert isinstance(answer, RequireAnswer)
    curve = answer.spread.curve
    places = told(curve, answer.subject.present)
    assert places[0] == 0
    assert places[-1] == len(curve.sizes) - 1
    assert answer.subject.present in curve.sizes[places]
    assert len(require_document(answer)["spread"]["curve"]) == len(curve.sizes)


def test_the_tightest_requirement_stands_first(answers: dict[str, Answer]) -> None:
    screen = printed(answers["all"], 140)
    assert screen.index("valve.release_speed") < screen.index("sensor.height")
    assert "any spread that makes sense will do" in screen
    none = " ".join(printed(answers["all, none reached"], 140).split())
    assert "None of the 33 can reach it alone" in none
    assert "No single spread, tightened alone, reaches it" in none


def test_the_cheapest_way_tells_cost_and_a_check_on_fresh_draws(
    answers: dict[str, Answer],
) -> None:
    screen = " ".join(printed(answers["cheapest"], 140).split())
    assert "the cheapest way to 78 in 100: tighten valve.release_speed to sd" in screen
    assert "(46 now, at" in screen
    assert "checked afresh" in screen
    beyond = " ".join(printed(answers["cheapest, unreached"], 140).split())
    assert "not reachable with these spreads alone" in beyond
    assert "What else must shrink" in beyond


def test_points_and_draws_are_told_in_one_place(answers: dict[str, Answer]) -> None:
    points, draws = answers["reached"], answers["all"]
    assert isinstance(points.effort, Net)
    document = require_document(points)
    assert (document["seed"], document["sets"], document["points"]) == (11, 16, 32)
    assert document["fell_back_to_draws"] is False
    made = "seed 11, 16 sets of 32 points, every step integrated, the same for every what-if"
    for told_so in (require_page(points), " ".join(printed(points, 140).split())):
        assert told_so.count(made) == 1
    assert "seed 11, 128 set-ups of 8 shots, the same" in " ".join(printed(draws, 140).split())
    assert require_document(draws)["setups"] == 128


def test_draws_for_which_nobody_asked_are_explained(answers: dict[str, Answer]) -> None:
    answer = answers["reached"]
    fallen = replace(answer, effort=Layout(11, 2048, 32), fell_back=True)
    why = f"seed 11, 2048 set-ups of 32 shots ({FALLEN_BACK}), the same"
    assert why in " ".join(printed(fallen, 140).split())
    assert why in html.unescape(require_page(fallen))
    assert require_document(fallen)["fell_back_to_draws"] is True
