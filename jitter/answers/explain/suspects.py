"""The suspects: what may be wrong with a rig that its study does not say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from jitter.quantities import NONE, Kind, Quantity, Shape, Spread
from jitter.study.study import Entry, Study

OFF, STRAYS, CHANCE = "off", "strays", "chance"
WIDER, STRAYING, LIKELIER = 6.0, 3.0, 5.0
"""A value that is off lies in a set-up spread so many times as wide, one that strays in a shot
spread so many times, and a mishap is so many times as likely: assumptions."""
WIDEST, MOST = 0.4, 1.5
"""A value known only roughly is not off by several times itself: at the most by such a share, or by
so many times its spread, whichever is more."""
LEAST_CHANCE = 0.1
FLAT = {Shape.RECTANGULAR: 3.0**-0.5, Shape.TRIANGULAR: 6.0**-0.5, Shape.ARCSINE: 2.0**-0.5}
"""Standard deviation over half width of the shapes that end; JCGM 101:2008, table 1."""
LOOSE = {"timer.delay": 0.003, "valve.interval": 0.003}
"""What nobody says strays, but may be set otherwise than it was written down [s]; assumptions."""


@dataclass(frozen=True)
class Suspect:
    """Something that may be wrong.

    Attributes
    ----------
    key
        The quantity.
    how
        `OFF`: its value is further off than its set-up spread says. `STRAYS`: it strays more from
        shot to shot. `CHANCE`: a mishap is more frequent.
    spread
        Of the value that is off, or that strays.
    chance
        Of the mishap; 0 for the others.
    """

    key: str
    how: str
    spread: Spread = NONE
    chance: float = 0.0

    def applied(self, study: Study) -> Study:
        """Return a study in which the suspect is to blame, its settings left alone."""
        part = {OFF: "setup", STRAYS: "shot", CHANCE: "nominal"}[self.how]
        changes: Mapping[str, Any] = {part: self.chance if self.how == CHANCE else self.spread}
        entry = replace(study.entries[self.key], **changes)
        return replace(study, entries={**study.entries, self.key: entry})


def drawable(study: Study) -> Study:
    """Return a study whose set-up deviates serve every suspect.

    All that may be off has a set-up deviate, of no size where it has no spread; and spreads that
    end are taken for normal ones of the same standard deviation, since a value that is off knows no
    ends.

    Parameters
    ----------
    study
        The rig.
    """
    changed = {}
    for key, entry in study.entries.items():
        setup = entry.setup
        if _may_be_off(entry) and setup.shape is Shape.NONE:
            changed[key] = replace(entry, setup=Spread(Shape.NORMAL, 0.0))
        elif setup.shape in FLAT:
            normal = Spread(Shape.NORMAL, FLAT[setup.shape] * setup.size, setup.relative)
            changed[key] = replace(entry, setup=normal)
    return replace(study, entries={**study.entries, **changed})


def find_suspects(study: Study) -> tuple[Suspect, ...]:
    """Return everything that may be wrong with a rig.

    Parameters
    ----------
    study
        From `drawable`.
    """
    found = []
    for key, entry in study.entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity) or entry.nominal is None or key.startswith("trim."):
            continue
        if declared.kind is Kind.CHANCE:
            chance = min(max(LIKELIER * entry.number, LEAST_CHANCE), 1.0)
            if chance > entry.number:
                found.append(Suspect(key, CHANCE, chance=chance))
            continue
        if _may_be_off(entry):
            found.append(Suspect(key, OFF, _off(entry)))
        if entry.shot.shape is not Shape.NONE and entry.shot.size > 0.0:
            wider = replace(entry.shot, size=STRAYING * entry.shot.size)
            found.append(Suspect(key, STRAYS, wider))
    return tuple(found)


def _may_be_off(entry: Entry) -> bool:
    declared = entry.declaration
    if not isinstance(declared, Quantity) or entry.nominal is None or not declared.strays:
        return False
    strays = any(
        spread.shape is not Shape.NONE and spread.size > 0.0 for spread in (entry.setup, entry.shot)
    )
    return strays or declared.key in LOOSE or entry.setup.shape is not Shape.NONE


def _off(entry: Entry) -> Spread:
    """Return the set-up spread of a value that is off."""
    setup, shot = entry.setup, entry.shot
    if setup.size > 0.0:
        most = max(WIDEST, MOST * setup.size) if setup.relative else math.inf
        return replace(setup, size=min(WIDER * setup.size, most))
    if shot.shape is not Shape.NONE and shot.size > 0.0:
        return Spread(Shape.NORMAL, STRAYING * shot.size, shot.relative)
    return Spread(Shape.NORMAL, LOOSE[entry.declaration.key])
