"""The uncertainty budget of the age: the law of propagation of uncertainty, line by line.

What a budget cannot see are effects that are even, such as that of a drop off the beam line, and
errors so large that slopes change; the simulation beside it sees both.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.rank.dependent import normal_shapley
from jitter.answers.rank.slopes import Place, move, places
from jitter.answers.ranking import Source, sources
from jitter.quantities import Level, Quantity, Shape
from jitter.stage import Chain, Events
from jitter.study.study import Study


@dataclass(frozen=True)
class Line:
    """A line of the budget: an error of one number, and what it does to the age.

    Attributes
    ----------
    source
        The spread.
    place
        Which of the quantity's numbers.
    uncertainty
        Standard uncertainty, in the unit of the source.
    effect
        What one standard uncertainty does to the age, with its sign [s].
    freedom
        Degrees of freedom of the uncertainty; infinite for a spread that is stated, not measured
        (JCGM 100:2008, G.4.2).
    fair
        Its part of the variance of the age [s2]: the square of its effect, and for errors that are
        alike its Shapley part of what both do together.
    """

    source: Source
    place: Place
    uncertainty: float
    effect: float
    freedom: float = math.inf
    fair: float = math.nan

    @property
    def coefficient(self) -> float:
        """Sensitivity coefficient [s per unit]; NaN where nothing strays."""
        return self.effect / self.uncertainty if self.uncertainty > 0.0 else math.nan


@dataclass(frozen=True)
class Likeness:
    """What it adds to the variance that two errors are alike.

    Attributes
    ----------
    keys
        Of the two errors.
    correlation
        Between them.
    variance
        Twice the product of both effects and the correlation, with its sign [s2].
    """

    keys: tuple[str, ...]
    correlation: float
    variance: float


@dataclass(frozen=True)
class Budget:
    """The uncertainty budget of the age, the delay as set by ruler.

    Attributes
    ----------
    lines
        The largest part of the variance first.
    likenesses
        Of drops' errors that are alike.
    setup, shot
        Parts of the combined standard uncertainty [s]; NaN where the shot has no age.
    freedom
        Effective degrees of freedom of the combined standard uncertainty.
    """

    lines: tuple[Line, ...]
    likenesses: tuple[Likeness, ...]
    setup: float
    shot: float
    freedom: float

    @property
    def combined(self) -> float:
        """Combined standard uncertainty [s]."""
        return math.hypot(self.setup, self.shot)

    def share(self, variance: float) -> float:
        """Return a part of the variance as a share of all of it."""
        whole = self.combined**2
        return variance / whole if whole > 0.0 else math.nan


def lines(study: Study, chain: Chain, nominal: Events) -> tuple[Line, ...]:
    """Return a line for every error that can move the age, in the order of the declarations.

    Mishaps move no age, and the errors of reading an age move none before the delay is trimmed.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    nominal
        Events of the shot in which nothing strays.
    """
    stages, found = chain.towards(("age",)), []
    for source in sources(study):
        if source.spread.shape is Shape.CHANCE or source.keys[0].startswith("trim."):
            continue
        for place in places(study, source):
            moved = move(study, stages, nominal, source, place)
            effect = moved.effect("age")
            found.append(Line(source, place, moved.uncertainty, effect, fair=effect**2))
    return tuple(found)


def budget(study: Study, chain: Chain, nominal: Events) -> Budget:
    """Return the uncertainty budget of the age, the delay as set by ruler.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    nominal
        Events of the shot in which nothing strays.

    References
    ----------
    JCGM 100:2008, equation 16 for errors that are alike, equation 10 for all others; G.2b for the
    degrees of freedom.
    """
    found = list(lines(study, chain, nominal))
    alike = []
    for first, second, correlation in _alike(study, found):
        one, other = found[first], found[second]
        keys = tuple(dict.fromkeys((one.source.keys[0], other.source.keys[0])))
        alike.append(Likeness(keys, correlation, 2.0 * correlation * one.effect * other.effect))
        both = np.array([one.effect, other.effect])
        parts = normal_shapley(both, np.array([[1.0, correlation], [correlation, 1.0]]))
        found[first] = replace(one, fair=float(parts[0]))
        found[second] = replace(other, fair=float(parts[1]))

    def part(level: Level) -> float:
        return math.fsum(line.effect**2 for line in found if line.source.level is level)

    shot = part(Level.SHOT) + math.fsum(one.variance for one in alike)
    return Budget(
        lines=tuple(sorted(found, key=lambda line: -line.fair)),
        likenesses=tuple(alike),
        setup=math.sqrt(part(Level.SETUP)),
        shot=math.sqrt(max(shot, 0.0)),
        freedom=effective_freedom(
            [line.effect for line in found], [line.freedom for line in found]
        ),
    )


def _alike(study: Study, found: Sequence[Line]) -> list[tuple[int, int, float]]:
    """Return the places of two drops' lines that are alike, and their correlation."""
    pairs: dict[tuple[str, int], list[int]] = {}
    for at, line in enumerate(found):
        key = line.source.keys[0]
        declared = study.entries[key].declaration
        if line.source.level is Level.SHOT and isinstance(declared, Quantity) and declared.paired:
            pairs.setdefault((declared.together or key, line.place.axis), []).append(at)
    alike = []
    for places_of in pairs.values():
        if len(places_of) == 2:
            first, second = places_of
            correlation = study.entries[found[second].source.keys[0]].alike
            if correlation > 0.0:
                alike.append((first, second, correlation))
    return alike


def effective_freedom(uncertainties: Sequence[float], freedoms: Sequence[float]) -> float:
    """Return the effective degrees of freedom of a combined standard uncertainty.

    Parameters
    ----------
    uncertainties
        Contributions of independent errors, in one unit.
    freedoms
        Degrees of freedom of each; infinite ones allowed.

    References
    ----------
    Welch and Satterthwaite's formula, JCGM 100:2008, equation G.2b; to be cut to the whole number
    below before a table is entered (G.4.1).

    Examples
    --------
    >>> round(effective_freedom([1.0, 1.0], [4.0, 4.0]), 9)
    8.0
    """
    combined = math.fsum(size**2 for size in uncertainties) ** 2
    known = math.fsum(
        size**4 / freedom for size, freedom in zip(uncertainties, freedoms, strict=True)
    )
    if math.isnan(combined):
        return math.nan
    return combined / known if known > 0.0 else math.inf
