"""The pieces that our pages are built of: the frame, sections, tables, figures."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from jitter.report.page_style import STYLE
from jitter.report.safety import CAUTIONS
from jitter.report.sorting import LOOK, RANKING, SCRIPT, policy
from jitter.report.target import STAMP

SHORT = 10
"""Letters of a cell that is not to be broken."""
UNTITLED = "Untitled"
COLUMNS_NAMED = 3
"""So many headings say what a table is about."""
CSV_PLACE = "<!-- CSV -->"
"""Where a table's link to itself as CSV goes, once it is known where the page goes."""
PAGE_END = "</main></body></html>\n"


def page(
    *, heading: str, about: str, findings: Iterable[str], warnings: Iterable[str], body: list[str]
) -> str:
    """Return a whole page: HTML that needs no network, and no script to be read.

    Parameters
    ----------
    heading
        Its title, a user's text.
    about
        What the page is, for the line above the title and the title of the window.
    findings
        Plain sentences that stand first.
    warnings
        Sentences marked as warnings after them; one that is a finding too is not said twice.
    body
        HTML of the sections.
    """
    title = one_line(heading) or UNTITLED
    sections, look, said = list(body), STYLE, list(findings)
    if any(f'class="{RANKING}"' in content for content in sections):
        sections.append(f"<script>{SCRIPT}</script>")
        look += LOOK
    parts = [
        "<!doctype html>",
        f'<html lang="en"><head><meta charset="utf-8">{STAMP}',
        f'<meta http-equiv="Content-Security-Policy" content="{policy()}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title[:200])}: {escape(about)}</title><style>{look}</style></head>",
        f'<body><main><p class="source">{escape(about[:1].upper() + about[1:])}</p>',
        f'<h1 dir="auto">{escape(title)}</h1>',
        *(f'<p class="finding">{escape(sentence)}</p>' for sentence in said),
        *(
            f'<p class="warning"><strong>Warning.</strong> {escape(warning)}</p>'
            for warning in warnings
            if warning not in said
        ),
        *sections,
        PAGE_END,
    ]
    return "\n".join(parts)


def one_line(text: str) -> str:
    """Return a user's text on one line; control characters have no place in a page."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def section(title: str, content: str, *, name: str = "") -> str:
    """Return a section; `content` is HTML, `name` lets a link lead to it."""
    mark = f' id="{escape(name)}"' if name else ""
    return f"<section{mark}><h2>{escape(title)}</h2>{content}</section>"


def contents(links: Iterable[tuple[str, str]]) -> str:
    """Return links to the sections of a long page: the name and the words of each."""
    items = " ".join(f'<a href="#{escape(name)}">{escape(words)}</a>' for name, words in links)
    return f'<nav aria-label="On this page">{items}</nav>'


def figure(svg: str) -> str:
    """Return a figure."""
    return f"<figure>{svg}</figure>"


def paragraphs(sentences: Iterable[str]) -> str:
    """Return plain sentences as a paragraph each."""
    return "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)


def table(headers: Iterable[str], rows: Iterable[Iterable[str]], *, kind: str = "") -> str:
    """Return a table of a kind that the style knows; the first cell of a row is its heading."""
    named = list(headers)
    head = "".join(f'<th scope="col">{escape(one)}</th>' if one else "<td></td>" for one in named)
    body = []
    for row in rows:
        first, *rest = row
        cells = "".join(_cell(cell) for cell in rest)
        # Who listens to a page is told of a heading that says nothing.
        named_row = f'<th scope="row">{escape(first)}</th>' if first else "<td></td>"
        body.append(f"<tr>{named_row}{cells}</tr>")
    joined = "\n".join(body)
    about = ", ".join(filter(None, named[:COLUMNS_NAMED]))
    return (
        scrolling(
            f'<table class="{kind}"><thead><tr>{head}</tr></thead><tbody>{joined}</tbody></table>',
            about=f"table: {about}",
        )
        + CSV_PLACE
    )


def scrolling(content: str, *, about: str) -> str:
    """Return HTML in a box that can be scrolled sideways, by keys too; `about` names it."""
    label = escape(about)
    return f'<div class="scroll" tabindex="0" role="group" aria-label="{label}">{content}</div>'


def _cell(text: str) -> str:
    """Return a cell; a number and its unit stay on one line."""
    mark = ' class="short"' if len(text) <= SHORT else ""
    return f"<td{mark}>{escape(text)}</td>"


def cautions() -> str:
    """Return the cautions that belong on every page."""
    items = "".join(f"<li>{escape(caution)}</li>" for caution in CAUTIONS)
    return section("Working safely", f"<ul>{items}</ul>")
