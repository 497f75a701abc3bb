"""The suspects: what may be wrong with a rig that its study does not say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.draws.streams import Streams
from jitter.draws.values import Scales
from jitter.quantities import NONE, Kind, Level, Quantity, Shape, Spread
from jitter.study.study import Entry, Study

OFF, STRAYS, CHANCE = "off", "strays", "chance"
WIDER = 6.0
"""A value that is off lies in a set-up spread so many times as wide: an assumption."""
STRAYING = (1.5, 6.0)
"""One that strays does so in a shot spread from so many to so many times as wide, evenly in the
logarithm: an assumption."""
LIKELIER = (2.0, 20.0)
"""A mishap is from so many to so many times as likely, evenly in the logarithm: an assumption."""
WIDEST, MOST = 0.4, 1.5
"""A value known only roughly is not off by several times itself: at the most by such a share, or by
so many times its spread, whichever is more."""
LEAST_CHANCE = (0.02, 0.5)
"""However rare the study has it, a mishap is at least so likely as this, at the most as that."""
FLAT = {Shape.RECTANGULAR: 3.0**-0.5, Shape.TRIANGULAR: 6.0**-0.5, Shape.ARCSINE: 2.0**-0.5}
"""Standard deviation over half width of the shapes that end; JCGM 101:2008, table 1."""
LOOSE = {"timer.delay": 0.003, "valve.interval": 0.003}
"""What nobody says strays, but may be set otherwise than it was written down [s]; assumptions."""


@dataclass(frozen=True)
class Rig:
    """What is simulated for a suspect.

    Attributes
    ----------
    study
        With what may be wrong as wrong as it may be.
    scales
        How much of that each simulated set-up has.
    """

    study: Study
    scales: Scales = field(default_factory=dict)


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
    least
        Share of that spread, or of that chance, in the set-up in which it is smallest.
    """

    key: str
    how: str
    spread: Spread = NONE
    chance: float = 0.0
    least: float = 1.0

    def shares(self, layout: Layout) -> Array:
        """Return what share of the spread or of the chance each simulated set-up has, (s, 1).

        By how much a thing strays nobody knows: from `least` to 1, evenly in its logarithm.
        """
        even = np.empty((layout.setups, 1))
        Streams(layout.seed).fill(even, f"{self.key} by how much", first=0)
        return np.asarray(self.least**even)

    def rig(self, study: Study, layout: Layout) -> Rig:
        """Return a study with the suspect to blame in each set-up of a simulation."""
        blamed = self.applied(study)
        if self.least == 1.0:
            return Rig(blamed)
        return Rig(blamed, {(self.key, Level.SHOT): self.shares(layout)})

    def applied(self, study: Study) -> Study:
        """Return a study in which the suspect is to blame as far as it may be.

        Its settings are left alone.
        """
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
            low, chance = (
                min(max(times * entry.number, least), 1.0)
                for times, least in zip(LIKELIER, LEAST_CHANCE, strict=True)
            )
            if chance > entry.number:
                found.append(Suspect(key, CHANCE, chance=chance, least=low / chance))
            continue
        if _may_be_off(entry):
            found.append(Suspect(key, OFF, _off(entry)))
        if entry.shot.shape is not Shape.NONE and entry.shot.size > 0.0:
            low, high = STRAYING
            wider = replace(entry.shot, size=high * entry.shot.size)
            found.append(Suspect(key, STRAYS, wider, least=low / high))
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
        rough = setup.relative or setup.shape is Shape.LOGNORMAL
        most = max(WIDEST, MOST * setup.size) if rough else math.inf
        return replace(setup, size=min(WIDER * setup.size, most))
    if shot.shape is not Shape.NONE and shot.size > 0.0:
        return Spread(Shape.NORMAL, math.sqrt(math.prod(STRAYING)) * shot.size, shot.relative)
    return Spread(Shape.NORMAL, LOOSE[entry.declaration.key])
