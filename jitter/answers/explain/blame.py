"""Who is to blame: suspects with their probabilities, and by how much a value is off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from jitter.answers.explain.suspects import CHANCE, OFF, Suspect
from jitter.answers.intervals import Estimate
from jitter.arrays import Array
from jitter.draws.deviates import Deviates, draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import value
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
    size
        Of a value that strays: how many times as much as the study says. Of a mishap: how often it
        strikes. None for what is off.
    """

    suspect: Suspect
    probability: float
    offset: float
    spread: float
    size: Estimate | None


@dataclass(frozen=True)
class Party:
    """Suspects that a log of this size cannot tell apart.

    Attributes
    ----------
    members
        The likeliest first.
    probability
        That one of them is to blame.
    """

    members: tuple[Blamed, ...]
    probability: float


def party_of(
    base: Study,
    members: Sequence[int],
    *,
    suspects: Sequence[Suspect],
    shares: Array,
    per_setup: Sequence[dict[str, Array]],
    weight: float,
    layout: Layout,
) -> Party:
    """Return suspects that a log cannot tell apart, with what the log says of each.

    Parameters
    ----------
    base
        The rig, from `jitter.answers.explain.suspects.drawable`.
    members
        Their places among all rigs, the one as described first.
    suspects
        All of them.
    shares
        Probability of each rig.
    per_setup
        Of each rig, by set-up of the log: the log of the likelihood in each simulated one.
    weight
        What the log counts for.
    layout
        The draws behind all of this.
    """
    blamed = []
    for member in members:
        suspect = suspects[member - 1]
        offset, spread = _offset(base, suspect, per_setup[member], layout, weight)
        size = _size(base, suspect, per_setup[member], layout, weight)
        blamed.append(Blamed(suspect, float(shares[member]), offset, spread, size))
    return Party(tuple(blamed), float(sum(one.probability for one in blamed)))


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
    weights = _weights(per_setup, weight)
    mean = float(weights @ strays)
    return mean, math.sqrt(max(float(weights @ strays**2) - mean**2, 0.0))


def _size(
    base: Study, suspect: Suspect, per_setup: dict[str, Array], layout: Layout, weight: float
) -> Estimate | None:
    """Return by how much a value strays, or how often a mishap strikes: middle, and nine in ten."""
    if suspect.how == OFF:
        return None
    whole = suspect.chance
    if suspect.how != CHANCE:
        whole = suspect.spread.size / base.entries[suspect.key].shot.size
    sizes = whole * suspect.shares(layout)[:, 0]
    order = np.argsort(sizes)
    grown = np.cumsum(_weights(per_setup, weight)[order])
    low, middle, high = (
        float(sizes[order][min(int(np.searchsorted(grown, end)), len(order) - 1)])
        for end in (0.05, 0.5, 0.95)
    )
    return Estimate(middle, low, high, 0.9)


def _weights(per_setup: dict[str, Array], weight: float) -> Array:
    """Return how much each simulated set-up counts, (s,).

    The mean over the log's set-ups, each of which is taken to have a size of its own.
    """
    told = [np.exp(weight * one - logsumexp(weight * one)) for one in per_setup.values()]
    return np.asarray(np.mean(told, axis=0))
