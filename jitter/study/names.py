"""Which value of a study a name means."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from jitter.quantities import Quantity
from jitter.study.study import Study

NEAR = 0.75
"""Names less alike than this are no hint."""


def key_meant(study: Study, name: str) -> str:
    """Return the key of the value that a name means, empty if it means none.

    Parameters
    ----------
    study
        The rig.
    name
        ``section.key``; a drop's diameter stands for its volume.
    """
    if name in study.entries:
        return name
    return _by_diameter(study).get(name, "")


def name_hint(study: Study, name: str) -> str:
    """Return what a name that means nothing may have been meant to be.

    Parameters
    ----------
    study
        The rig.
    name
        As it was written.
    """
    known = [*study.entries, *_by_diameter(study)]
    # With its section it is rather misspelt; without, rather one of several.
    near = get_close_matches(name, known, n=1, cutoff=NEAR) if "." in name else []
    near = near or namesakes(name, known)
    if not near:
        names = [key.partition(".")[2] for key in known]
        near = [
            key
            for word in get_close_matches(_last(name), names, n=1, cutoff=NEAR)
            for key in namesakes(word, known)
        ]
    # All hundred names are no hint.
    return f"did you mean {either(near)}?" if near else "jitter quantities lists them"


def namesakes(name: str, keys: Iterable[str], section: str = "") -> list[str]:
    """Return the keys whose last part, or whose last word, is that of a name in no section.

    Parameters
    ----------
    name
        As it was written; it may stand in the wrong section.
    keys
        Those that there are.
    section
        The one in which it stands: its own come first.

    Examples
    --------
    >>> namesakes("height", ["valve.nozzle_height", "sensor.height", "jet.height_scale"])
    ['sensor.height', 'valve.nozzle_height']
    """
    last = _last(name)
    found = [key for key in keys if key.partition(".")[2] == last or key.endswith(f"_{last}")]
    return sorted(
        found, key=lambda key: (key.partition(".")[0] != section, key.partition(".")[2] != last)
    )


def either(words: Iterable[str]) -> str:
    """Return words as a list of which one is meant.

    Examples
    --------
    >>> either(["a"]), either(["a", "b", "c"])
    ('a', 'a, b or c')
    """
    *others, last = words
    return f"{', '.join(others)} or {last}" if others else last


def _last(name: str) -> str:
    return name.rpartition(".")[2].lower()


def _by_diameter(study: Study) -> dict[str, str]:
    return {
        entry.declaration.diameter_key: key
        for key, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity) and entry.declaration.diameter_key
    }
