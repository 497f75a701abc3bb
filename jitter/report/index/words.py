"""What screen, page and document of the index say alike."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

from jitter.answers.hits import WAYS
from jitter.errors import plain
from jitter.report.card import Card, Rate
from jitter.report.html import UNTITLED
from jitter.report.index.cards import Leaf
from jitter.report.index.versions import Family, Version, apart
from jitter.units.writing import write_percent

LONGEST = 120
"""Letters of a title in a list."""
SAID = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}
COMMANDS = {"validation": "validate", "reference": "quantities"}
ASKED = {
    "run": "keepers and misses",
    "rank": "which tolerance matters most",
    "require": "how precisely it must be set",
    "tune": "which settings are best",
    "power": "which flash power",
    "compare": "studies compared",
    "explain": "what a log says",
    "fit": "measurements turned into a study",
    "plan": "frames and time for so many keepers",
    "show": "the study as it will be run",
    "reference": "everything a study may say",
}
"""By question: what its pages are about."""
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
COLUMNS = 8
"""Versions of a study side by side at the most: what a page has room for."""


def letter(place: int) -> str:
    """Return the letter of a version, 0 for the newest; after Z comes AA."""
    before, last = divmod(place, len(LETTERS))
    return (letter(before - 1) if before else "") + LETTERS[last]


def short(title: str) -> str:
    """Return a title for a list: an endless one is cut in the middle."""
    return plain(title, LONGEST) or UNTITLED


def command(card: Card) -> str:
    """Return the command that made a page."""
    return f"jitter {COMMANDS.get(card.question, card.question)}" if card.question else "jitter"


def title(card: Card) -> str:
    """Return a page's title for a list, with what was asked of that study."""
    asked = ASKED.get(card.question)
    return f"{short(card.title)}: {asked}" if asked else short(card.title)


def when(made: datetime | None) -> str:
    """Write when a page was made, on the clock of whoever made it."""
    return f"{made.day} {made:%B %Y, %H:%M}" if made else "time not told"


def about(leaf: Leaf) -> str:
    """Return command, time, study and seed of a page on a line."""
    card = leaf.card
    parts = [command(card), when(card.made)]
    if card.digests:
        word = "study" if len(card.digests) == 1 else "studies"
        parts.append(f"{word} {' and '.join(card.digests)}")
    if card.seed is not None:
        parts.append(f"seed {card.seed}")
    return ", ".join(parts)


def findings(leaves: tuple[Leaf, ...], found: tuple[Family, ...]) -> list[str]:
    """Say how many pages there are, and of how many studies several versions."""
    count = len(leaves)
    said = ["One page." if count == 1 else f"{count} pages, the newest first."]
    several = sum(len(family.versions) > 1 for family in found)
    if several:
        one = several == 1
        said.append(
            f"{'One study has' if one else f'{several} studies have'} changed from page to page:"
            " what changed, and the keepers before and after, are side by side below."
        )
    return said


def write_interval(rate: Rate) -> str:
    """Write the interval of a rate."""
    return f"{write_percent(rate.low)[:-2]} to {write_percent(rate.high)}"


def rate_rows(family: Family) -> list[tuple[str, ...]]:
    """Return a row for each page that tells keepers: version, file, rates and intervals, seed."""
    rows = []
    for place, version in enumerate(family.versions):
        for leaf in version.leaves:
            if leaf.card.rates:
                said = []
                for way in WAYS:
                    rate = leaf.card.rates.get(way)
                    said += [write_percent(rate.value), write_interval(rate)] if rate else ["", ""]
                seed = "" if leaf.card.seed is None else str(leaf.card.seed)
                rows.append((letter(place), leaf.file, *said, seed))
    return rows


def changes(family: Family) -> list[str]:
    """Say in sentences how the keepers went from each version to the newer one."""
    rated = [
        (letter(place), version.rated.card)
        for place, version in enumerate(family.versions)
        if version.rated is not None
    ]
    said = []
    for (new, after), (old, before) in pairwise(rated):
        for way in WAYS:
            if way in after.rates and way in before.rates:
                was, now = before.rates[way], after.rates[way]
                sure = (
                    "the intervals lie apart"
                    if apart(was, now)
                    else "the intervals overlap, so that it may be luck"
                )
                said.append(
                    f"From {old} to {new}, {SAID[way]}: {write_percent(was.value)} to"
                    f" {write_percent(now.value)} keepers; {sure}."
                )
    return said


def described(version: Version) -> str:
    """Return a version's digest and its files."""
    return f"study {version.digest}: {', '.join(leaf.file for leaf in version.leaves)}"
