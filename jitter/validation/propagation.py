"""The whole shot against the law of propagation of uncertainty, and what likeness does to it."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np

from jitter.answers.rank.budget import lines
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.validation.rig import rig, shot


class Term(NamedTuple):
    """A drop's or a shot's own error of one quantity, and what it does to the age.

    Attributes
    ----------
    key
        The quantity; of a pair that belongs together the first.
    drop
        0 or 1 where the error is a drop's own, otherwise -1.
    size
        Standard deviation of the age by it alone, with its sign [s].
    """

    key: str
    drop: int
    size: float


@cache
def terms(start: str) -> tuple[Term, ...]:
    """Return every shot error of the default rig with what it does to the age.

    Parameters
    ----------
    start
        The start signal.
    """
    setting = f"timer.start={start}"
    study = rig(setting, setup_errors=False)
    found = []
    for line in lines(study, CHAIN, shot(setting)):
        (key,) = line.source.keys
        partners = _partners(study, key)
        drop = partners.index(key) if partners else line.place.drop
        found.append(Term(partners[0] if partners else key, drop, line.effect))
    return tuple(found)


def _partners(study: Study, key: str) -> list[str]:
    """Return the quantities in use that belong together with one; none where nothing does."""
    declared = study.entries[key].declaration
    together = declared.together if isinstance(declared, Quantity) else ""
    return [
        other
        for other, entry in study.entries.items()
        if isinstance(entry.declaration, Quantity)
        and together
        and entry.declaration.together == together
        and entry.nominal is not None
    ]


def paired(start: str) -> dict[str, tuple[float, float]]:
    """Return, for each quantity of which the drops have errors of their own, both effects [s].

    Parameters
    ----------
    start
        The start signal.
    """
    pairs: dict[str, list[float]] = {}
    for term in terms(start):
        if term.drop >= 0:
            pairs.setdefault(term.key, [0.0, 0.0])[term.drop] += term.size
    return {key: (first, second) for key, (first, second) in pairs.items()}


def propagated(start: str, alike: float, *, only: str = "") -> float:
    """Return the standard deviation of the age from shot to shot, to first order [s].

    u² = Σ uᵢ² + 2 Σ r u₁ u₂ over the two drops' errors, r being how alike they are.

    Parameters
    ----------
    start
        The start signal.
    alike
        Of every quantity of which the drops have errors of their own.
    only
        Let only this quantity be alike.

    References
    ----------
    JCGM 100:2008, equations 13 and 16.
    """
    variance = sum(term.size**2 for term in terms(start))
    for key, (first, second) in paired(start).items():
        if only in ("", key):
            variance += 2.0 * alike * first * second
    return float(np.sqrt(variance))
