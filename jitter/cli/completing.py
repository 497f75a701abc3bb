"""What a shell offers for a word begun on the command line: keys of a study and what they mean."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

Offer = tuple[str, str]
"""A word, and what it means for shells that show it."""


class _Key(NamedTuple):
    """A key of a study, what it means, whether spreads can be given, whether anything is drawn."""

    key: str
    meaning: str
    spreads: bool
    drawn: bool


def offer_settings(incomplete: str) -> list[Offer]:
    """Return what may be set by ``--set KEY=VALUE``; where one key alone fits, its spreads too.

    Parameters
    ----------
    incomplete
        What was typed.

    Examples
    --------
    >>> [word for word, _ in offer_settings("sensor.h")]
    ['sensor.height=', 'sensor.height.setup=', 'sensor.height.shot=']
    """
    fitting = [
        one
        for one in _keys()
        if one.key.startswith(incomplete) or incomplete.startswith(f"{one.key}.")
    ]
    offers = [(f"{one.key}=", one.meaning) for one in fitting]
    if len(fitting) == 1 and fitting[0].spreads:
        key, meaning, *_ = fitting[0]
        offers += [
            (f"{key}.setup=", f"spread with each set-up: {meaning}"),
            (f"{key}.shot=", f"spread from shot to shot: {meaning}"),
        ]
    return offers


def offer_quantities(incomplete: str) -> list[Offer]:
    """Return what can stray, for a question about a spread.

    Parameters
    ----------
    incomplete
        What was typed.
    """
    return [
        (one.key, one.meaning) for one in _keys() if one.drawn and one.key.startswith(incomplete)
    ]


def offer_words(incomplete: str) -> list[Offer]:
    """Return sections and keys, for `jitter quantities`.

    Parameters
    ----------
    incomplete
        What was typed.

    Examples
    --------
    >>> [word for word, _ in offer_words("sh")]
    ['sheet', 'sheet.spread_scale']
    """
    fitting = [one for one in _keys() if one.key.startswith(incomplete)]
    sections = dict.fromkeys(one.key.partition(".")[0] for one in fitting)
    return [
        *((section, "the whole section") for section in sections if section.startswith(incomplete)),
        *((one.key, one.meaning) for one in fitting),
    ]


def _keys() -> Iterator[_Key]:
    """Yield every key under which a study may give a value."""
    # Imported here so that --help is answered at once.
    from jitter.quantities import Kind, Quantity
    from jitter.stages import CHAIN

    for key, declared in CHAIN.declarations.items():
        if not isinstance(declared, Quantity):
            yield _Key(key, declared.meaning, spreads=False, drawn=False)
            continue
        drawn = declared.kind is not Kind.SETTING
        yield _Key(key, declared.meaning, declared.strays, drawn)
        if declared.diameter_key:
            yield _Key(declared.diameter_key, declared.meaning, declared.strays, drawn)
