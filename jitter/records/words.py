"""Read the word in a cell: one of a few, however it is spelt."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from jitter.errors import RefusedError, plain, shown

NEAR = 0.6
"""Words less alike than this are no hint."""
LONGEST = 40
"""Letters; longer texts are near no word."""


class Words:
    """The words that a column takes.

    Parameters
    ----------
    words
        As they are called here.
    also
        Other words for them.
    asked
        Words that leave open which is meant, each with the question to ask.

    Examples
    --------
    >>> Words(["keeper", "umbrella late"], {"hit": "keeper"}).read("Umbrella-Late")
    'umbrella late'
    """

    def __init__(
        self,
        words: Sequence[str],
        also: Mapping[str, str] | None = None,
        asked: Mapping[str, str] | None = None,
    ) -> None:
        self._words = tuple(words)
        meant = {**{word: word for word in words}, **(also or {})}
        self._meant = {_key(word): word for word in meant.values()}
        self._meant |= {_key(word): meaning for word, meaning in meant.items()}
        self._asked = {_key(word): question for word, question in (asked or {}).items()}
        self._spelt = {_key(word): word for word in (*meant, *(asked or {}))}
        self._refused: dict[str, RefusedError] = {}

    def read(self, text: str) -> str:
        """Return the word that a text means.

        Raises
        ------
        RefusedError
            If it means none, with the nearest.
        """
        key = _key(text)
        if key in self._meant:
            return self._meant[key]
        if key not in self._refused:
            self._refused[key] = self._refusal(text, key)
        raise self._refused[key]

    def _refusal(self, text: str, key: str) -> RefusedError:
        if key in self._asked:
            return RefusedError(f"{shown(text)} leaves open what it means", self._asked[key])
        near = get_close_matches(key, self._spelt, n=1, cutoff=NEAR) if len(key) < LONGEST else []
        if near:
            guess = f'did you mean "{self._spelt[near[0]]}"?'
            if near[0] in self._asked:
                guess = f"{guess} {self._asked[near[0]]}"
            return RefusedError(f"{shown(text)} is not known here", guess)
        listed = plain(", ".join(self._words), 220)
        return RefusedError(f"{shown(text)} is not known here", f"write one of: {listed}")


def _key(text: str) -> str:
    return re.sub(r"[\s_-]+", "", text.casefold()).rstrip(".!")
