"""The validation as page, screen and document."""

from __future__ import annotations

import json
import re
from html import unescape
from io import StringIO

import html5lib
import pytest
from rich.console import Console

from jitter.report.safety import CAUTIONS
from jitter.report.target import STAMP
from jitter.report.validation.document import validation_document
from jitter.report.validation.page import FIGURES, validation_page
from jitter.report.validation.screen import validation_screen
from jitter.report.validation.words import write_claim, write_deviation
from jitter.validation.checks import STAGES, Check, Claim, Known
from jitter.validation.validate import Validation


@pytest.fixture(scope="module")
def page(found: Validation) -> str:
    return validation_page(found)


def words(html: str) -> str:
    """Return the words of a page, without its pictures."""
    return unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", "", html, flags=re.DOTALL)))


def test_is_valid_html_that_needs_nothing_from_outside(page: str) -> None:
    html5lib.HTMLParser(strict=True).parse(page)
    assert STAMP in page
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    assert all(link.startswith("#") for link in re.findall(r'href="([^"]+)"', page))


def test_every_link_leads_somewhere(page: str) -> None:
    marks = re.findall(r'\bid="([^"]+)"', page)
    assert len(marks) == len(set(marks))
    assert {link[1:] for link in re.findall(r'href="(#[^"]+)"', page)} <= set(marks)


def test_tells_every_check_source_and_doubt(page: str, found: Validation) -> None:
    text = words(page)
    for name, rows in found.series.items():
        assert name in text
        for row in rows:
            assert row.what in text
            assert row.source in text
            assert row.claim.why in text
            assert str(row.known) in text
            assert row.note in text
    for doubt in found.doubts:
        assert doubt.what in text
        assert doubt.size in text
    assert all(caution in text for caution in CAUTIONS)
    assert set(FIGURES) <= set(STAGES)


def test_pictures_have_words_for_listeners(page: str) -> None:
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert len(labels) == 1 + sum(len(drawn) for drawn in FIGURES.values())
    assert all(len(label) > 30 for label in labels)


@pytest.mark.parametrize("width", [60, 80, 140])
def test_the_screen_fits(found: Validation, width: int) -> None:
    written = StringIO()
    Console(file=written, width=width, highlight=False).print(validation_screen(found, width=width))
    lines = written.getvalue().splitlines()
    assert max(len(line) for line in lines) <= width
    text = " ".join(written.getvalue().split())
    assert "rain drops that trap a bubble" in text
    assert found.doubts[0].what in text


def test_the_document_holds_every_check(found: Validation) -> None:
    document = json.loads(json.dumps(validation_document(found), allow_nan=False))
    assert len(document["checks"]) == len(found.checks)
    assert [row["agrees"] for row in document["checks"]] == [row.agrees for row in found.checks]
    assert len(document["doubts"]) == len(found.doubts)


def check(ours: float, theirs: float, claim: Claim, unit: str = "s") -> Check:
    return Check(
        stage="fall",
        series="s",
        what="w",
        ours=ours,
        theirs=theirs,
        unit=unit,
        claim=claim,
        source="nobody",
        known=Known.MEMORY,
    )


@pytest.mark.parametrize(
    ("ours", "theirs", "claim", "written"),
    [
        # closed form: shares in per cent, differences in the unit, rounding as none.
        (1.021, 1.0, Claim(0.1, ""), "+2.1 %"),
        (0.9, 1.0, Claim(0.1, ""), "−10 %"),
        (1.0 + 1e-12, 1.0, Claim(0.1, ""), "0"),
        (0.0012, 0.001, Claim(0.001, "", relative=False), "+0.2 ms"),
        (-0.002, 0.0, Claim(0.001, "", relative=False), "−2 ms"),
        (0.0, 0.0, Claim(0.001, "", relative=False), "0"),
    ],
)
def test_deviations_are_written_as_the_claim_is(
    ours: float, theirs: float, claim: Claim, written: str
) -> None:
    assert write_deviation(check(ours, theirs, claim)) == written


def test_claims_are_written() -> None:
    assert write_claim(Claim(0.035, ""), "Pa s") == "3.5 %"
    assert write_claim(Claim(1e-9, ""), "Pa s") == "rounding"
    assert write_claim(Claim(2e-5, "", relative=False), "s") == "20 µs"
