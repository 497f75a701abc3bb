"""Which value of a study a name means."""

from __future__ import annotations

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
    last = name.rpartition(".")[2]
    near = get_close_matches(name, known, n=1, cutoff=NEAR)
    if not near:
        # The right name in the wrong section, or in none.
        names = [key.partition(".")[2] for key in known]
        near = [known[names.index(one)] for one in get_close_matches(last, names, 1, NEAR)]
    # All hundred names are no hint.
    return f"did you mean {near[0]}?" if near else "jitter quantities lists them"


def _by_diameter(study: Study) -> dict[str, str]:
    return {
        entry.declaration.diameter_key: key
        for key, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity) and entry.declaration.diameter_key
    }
