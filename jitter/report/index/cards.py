"""The pages of ours in a folder, newest first."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from pathlib import Path
from typing import NamedTuple

from jitter.errors import Fault, MistakeError
from jitter.report.card import Card, read_card
from jitter.report.html import UNTITLED, one_line
from jitter.report.target import STAMP

OURS = "index"
"""Question of the index itself, which does not name itself."""
LARGEST = 50_000_000
"""Bytes of a page that are read; the largest of ours has a few million."""
BEFORE = datetime.min.replace(tzinfo=UTC)
"""Where a page stands that does not say when it was made: last."""


class Leaf(NamedTuple):
    """A page of the folder: its file's name, and what it says of itself."""

    file: str
    card: Card


def gather(folder: Path) -> tuple[Leaf, ...]:
    """Return the pages of ours in a folder, newest first.

    Parameters
    ----------
    folder
        What is in folders within it is left alone, and so is what others made.

    Raises
    ------
    MistakeError
        If it cannot be read or holds no page of ours.
    """
    try:
        files = sorted(
            path for path in folder.iterdir() if path.suffix.lower() in (".html", ".htm")
        )
    except OSError:
        files = []
    leaves = [leaf for leaf in map(_leaf, files) if leaf and leaf.card.question != OURS]
    if not leaves:
        wrong = "there is no page of jitter's in it"
        right = "name the folder of your pages, or make one: jitter run STUDY"
        raise MistakeError([Fault("FOLDER", None, str(folder), wrong, right)])
    # The sort keeps the order of names among pages of one moment.
    return tuple(sorted(leaves, key=lambda leaf: leaf.card.made or BEFORE, reverse=True))


def _leaf(path: Path) -> Leaf | None:
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return None
        html = path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return None
    if STAMP not in html[:2000]:
        return None
    return Leaf(path.name, read_card(html) or _plain_card(html))


def _plain_card(html: str) -> Card:
    """Return what can be said of a page that holds no card: the title of its window."""
    found = re.search(r"<title>([^<]*)</title>", html)
    return Card("", one_line(unescape(found[1])) if found else UNTITLED, "")
