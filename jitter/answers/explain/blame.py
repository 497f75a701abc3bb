"""Who is to blame: suspects with their probabilities, and by how much a value is off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from jitter.answers.explain.suspects import OFF, Suspect
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.draws.values import Deviates, draw, value
from jitter.quantities import Quantity
from jitter.study.study import Study


@dataclass(frozen=True)
class Blamed:
    """A suspect and how likely it is.

    Attributes
    ----------
    suspect
        What.
    probability
        Given the log.
    offset, spread
        Of a value that is off: by how much, and how sure that is [SI]; NaN otherwise.
    """

    suspect: Suspect
    probability: float
    offset: float
    spread: float


@dataclass(frozen=True)
class Party:
    """Suspects that a log of this size cannot tell apart.

    Attributes
    ----------
    members
        The likeliest first.
    probability
        That one of them is to blame.
    right
        Of imagined logs that they bring about: the share in which this party comes out first.
    """

    members: tuple[Blamed, ...]
    probability: float
    right: float


def party_of(
    base: Study,
    members: Sequence[int],
    places: Sequence[int],
    *,
    suspects: Sequence[Suspect],
    shares: Array,
    apart: Array,
    per_setup: Sequence[dict[str, Array]],
    weight: float,
    layout: Layout,
    prior: Array,
) -> Party:
    """Return suspects that a log cannot tell apart, with what the log says of each.

    Parameters
    ----------
    base
        The rig, from `jitter.answers.explain.suspects.drawable`.
    members
        Their places among all rigs, the one as described first.
    places
        Their places among those that were held against each other.
    suspects
        All of them.
    shares
        Probability of each rig.
    apart
        From `jitter.answers.explain.telling.confusion`.
    per_setup
        Of each rig, by set-up of the log: the log of the likelihood in each simulated one.
    weight
        What the log counts for.
    layout
        The draws behind all of this.
    prior
        Probability, before the log, of those that were held against each other.
    """
    blamed = []
    for member in members:
        suspect = suspects[member - 1]
        offset, spread = _offset(base, suspect, per_setup[member], layout, weight)
        blamed.append(Blamed(suspect, float(shares[member]), offset, spread))
    # In logs that its members bring about: is the likeliest suspect one of them?
    weighed = apart[list(places)] + np.log(prior)
    first = np.isin(np.argmax(weighed, axis=2), list(places))
    return Party(tuple(blamed), float(sum(one.probability for one in blamed)), float(first.mean()))


def _offset(
    base: Study, suspect: Suspect, per_setup: dict[str, Array], layout: Layout, weight: float
) -> tuple[float, float]:
    """Return by how much a value is off if its suspect is to blame, and how sure that is."""
    declared = base.entries[suspect.key].declaration
    if suspect.how != OFF or not isinstance(declared, Quantity) or declared.per_axis:
        return math.nan, math.nan
    deviates = draw(base, Block(layout, 0, layout.setups, 0, layout.shots))
    blamed = suspect.applied(base)
    still = Deviates(deviates.setup, {}, np.zeros((1, 1)))
    drawn = np.asarray(value(blamed, suspect.key, still, {})).reshape(-1, layout.setups)[0]
    strays = drawn - base.number(suspect.key)
    means, squares = [], []
    for likely in per_setup.values():
        weights = np.exp(weight * likely - logsumexp(weight * likely))
        means.append(float(weights @ strays))
        squares.append(float(weights @ strays**2))
    mean = float(np.mean(means))
    return mean, math.sqrt(max(float(np.mean(squares)) - mean**2, 0.0))
