"""What `jitter fit` says: words, screen, page and document, much measured or little."""

from __future__ import annotations

import html
import io
import json
import math
import re
from dataclasses import replace
from functools import cache

import html5lib
import pytest
from rich.console import Console

from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Number
from jitter.answers.intervals import Estimate
from jitter.report.fit.document import fit_document
from jitter.report.fit.page import fit_page
from jitter.report.fit.screen import fit_screen
from jitter.report.fit.words import (
    change_interval,
    change_of,
    findings,
    interval_of,
    old_of,
    uncertainty_of,
    written,
)
from jitter.report.safety import CAUTIONS
from tests.answers.fit.measured import answer
from tests.make_demo_measurements import FILE
from tests.report.test_page import HOSTILE


def demo() -> list[str]:
    rows = FILE.read_text(encoding="utf-8").splitlines()
    return [row.rsplit(",", 1)[0] for row in rows if not row.startswith(("#", "what"))]


CASES = {
    "everything": demo(),
    "one reading": ["sensor.height,481 mm,,,,,,,"],
    "nothing to write": ["jet height,3 mm,,300 ms,first drop,,,,"],
    "nothing new": ["flash.power,1/64,,,,,,,"],
    "the delay aims beside": ["valve.interval,120 ms,,,,,,,"],
    "all alike": ["pool.level,0.1 mm,,,,,,,"] * 4,
}


@cache
def case(name: str) -> FitAnswer:
    return answer(CASES[name])


@pytest.fixture(scope="module", params=CASES)
def made(request: pytest.FixtureRequest) -> FitAnswer:
    return case(request.param)


def printed(made: FitAnswer, width: int) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(fit_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def test_every_form_says_the_same(made: FitAnswer) -> None:
    page, document = fit_page(made), fit_document(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), " ".join(printed(made, 140).split())
    assert document["findings"] == list(findings(made))
    for sentence in findings(made):
        assert sentence in text
        assert sentence in screen
    for finding in made.findings:
        for number in finding.numbers:
            assert written(number, number.estimate.value) in text
            assert interval_of(number) in text
    for caution in CAUTIONS:
        assert caution in text
    if made.text is not None:
        assert made.text in text
    assert document["study_text"] == made.text
    assert made.study.digest in text
    assert made.study.digest in screen


@pytest.mark.parametrize("width", [60, 80, 140])
def test_screen_fits(made: FitAnswer, width: int) -> None:
    assert max(map(len, printed(made, width).splitlines())) <= width


def test_document_is_plain_and_complete(made: FitAnswer) -> None:
    document = json.loads(json.dumps(fit_document(made), allow_nan=False))
    assert document["schema"] == "jitter.fit/1"
    assert (document["hit_rate"] is None) == (made.comparison is None)
    assert len(document["measured"]) == len(made.findings)
    for one, finding in zip(document["measured"], made.findings, strict=True):
        assert one["readings"] == finding.count
        assert [number["name"] for number in one["numbers"]] == [n.name for n in finding.numbers]
        assert {change["key"] for change in one["changes"]} == {v.key for v in finding.values}


def test_page_has_pictures_with_words_for_listeners(made: FitAnswer) -> None:
    page = fit_page(made)
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    spreads = any(n.spread and n.old for f in made.findings for n in f.numbers)
    assert len(labels) == spreads + ("drivers-" in page)
    assert all(len(label) > 30 for label in labels)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_findings_name_the_fault_and_what_it_costs() -> None:
    said = " ".join(findings(case("everything")))
    assert "valve.release_speed, sd from shot to shot: 0.03" in said
    assert "1.8 times what the study says, 0.02 m/s" in said
    assert re.search(r"After trimming, the new numbers mean \d\d\.\d fewer keepers", said)
    assert "Most of it comes from valve.release_speed, shot spread" in said


def test_a_delay_that_aims_beside_is_told() -> None:
    said = " ".join(findings(case("the delay aims beside")))
    assert "jitter tune says how" in said


def test_little_or_nothing_is_said_to_be() -> None:
    assert "change no value" in findings(case("nothing to write"))[0]
    assert "has already" in findings(case("nothing new"))[1]


@pytest.mark.parametrize(
    ("low", "high", "spread", "said"),
    [
        (0.0002, 0.0004, True, "0.20 to 0.40 ms"),
        (0.0, 0.0004, True, "up to 0.40 ms"),
        (0.0, float("inf"), True, "open"),
        (0.0002, float("inf"), True, "0.2 ms and more"),
        (float("-inf"), float("inf"), False, "open"),
        (0.00005, 0.0004, True, "0.05 to 0.40 ms"),
        (0.0112, 0.0118, False, "11.20 to 11.80 ms"),
    ],
)
def test_intervals_in_words(low: float, high: float, spread: bool, said: str) -> None:
    middle = 0.0003 if spread else 0.0115
    number = Number("x", "s", Estimate(middle, low, high), spread=spread, uncertainty=None)
    assert interval_of(number) == said
    assert old_of(number) == "–"
    assert uncertainty_of(number) == ""


# Common practice, JCGM 100:2008, 7.2.6: two digits of an uncertainty, the value to their place.
@pytest.mark.parametrize(
    ("number", "cells"),
    [
        (
            Number("x", "m", Estimate(4.50032e-3, 4.49896e-3, 4.50168e-3), 5.76e-7, old=4.5e-3),
            ("4.50032 mm", "0.00058 mm", "4.49896 to 4.50168 mm", "4.5 mm"),
        ),
        (
            Number("x", "s", Estimate(8.77e-5, 7.42e-5, 1.07e-4), old=5.494e-5, spread=True),
            ("88 µs", "", "74 to 107 µs", "54.9 µs"),
        ),
        (
            Number("x", "K", Estimate(293.4, 293.1, 293.7), 0.0997, old=293.15),
            ("20.25 °C", "0.10 K", "19.95 to 20.55 °C", "20 °C"),
        ),
        (
            Number("x", "1", Estimate(0.0963, 0.0662, 0.176), old=0.02, spread=True),
            ("0.096", "", "0.066 to 0.176", "0.02"),
        ),
        (
            Number("x", "s", Estimate(0.0, 0.0, 4e-5), old=2e-3, spread=True),
            ("0 µs", "", "up to 40 µs", "2000 µs"),
        ),
    ],
)
def test_a_row_has_one_unit_and_two_digits_of_its_uncertainty(
    number: Number, cells: tuple[str, ...]
) -> None:
    value = written(number, number.estimate.value)
    told = (value, uncertainty_of(number), interval_of(number), old_of(number))
    assert told == cells


@pytest.mark.parametrize(
    ("value", "low", "high", "said", "ends"),
    [
        (0.0005, 0.0003, 0.0007, "+0.05", "+0.03 to +0.07"),
        (0.003, 0.002, 0.004, "+0.3", "+0.2 to +0.4"),
        (-0.1432, -0.150, -0.137, "-14.3", "-15.0 to -13.7"),
        (0.00004, 0.00002, 0.00006, "+0.004", "+0.002 to +0.006"),
        (0.0002, -0.0003, 0.0007, "≈ 0", "-0.03 to +0.07"),
    ],
)
def test_changes_have_no_finer_digits_than_their_interval_bears(
    value: float, low: float, high: float, said: str, ends: str
) -> None:
    change = Estimate(value, low, high)
    assert (change_of(change), change_interval(change)) == (said, ends)


def test_a_number_that_nothing_bears_has_few_digits() -> None:
    lone = Number("x", "s", Estimate(-0.00172598, -math.inf, math.inf), uncertainty=math.inf)
    assert written(lone, lone.estimate.value) == "-1.726 ms"


def test_hostile_title_is_shown_as_text(made: FitAnswer) -> None:
    page = fit_page(replace(made, study=replace(made.study, title=HOSTILE)))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page


def test_same_answer_gives_the_same_page() -> None:
    made = case("one reading")
    assert fit_page(made) == fit_page(made)
