"""The words of a log's verdicts, and other words that mean the same."""

from __future__ import annotations

from collections.abc import Mapping

from jitter.records.words import Words
from jitter.stages.look import LOOKS

SYNONYMS: Mapping[str, str] = {
    "black": "dark",
    "no light": "dark",
    "no flash": "dark",
    "nothing": "nothing there",
    "empty": "nothing there",
    "no drop": "nothing there",
    "one drop": "one drop in the air",
    "single drop": "one drop in the air",
    "drop only": "one drop in the air",
    "column": "column only",
    "jet": "column only",
    "jet only": "column only",
    "drop above": "drop above the column",
    "drop above the jet": "drop above the column",
    "merged": "merged without a sheet",
    "no sheet": "merged without a sheet",
    "no umbrella": "merged without a sheet",
    "early": "umbrella early",
    "late": "umbrella late",
    "crooked": "lopsided",
    "off centre": "lopsided",
    "off center": "lopsided",
    "double image": "two images",
    "ghost": "two images",
    "overexposed": "wrong exposure",
    "underexposed": "wrong exposure",
    "too bright": "wrong exposure",
    "smear": "smeared",
    "motion blur": "smeared",
    "out of focus": "soft",
    "unsharp": "soft",
    "hit": "keeper",
    "keep": "keeper",
    "good": "keeper",
    "ok": "keeper",
    "okay": "keeper",
    "yes": "keeper",
}
"""Plain English for the looks; common practice, no source."""

ASKED: Mapping[str, str] = {
    "blurred": 'write "smeared" if it moved, "soft" if it was out of focus',
    "blurry": 'write "smeared" if it moved, "soft" if it was out of focus',
    "too dark": 'write "dark" if nothing is seen, "wrong exposure" if something is',
    "drop": 'write "one drop in the air" or "drop above the column"',
    "umbrella": 'write "umbrella early", "umbrella late" or "keeper"',
    "double": 'write "two images", or what the frame shows',
    **dict.fromkeys(
        ("miss", "bad", "no", "fail", "failed", "reject"),
        'write what the frame shows, such as "umbrella late"',
    ),
}
"""Words that leave open which look is meant, each with the question to ask."""

VERDICTS = Words(LOOKS, SYNONYMS, ASKED)
