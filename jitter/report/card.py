"""What a page says of itself for programs: a card in it, from which the index is made.

The card is a block of data that no browser runs; the page reads the same without it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from jitter import __version__
from jitter.report.html import PAGE_END, one_line

SCHEMA = "jitter.page/1"
OPENING = '<script type="application/json" id="card">'
CLOSING = "</script>"
BLOCK = re.compile(rf"{re.escape(OPENING)}(.*?){CLOSING}\n?{re.escape(PAGE_END)}\Z", re.DOTALL)


@dataclass(frozen=True)
class Rate:
    """A share of keepers and its interval, fractions of 1."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Card:
    """A page in short.

    Attributes
    ----------
    question
        The folder of the report that made it.
    title, finding
        Its heading, and the sentences under it that answer the question.
    made
        When, with the zone of whoever made it; None where it does not say.
    digests
        Of the studies it is about.
    seed
        Of its draws; None where there are none.
    values
        Of its study as the page shows them, by key; empty where it is about none, or several.
    rates
        Keepers of that study by way, where the page tells them.
    """

    question: str
    title: str
    finding: str
    made: datetime | None = None
    digests: tuple[str, ...] = ()
    seed: int | None = None
    values: Mapping[str, str] = field(default_factory=dict)
    rates: Mapping[str, Rate] = field(default_factory=dict)


def write_card(card: Card) -> str:
    """Return the block that holds a card: JSON in which nothing can end the block.

    Parameters
    ----------
    card
        Of the page that it goes into.
    """
    told = {
        "schema": SCHEMA,
        "jitter": __version__,
        "question": card.question,
        "title": card.title,
        "finding": card.finding,
        "made": card.made.isoformat(timespec="seconds") if card.made else None,
        "digests": card.digests,
        "seed": card.seed,
        "values": dict(card.values),
        "rates": {way: vars(rate) for way, rate in card.rates.items()},
    }
    text = json.dumps(told, allow_nan=False)
    # Written as escapes, since a browser ends the block wherever it sees its end.
    for letter in "<>&":
        text = text.replace(letter, f"\\u{ord(letter):04x}")
    return f"{OPENING}{text}{CLOSING}\n"


def read_card(html: str) -> Card | None:
    """Return the card in a page; None where there is none that can be read.

    Parameters
    ----------
    html
        A page, perhaps from elsewhere: nothing in it is taken on trust.
    """
    found = BLOCK.search(html)
    try:
        told = json.loads(found[1]) if found else {}
        return _judged(told) if told.get("schema") == SCHEMA else None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _judged(told: Mapping[str, Any]) -> Card:
    made = datetime.fromisoformat(told["made"]) if told["made"] else None
    seed = told["seed"]
    return Card(
        question=_text(told["question"]),
        title=_text(told["title"]),
        finding=_text(told["finding"]),
        # A time that names no zone cannot be put in order with others.
        made=made if made is None or made.tzinfo else made.astimezone(),
        digests=tuple(_text(digest) for digest in told["digests"]),
        seed=None if seed is None else int(seed),
        values={_text(key): _text(value) for key, value in told["values"].items()},
        rates={way: _rate(rate) for way, rate in told["rates"].items()},
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return one_line(value)


def _rate(told: Mapping[str, Any]) -> Rate:
    rate = Rate(*(float(told[name]) for name in ("value", "low", "high")))
    if not 0.0 <= rate.low <= rate.value <= rate.high <= 1.0:
        raise ValueError
    return rate
