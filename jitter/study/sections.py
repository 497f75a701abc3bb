"""Judge the names in a study: its sections and their keys, misspelt ones as what they are near."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import Any

from jitter.errors import shown
from jitter.quantities import Quantity
from jitter.stage import Chain
from jitter.study.entries import nearest
from jitter.study.names import either, namesakes

TOP = ("version", "title", "seed")
"""What stands above the sections."""

Place = Callable[[str, str, str], None]
"""Takes a key, what is wrong with it and what would be right."""


def judge_names(
    document: Mapping[str, Any], chain: Chain, place: Place
) -> tuple[dict[str, Any], dict[str, str]]:
    """Judge every name, and put what stands in a misspelt section where it belongs.

    Parameters
    ----------
    document
        As it was parsed.
    chain
        The stages whose declarations say what a study may hold.
    place
        Called for each fault.

    Returns
    -------
    document : dict
        With a misspelt section's values under its right name, so that they are judged too.
    written : dict
        By right key, under what name such a value stands in the text.
    """
    keys = known_keys(chain)
    sections = list(dict.fromkeys(key.split(".")[0] for key in keys))
    judged: dict[str, Any] = {}
    written: dict[str, str] = {}
    for name, content in document.items():
        if name in TOP:
            judged[name] = content
            continue
        section = name
        if name not in sections and not isinstance(content, Mapping):
            place(name, f"there is no key {shown(name)} at the top", _top_hint(name, keys))
            continue
        if name not in sections:
            section = next(iter(get_close_matches(name.lower(), sections, n=1, cutoff=0.55)), "")
            elsewhere = namesakes(name, keys)
            hint = f"did you mean {either(elsewhere)}?" if elsewhere else nearest(name, sections)
            place(name, f"there is no section [{name}]", hint)
            if elsewhere or not section:
                continue
        if not isinstance(content, Mapping):
            place(name, f"{name} is a section", f"write [{name}] on a line of its own")
            continue
        known = [key.split(".")[1] for key in keys if key.split(".")[0] == section]
        for one in content:
            if one not in known:
                wrong = f"there is no {shown(one)} here"
                place(f"{name}.{one}", wrong, _hint(one, section, known, keys))
        there = judged.get(section, {})
        if name != section:
            written |= {f"{section}.{one}": f"{name}.{one}" for one in content.keys() - there}
        judged[section] = {**content, **there} if name != section else {**there, **content}
    return judged, written


def known_keys(chain: Chain) -> dict[str, str]:
    """Return every key that a study may hold, with the key of the declaration it belongs to.

    Parameters
    ----------
    chain
        The stages whose declarations say what a study may hold.
    """
    keys = {key: key for key in chain.declarations}
    for key, declared in chain.declarations.items():
        if isinstance(declared, Quantity) and declared.diameter_key:
            keys[declared.diameter_key] = key
    return keys


def _top_hint(name: str, keys: Mapping[str, str]) -> str:
    if name in keys:
        return f"write {name} without quotes"
    elsewhere = namesakes(name, keys)
    if elsewhere:
        return f"did you mean {either(elsewhere)}?"
    near = get_close_matches(name.lower(), TOP, n=1, cutoff=0.55)
    known = f"known here: {', '.join(TOP)}; all else stands under a [section]"
    return f"did you mean {near[0]}?" if near else known


def _hint(name: str, section: str, known: list[str], keys: Mapping[str, str]) -> str:
    elsewhere = namesakes(name, keys, section)
    return f"did you mean {either(elsewhere)}?" if elsewhere else nearest(name, known)
