"""Read a page of ours back: its title, its findings, its tables.

What stands in a page is said once, where the page is made; whatever is written beside it, such as
its tables for spreadsheets, is read off the finished page and so cannot say anything else.
"""

from __future__ import annotations

import re
from collections import Counter
from html.parser import HTMLParser
from typing import NamedTuple

LONGEST = 60
"""Letters of a table's name."""
KEPT = ("h1", "h2", "h3", "h4", "th", "td", "p")


class PageTable(NamedTuple):
    """A table as a page shows it, with its headings.

    Attributes
    ----------
    name
        Small letters, digits and hyphens from the words above it, like no other of the page.
    heading
        Those words.
    headers
        Of its columns.
    rows
        Its cells.
    """

    name: str
    heading: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Reading(NamedTuple):
    """What was read off a page: its title, its findings, its tables from top to bottom."""

    title: str
    findings: tuple[str, ...]
    tables: tuple[PageTable, ...]


def read_page(html: str) -> Reading:
    """Return the title, the findings and the tables of a page of ours.

    Parameters
    ----------
    html
        The page, as `jitter.report.html` builds it.

    Examples
    --------
    >>> html = "<h2>Keepers</h2><table><thead><tr><th>share</th></tr></thead></table>"
    >>> read_page(html).tables
    (PageTable(name='keepers', heading='Keepers', headers=('share',), rows=()),)
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    taken: Counter[str] = Counter()
    tables = []
    for heading, rows in reader.tables:
        slug = _slug(heading)
        taken[slug] += 1
        name = slug if taken[slug] == 1 else f"{slug}-{taken[slug]}"
        head, *body = rows
        tables.append(PageTable(name, heading, tuple(head), tuple(map(tuple, body))))
    return Reading(reader.title, tuple(reader.findings), tuple(tables))


def _slug(words: str) -> str:
    """Return words as a name that every file system and every address takes."""
    slug = re.sub(r"[^a-z0-9]+", "-", words.lower())[:LONGEST].strip("-")
    # A name that ends in a number could be that of another table's second.
    return f"{slug}-table".strip("-") if not slug or slug[-1].isdigit() else slug


class _Reader(HTMLParser):
    """Goes through a page and keeps the words of what it looks for."""

    def __init__(self) -> None:
        super().__init__()
        self.title = self._heading = self._within = ""
        self.findings: list[str] = []
        self.tables: list[tuple[str, list[list[str]]]] = []
        self._rows: list[list[str]] | None = None
        self._words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin what is looked for."""
        if tag == "thead":
            # What has no headings is a list set in columns, not a table.
            self._rows = []
            self.tables.append((self._heading, self._rows))
        elif tag == "tr" and self._rows is not None:
            self._rows.append([])
        elif tag in KEPT:
            finding = tag == "p" and ("class", "finding") in attrs
            self._within = "finding" if finding else tag
            self._words = []

    def handle_data(self, data: str) -> None:
        """Keep words."""
        if self._within:
            self._words.append(data)

    def handle_endtag(self, tag: str) -> None:
        """Put the words where they belong."""
        if tag == "table":
            self._rows = None
        if tag not in KEPT:
            return
        words = " ".join("".join(self._words).split())
        if tag == "h1":
            self.title = words
        elif tag in ("h2", "h3", "h4"):
            self._heading = words
        elif tag in ("th", "td") and self._rows:
            self._rows[-1].append(words)
        elif self._within == "finding":
            self.findings.append(words)
        self._within = ""
