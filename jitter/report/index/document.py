"""The index as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter import __version__
from jitter.report.card import Card
from jitter.report.index.cards import Leaf
from jitter.report.index.versions import families

SCHEMA = "jitter.index/1"


def index_document(leaves: tuple[Leaf, ...]) -> dict[str, Any]:
    """Return the index as plain objects; what a page does not tell is None or empty.

    Parameters
    ----------
    leaves
        The pages of a folder, newest first.
    """
    return {
        "schema": SCHEMA,
        "jitter": __version__,
        "pages": [{"file": leaf.file, **_card(leaf.card)} for leaf in leaves],
        "studies": [
            {
                "title": family.title,
                "versions": [
                    {"digest": version.digest, "files": [leaf.file for leaf in version.leaves]}
                    for version in family.versions
                ],
                "differing": {key: list(values) for key, *values in family.differing},
            }
            for family in families(leaves)
        ],
    }


def _card(card: Card) -> dict[str, Any]:
    return {
        "question": card.question or None,
        "title": card.title,
        "finding": card.finding,
        "made": card.made.isoformat(timespec="seconds") if card.made else None,
        "digests": list(card.digests),
        "seed": card.seed,
        "hit_rate": {way: vars(rate) for way, rate in card.rates.items()},
    }
