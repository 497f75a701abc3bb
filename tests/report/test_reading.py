"""Pages read back: the tables that they show, under names of their own."""

from __future__ import annotations

import pytest

from jitter.answers.run import RunAnswer
from jitter.report.html import page, paragraphs, section, table
from jitter.report.page import run_page
from jitter.report.reading import LONGEST, read_page
from jitter.report.values import NOT_USED

HOSTILE = "</table></div><!-- CSV --><script>alert(1)</script> \"'&amp; \u05e9\u05dc\u05d5\u05dd"


def shown(*body: str, findings: tuple[str, ...] = ()) -> str:
    return page(heading=HOSTILE, about="", findings=findings, warnings=(), body=list(body))


def test_reads_what_the_page_was_made_of() -> None:
    rows = (("a", HOSTILE), ("", "≈ 0"))
    html = shown(
        section("Keepers", paragraphs(("Between.",)) + table((HOSTILE, "x"), rows)),
        findings=("First.", "Second."),
    )
    read = read_page(html)
    assert (read.title, read.findings) == (HOSTILE, ("First.", "Second."))
    ((name, heading, headers, cells),) = read.tables
    assert (name, heading, headers, cells) == ("keepers", "Keepers", (HOSTILE, "x"), rows)


def test_finds_every_table_of_a_real_page(barn: RunAnswer) -> None:
    html = run_page(barn)
    read = read_page(html)
    assert len(read.tables) == html.count("<table") >= 5
    assert [table.heading for table in read.tables][:2] == ["Keepers", "Why the rest miss"]
    assumed, resting = read.tables[-2:]
    entries = barn.study.entries
    told = {table: [row[0] for row in table.rows] for table in (assumed, resting)}
    # Every value in its order, once: what has a part, and folded what has none.
    assert told[assumed] == [key for key in entries if key not in told[resting]]
    assert told[resting] == [key for key in entries if key not in told[assumed]]
    assert all(row[1] != NOT_USED for row in assumed.rows)
    assert {row[1] for row in resting.rows} == {"not given", "not used"}


def test_a_list_without_headings_is_no_table() -> None:
    listed = '<div class="scroll"><table><tbody><tr><th>a</th></tr></tbody></table></div>'
    told = table(("x",), (("1",),))
    read = read_page(shown(section("One", listed + told + listed)))
    assert [table.rows for table in read.tables] == [(("1",),)]


@pytest.mark.parametrize(
    ("headings", "names"),
    [
        (("The age", "The age"), ["the-age", "the-age-2"]),
        # The third would be the second's name.
        (("The age", "The age", "The age 2"), ["the-age", "the-age-2", "the-age-2-table"]),
        (("../../etc/passwd", "\u05e9\u05dc\u05d5\u05dd", ""), ["etc-passwd", "table", "table-2"]),
        (("=cmd|' /C calc'!A1", "x" * 10_000), ["cmd-c-calc-a1-table", "x" * LONGEST]),
    ],
)
def test_names_are_safe_and_differ(headings: tuple[str, ...], names: list[str]) -> None:
    body = [section(heading, table(("x",), ())) for heading in headings]
    assert [table.name for table in read_page(shown(*body)).tables] == names
