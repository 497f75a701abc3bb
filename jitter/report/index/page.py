"""The index of a folder of pages as a page."""

from __future__ import annotations

from html import escape
from urllib.parse import quote

from jitter.answers.hits import WAYS
from jitter.report.html import page, paragraphs, section, table
from jitter.report.index.cards import Leaf
from jitter.report.index.versions import Family, families
from jitter.report.index.words import (
    COLUMNS,
    SAID,
    about,
    changes,
    described,
    findings,
    letter,
    rate_rows,
    short,
    title,
)

NOTE = (
    "A is the newest. Pages of different draws differ by luck too; jitter compare fires two study"
    " files on the same draws, and tells much smaller differences."
)


def index_page(leaves: tuple[Leaf, ...]) -> str:
    """Return the index as HTML that needs no network and no script.

    Parameters
    ----------
    leaves
        The pages of a folder, newest first; the links lead to files beside the index.
    """
    found = families(leaves)
    return page(
        heading="Pages of this folder",
        about="made by jitter",
        findings=findings(leaves, found),
        warnings=(),
        body=[
            section("All pages", "".join(_entry(leaf) for leaf in leaves)),
            *([section("The same study side by side", _families(found))] if found else []),
        ],
    )


def _entry(leaf: Leaf) -> str:
    finding = f'<p dir="auto">{escape(leaf.card.finding)}</p>' if leaf.card.finding else ""
    return (
        f'<article class="card"><h3 dir="auto"><a href="{escape(quote(leaf.file))}">'
        f"{escape(title(leaf.card))}</a></h3>{finding}"
        f'<p class="source">{escape(about(leaf))}, <bdi>{escape(leaf.file)}</bdi></p></article>'
    )


def _families(found: tuple[Family, ...]) -> str:
    return paragraphs((NOTE,)) + "".join(_family(family) for family in found)


def _family(family: Family) -> str:
    shown = family.versions[:COLUMNS]
    heading = f'<h3 dir="auto">{escape(short(family.title))}</h3>'
    items = "".join(
        f"<li>{letter(place)}: <bdi>{escape(described(version))}</bdi></li>"
        for place, version in enumerate(shown)
    )
    return f'{heading}<ul class="source">{items}</ul>{_differing(family)}{_answers(family)}'


def _differing(family: Family) -> str:
    if len(family.versions) == 1:
        return paragraphs(
            ("The study is the same in all; what differs is the question or the seed.",)
        )
    shown = family.versions[:COLUMNS]
    rows = [row[: 1 + len(shown)] for row in family.differing]
    headers = ("quantity", *(letter(place) for place in range(len(shown))))
    left = len(family.versions) - len(shown)
    note = (f"{left} older ones are not shown.",) if left else ()
    return "<h4>What changed in the study</h4>" + table(headers, rows) + paragraphs(note)


def _answers(family: Family) -> str:
    rows = rate_rows(family)
    if not rows:
        return paragraphs(("None of these pages tells the share of keepers.",))
    headers = ["", "page"]
    for way in WAYS:
        headers += [SAID[way], "sure to 95 %"]
    shown = table((*headers, "seed"), rows)
    return f"<h4>What changed in the answer</h4>{shown}{paragraphs(changes(family))}"
