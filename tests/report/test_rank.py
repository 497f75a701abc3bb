"""What `jitter rank` says: page, screen and document of rigs of every kind."""

from __future__ import annotations

import html
import io
import json
import re
from dataclasses import replace
from functools import cache

import html5lib
import pytest
from rich.console import Console

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.rank.answer import RankAnswer, answer_rank
from jitter.answers.rank.frames import AGE, HIT
from jitter.answers.rank.indices import Index
from jitter.quantities import NONE, Quantity
from jitter.report.rank.document import rank_document
from jitter.report.rank.figures import SHOWN, scaling_figure
from jitter.report.rank.page import rank_page
from jitter.report.rank.rows import budget_rows, coefficient
from jitter.report.rank.screen import rank_screen
from jitter.report.rank.words import (
    STAR,
    STEP,
    age_finding,
    findings,
    groups_findings,
    index_words,
    level,
    name,
    opening,
    scaling_words,
    shares_findings,
    starred,
)
from jitter.report.safety import CAUTIONS
from jitter.stages import CHAIN
from tests.conftest import STUDIES, load
from tests.report.test_page import HOSTILE, OURS

NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))
NO_JET = ("valve.interval=400 ms",)


@cache
def answer(study: str, *settings: str, setups: int = 64) -> RankAnswer:
    return answer_rank(load(study, *settings), CHAIN, setups=setups, shots=16)


def printed(made: RankAnswer, width: int, *, blocks: bool = True) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(rank_screen(made, width=width, blocks=blocks), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize("study", NAMES)
def test_every_rig_is_ranked_in_every_form(study: str) -> None:
    made = answer(study)
    page = rank_page(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), " ".join(printed(made, 140).split())
    document = json.loads(json.dumps(rank_document(made), allow_nan=False))
    assert [row["source"] for row in document["ranking"]] == [row.one.name for row in made.rows]
    for row in made.rows:
        assert name(row) in text
    for sentence in findings(made):
        assert sentence in text
        assert sentence in screen
    for group in made.groups:
        assert f"{group.name} ({group.size})" in text
    for line in budget_rows(made.budget):
        assert line.source in text
        assert line.source in screen
    assert all(caution in text for caution in CAUTIONS)


@pytest.mark.parametrize("width", [60, 76, 80, 100, 140])
@pytest.mark.parametrize("study", ["barn-table", "porch-milk-open-bottle", "kitchen-glycerol"])
def test_the_screen_fits(study: str, width: int) -> None:
    lines = printed(answer(study), width).splitlines()
    assert max(len(line) for line in lines) <= width
    assert not any("…" in line for line in lines[1:])


def test_a_plain_terminal_is_shown_plain_characters() -> None:
    made = answer("barn-table")
    screen = printed(made, 80, blocks=False)
    told = [line for line in screen.splitlines() if "±" in line or "∞" in line]
    assert told == []
    assert "+-" in screen
    assert "effective degrees of freedom: infinite" in " ".join(screen.split())


def test_says_that_age_and_hit_rank_differently_and_why() -> None:
    told = " ".join(findings(answer("barn-table", setups=512)))
    assert "rank their sources differently" in told
    assert STEP in told
    assert "Aim makes" in told
    assert "hardly enters the age" in told


def test_two_sentences_come_first_and_the_others_stand_with_their_tables() -> None:
    made = answer("barn-table", setups=512)
    first = opening(made)
    assert len(first) == 2
    beside = (*shares_findings(made), *groups_findings(made), age_finding(made))
    assert findings(made) == (*first, *beside)
    screen = " ".join(printed(made, 140).split())
    page = html.unescape(rank_page(made))
    heads = ("What each spread costs", "What makes the age, and", "In groups", "budget of the age")
    for text in (screen, page.partition("<body>")[2]):
        places = [text.index(head) for head in heads]
        assert all(text.index(sentence) < places[0] for sentence in first)
        assert all(places[1] < text.index(one) < places[2] for one in shares_findings(made))
        assert all(places[2] < text.index(one) < places[3] for one in groups_findings(made))
        assert places[3] < text.index(age_finding(made))
    assert rank_document(made)["findings"] == list(findings(made))


def test_a_rig_that_misses_is_told_so_second_and_once() -> None:
    made = answer("barn-table", "timer.delay=320 ms")
    told = opening(made)[1]
    assert told == made.unaimed == made.warnings[0]
    assert "set timer.delay to 294." in told
    assert "Warning: Even" not in printed(made, 80)
    assert " ".join(printed(made, 80).split()).count(told) == 1
    assert html.unescape(rank_page(made)).count(told) == 1


def test_the_page_begins_with_the_number_that_the_opening_names() -> None:
    made = answer("barn-table", setups=512)
    page = rank_page(made)
    first = page[page.index('<table class="figures ranking"') :].partition("</table>")[0]
    heads = re.findall(r'<th scope="col"[^>]*>([^<]*)<', first)
    assert heads[:4] == ["source", "level", "spread", "removed, trimmed"]
    names = [starred(made, row) for row in made.rows if row.effects is not None]
    assert re.findall(r'<th scope="row"[^>]*>([^<]*)<', first) == names
    assert f"{STAR}." in page
    assert "valve.release_speed*" in names


def test_the_chart_has_the_order_of_the_table_and_its_stars() -> None:
    made = answer("barn-table", setups=512)
    drawn = scaling_figure(made)
    told = [f"{starred(made, row)}, {level(row)}" for row in made.rows]
    places = [drawn.index(f">{one}<") for one in told if f">{one}<" in drawn]
    assert len(places) == SHOWN
    assert places == sorted(places)
    assert "valve.release_speed*, shot" in drawn


def test_says_what_was_held_and_how_sure() -> None:
    made = answer("barn-table")
    for text in (html.unescape(rank_page(made)), " ".join(printed(made, 140).split())):
        assert "seed 11" in text
        assert "64 set-ups of 16 shots" in text
        assert f"{made.pairs} pairs of frames" in text
        assert made.study.digest in text
        assert "held" in text
        assert "95 %" in text


def test_the_document_holds_every_number() -> None:
    made = answer("barn-table")
    document = rank_document(made)
    assert document["schema"] == "jitter.rank/1"
    for told in document["ranking"]:
        for what in (AGE, HIT):
            for way in WAYS:
                assert set(told[what][way]) == {"first", "total", "shapley"}
                assert set(told[what][way]["total"]) >= {"value", "low", "high", "standard_error"}
    rows = {row["source"]: row for row in document["ranking"]}
    trimming = rows["trimming frames"]
    assert trimming["quantity"] is trimming["gains"] is None
    assert set(rows["valve.scatter"]["gains"]["as_set"]) == {
        "removed",
        "halved",
        "a_tenth_more",
        "doubled",
    }
    slopes = {one["quantity"]: one for one in document["slopes"]}
    assert set(slopes["sensor.height"]["hit_rate"]) == set(WAYS)
    assert slopes["timer.delay"]["per"] == 1e-3
    # closed form: the squares of the contributions are the combined variance.
    told = document["budget"]
    squares = sum(line["contribution_ms"] ** 2 for line in told["lines"])
    assert squares == pytest.approx(told["combined_ms"] ** 2)
    assert told["effective_degrees_of_freedom"] is None


def test_coefficients_are_in_the_units_they_name() -> None:
    made = answer("barn-table")
    for line in made.budget.lines:
        value, unit = coefficient(line)
        if line.source.keys == ("sensor.height",):
            assert unit == "ms/mm"
            # closed form: s/m are ms/mm.
            assert value == pytest.approx(line.coefficient)
        if line.source.keys == ("valve.second_volume",):
            assert unit == "ms/µL"
            # closed form: 1 s/m³ is 1e3 ms in 1e9 µL.
            assert value == pytest.approx(line.coefficient * 1e-6)


def test_what_cannot_be_told_from_zero_is_said_to_be_so() -> None:
    doubtful = Estimate(-0.001, -0.003, 0.001)
    assert scaling_words(doubtful) == "≈ 0"
    assert scaling_words(Estimate(-0.02, -0.03, -0.01)) == "-2.0"
    assert scaling_words(None) == "–"
    assert index_words(Index(doubtful, 0.001)) == "≈ 0"
    # An index below 0 is luck, however clear it looks.
    assert index_words(Index(Estimate(-0.02, -0.03, -0.01), 0.005)) == "≈ 0"
    assert index_words(Index(Estimate(0.123, 0.10, 0.15), 0.012)) == "12.3 ±1.2"
    assert index_words(Index(Estimate(0.0001, 0.00005, 0.0002), 0.00001)) == "<0.1"
    assert index_words(Index(Estimate(0.016, 0.0159, 0.0161), 0.0001)) == "1.6 ±<0.1"


def test_without_a_jet_nothing_is_told_but_that() -> None:
    made = answer("barn-table", *NO_JET)
    page, screen = rank_page(made), " ".join(printed(made, 80).split())
    html5lib.HTMLParser(strict=True).parse(page)
    document = json.loads(json.dumps(rank_document(made), allow_nan=False))
    assert document["budget"]["combined_ms"] is None
    assert document["ranking"][0]["hit"]["as_set"]["total"]["value"] is None
    assert "has no age" in screen
    assert "nan" not in html.unescape(page).lower().replace("manual", "")
    assert "What makes hits cannot be told" in screen


def test_the_page_needs_nothing_from_outside() -> None:
    page = rank_page(answer("barn-table"))
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page.replace(OURS, ""))
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert [label.split()[0] for label in labels] == ["Dots:", "Bars:"]


def test_a_hostile_title_is_text() -> None:
    made = answer("barn-table")
    hostile = replace(made, study=replace(made.study, title=HOSTILE))
    page = rank_page(hostile)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page.replace(OURS, "")
    assert "\u202e" not in printed(hostile, 80).splitlines()[0]


def test_a_rig_in_which_nothing_strays_is_still_answered() -> None:
    study = load("barn-table")
    still = {
        key: replace(entry, setup=NONE, shot=NONE)
        if isinstance(entry.declaration, Quantity) and entry.declaration.strays
        else replace(entry, nominal=0.0)
        if key in ("sensor.miss_chance", "flash.dark_chance", "timer.step")
        else entry
        for key, entry in study.entries.items()
    }
    made = answer_rank(replace(study, entries=still), CHAIN, setups=2, shots=1)
    html5lib.HTMLParser(strict=True).parse(rank_page(made))
    document = json.loads(json.dumps(rank_document(made), allow_nan=False))
    assert [row["source"] for row in document["ranking"]] == ["trimming frames"]
    assert document["budget"]["combined_ms"] == 0.0
    assert document["ranking"][0]["age"]["as_set"]["first"]["value"] is None
    assert "100 in 100" in printed(made, 60)
