"""The line-up: every suspect simulated, and how likely each is given a log."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from jitter.answers.explain.law import Law, law
from jitter.answers.explain.likelihood import (
    Group,
    by_setup,
    counts_for,
    evidence,
    without_model,
)
from jitter.answers.explain.suspects import Rig, Suspect, drawable, find_suspects
from jitter.answers.explain.telling import Shape
from jitter.answers.explain.views import Condition, Views, view
from jitter.answers.workers import Progress, silent
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study

SAID, UNKNOWN = 0.5, 0.05
"""Before any frame was seen: that the rig is as described, and that something no model knows is at
work. The rest is shared by the suspects evenly. Assumptions."""


@dataclass(frozen=True)
class Lineup:
    """All that may be wrong with a rig, simulated for logs of one shape.

    Attributes
    ----------
    base
        The rig, from `jitter.answers.explain.suspects.drawable`.
    suspects
        Everything that may be wrong with it.
    laws
        What the frames of the rig as described, then with each suspect to blame, look like, by
        condition.
    layout
        The draws behind them.
    """

    base: Study
    suspects: tuple[Suspect, ...]
    laws: tuple[Mapping[Condition, Law], ...]
    layout: Layout

    def rig(self, place: int, layout: Layout) -> Rig:
        """Return what is simulated: the rig as described at place 0, then the suspects."""
        return self.suspects[place - 1].rig(self.base, layout) if place else Rig(self.base)


@dataclass(frozen=True)
class Weighed:
    """What a log says of everybody in the line-up.

    Attributes
    ----------
    shares : array (h + 1,)
        Probability of each rig, the one as described first, and of something not in the model.
    likely : array (h,)
        Log of the evidence for each rig.
    speaking
        Of each rig, by set-up of the log: the log of the likelihood in each simulated one.
    weight
        Share of what the log says that the simulation could resolve.
    """

    shares: Array
    likely: Array
    speaking: tuple[dict[str, Array], ...]
    weight: float


def line_up(
    study: Study,
    chain: Chain,
    shape: Shape,
    layout: Layout,
    *,
    way: str,
    workers: int | None = None,
    progress: Progress = silent,
) -> Lineup:
    """Simulate a rig with every suspect to blame; this serves all logs of one shape.

    Parameters
    ----------
    study
        The rig as described.
    chain
        The stages of a shot.
    shape
        Of the log: its conditions, and what was measured.
    layout
        Seed, set-ups and shots, few enough to be worked at once.
    way
        As set by ruler or as trimmed.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.
    """
    base = drawable(study)
    suspects = find_suspects(base)
    rigs = (Rig(base), *(suspect.rig(base, layout) for suspect in suspects))
    seen = tuple(dict.fromkeys(shape.conditions))
    found = iter(
        view(
            base,
            chain,
            [condition.under(rig) for rig in rigs for condition in seen],
            layout,
            lambda views: law(views, shape.measured),
            way=way,
            workers=workers,
            progress=progress,
        )
    )
    laws = tuple({condition: next(found) for condition in seen} for _ in rigs)
    return Lineup(base, suspects, laws, layout)


def shoot(
    lineup: Lineup,
    chain: Chain,
    places: Sequence[int],
    layout: Layout,
    *,
    way: str,
    workers: int | None = None,
) -> list[dict[Condition, Views]]:
    """Return frames of some rigs of the line-up under each condition, on other draws.

    Parameters
    ----------
    lineup
        From `line_up`.
    chain
        The stages of a shot.
    places
        Of the rigs that are wanted.
    layout
        With another seed than the line-up's.
    way
        As set by ruler or as trimmed.
    workers
        Threads; the machine's processors where None.
    """
    seen = tuple(lineup.laws[0])
    rigs = [condition.under(lineup.rig(place, layout)) for place in places for condition in seen]
    found = iter(
        view(lineup.base, chain, rigs, layout, lambda views: views, way=way, workers=workers)
    )
    return [{condition: next(found) for condition in seen} for _ in places]


def prior(lineup: Lineup) -> Array:
    """Return the probability of each rig before any frame was seen, (h,)."""
    shares = np.full(len(lineup.laws), (1.0 - SAID - UNKNOWN) / len(lineup.suspects))
    shares[0] = SAID
    return shares


def weigh(lineup: Lineup, rows: Sequence[Group]) -> Weighed:
    """Return how likely everybody in the line-up is, given a log.

    Parameters
    ----------
    lineup
        From `line_up`, of the log's shape.
    rows
        The log's groups.
    """
    speaking = tuple(by_setup(known, rows) for known in lineup.laws)
    weight = counts_for(speaking)
    likely = np.array([evidence(one, weight) for one in speaking])
    weights = np.append(
        np.log(prior(lineup)) + likely, math.log(UNKNOWN) + weight * without_model(rows)
    )
    return Weighed(np.exp(weights - logsumexp(weights)), likely, speaking, weight)
