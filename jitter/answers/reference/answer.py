"""The answer to `jitter quantities`: what a study may say, or that part of it asked for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Self

from jitter.answers.reference.items import Item, every_item
from jitter.errors import Fault, MistakeError
from jitter.stage import Chain
from jitter.study.names import NEAR

WRITING = (
    *("nominal", "setup", "shot", "alike", "drift", "basis"),
    *("sd", "within", "triangular", "arcsine", "lognormal", "truncated", "spread", "spreads"),
)
"""Words of how any value may be written, to which no single one answers."""


class Told(tuple[Item, ...]):
    """Values that are told, and whether it was asked how the parts of any value are written.

    Parameters
    ----------
    items
        The values, section by section.
    writing
        Whether that was asked.
    """

    writing: bool

    def __new__(cls, items: Iterable[Item], *, writing: bool = False) -> Self:
        """Return them."""
        told = super().__new__(cls, items)
        told.writing = writing
        return told


def reference(chain: Chain, words: Iterable[str] = ()) -> Told:
    """Return what a study may say, section by section.

    Parameters
    ----------
    chain
        The stages whose declarations say what a study may hold.
    words
        Each a section, a key, or a word that begins a part of a key, of an option or of a
        meaning; everything where there is none. Or one of `WRITING`.

    Returns
    -------
    Told
        The top of the file first, then the sections in the order of the shot.

    Raises
    ------
    MistakeError
        With every word that nothing here answers to.
    """
    items = every_item(chain)
    wanted: set[str] = set()
    faults = []
    writing = False
    for word in words:
        asked = word.strip().lower() in WRITING
        writing = writing or asked
        found = {item.key for item in _answering(items, word)}
        wanted |= found
        if not found and not asked:
            wrong, right = "nothing a study may say goes by this word", _hint(items, word)
            faults.append(Fault("jitter quantities", None, word.strip() or "''", wrong, right))
    if faults:
        raise MistakeError(faults)
    if not wanted and not writing:
        return Told(items)
    return Told((item for item in items if item.key in wanted), writing=writing)


def _answering(items: Sequence[Item], word: str) -> list[Item]:
    """Return the items of a section or of a full key, or else those in which a word begins so."""
    plain = " ".join(word.lower().split()).strip("[].")
    if not plain:
        return []
    exact = [item for item in items if plain in (item.section, *item.keys)]
    return exact or [item for item in items if any(name.startswith(plain) for name in _said(item))]


def _said(item: Item) -> list[str]:
    """Return the names by which an item goes, and every word in them, its meaning and options."""
    text = " ".join((*item.keys, item.meaning, *item.options)).lower()
    return [*item.names, *item.options, *re.split(r"[^\w']+|_", text)]


def _hint(items: Sequence[Item], word: str) -> str:
    sections = list(dict.fromkeys(item.section for item in items if item.section))
    known = [*sections, *(name for item in items for name in (*item.names, *item.keys))]
    near = get_close_matches(word.lower(), known, n=1, cutoff=NEAR)
    return f"did you mean {near[0]}?" if near else f"sections are: {', '.join(sections)}"
