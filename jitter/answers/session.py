"""A session in which something drifts: keepers by frame number, and when to trim again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from jitter.answers.intervals import Estimate, paired_mean, wilson
from jitter.arrays import Array
from jitter.draws.deviates import draw, frame_numbers
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.stage import Events, walk
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import Road, retrim

SETUPS = 2048
COLUMNS = 24
"""The session is looked at in so many places, at the most."""
TRIMS = (1, 2, 4, 8)
"""How often the delay may be trimmed, at even distances, from the session's start on."""
WORN = 0.9
"""A session is worn out where a fresh trimming gives less than this share of the first one's."""


@dataclass(frozen=True)
class Policy:
    """A way of trimming through a session.

    Attributes
    ----------
    trims
        How often, the first at the start.
    every
        Frames from one trimming to the next.
    share
        Keepers among all frames shot, those shot to trim included.
    gain
        By how much that share is above trimming once.
    by_frame : array (k,)
        Share of keepers at each place of the session.
    """

    trims: int
    every: float
    share: Estimate
    gain: Estimate
    by_frame: Array


@dataclass(frozen=True)
class SessionAnswer:
    """How keepers come and go over a session.

    Attributes
    ----------
    frames
        Frames of the session.
    places : array (k,)
        Frame numbers looked at.
    as_set : tuple of Estimate
        Share of keepers at each place, the delay as set by ruler.
    once : tuple of Estimate
        The same, the delay trimmed at the start.
    fresh : tuple of (frame number, Estimate)
        Share of keepers right after a trimming at that frame.
    policies
        Ways of trimming, from once to most often.
    best
        The one with most keepers among all frames, if its gain over trimming once is clear;
        otherwise trimming once.
    worn
        The first frame number from which even a fresh trimming gives clearly less than nine tenths
        of the first one's keepers; None where that never happens.
    """

    frames: int
    places: Array
    as_set: tuple[Estimate, ...]
    once: tuple[Estimate, ...]
    fresh: tuple[tuple[float, Estimate], ...]
    policies: tuple[Policy, ...]
    best: Policy
    worn: float | None


def drifts(study: Study) -> bool:
    """Return whether anything in a study changes from frame to frame.

    Parameters
    ----------
    study
        The rig.
    """
    entries = study.entries
    if study.drifting:
        return True
    if "reservoir.constant_head" in entries and entries["reservoir.constant_head"].nominal == "no":
        return True
    rising = [entries[key].nominal for key in ("pool.level_drift", "pool.width") if key in entries]
    return any(rising)


def answer_session(road: Road, *, setups: int = SETUPS) -> SessionAnswer:
    """Follow a session from its first frame to its last.

    Trimming frames take no liquid and no time here; each trimming of a set-up is read with the
    same reading errors, which changes no mean.

    Parameters
    ----------
    road
        A study, ready to fire, in which something drifts.
    setups
        Set-ups to simulate.

    Returns
    -------
    SessionAnswer
    """
    study = road.study
    frames = int(study.number("session.frames"))
    columns = COLUMNS if frames >= COLUMNS else frames
    layout = Layout(study.seed, setups, columns)
    block = Block(layout, 0, setups, 0, columns)
    as_set = walk(road.shot, {**road.fixed, **values(study, draw(study, block))})
    places = frame_numbers(study, block)[0]
    counts = [trims for trims in TRIMS if columns % trims == 0]
    starts = sorted({start for trims in counts for start in range(0, columns, columns // trims)})
    kept = {
        start: _keepers(retrim(road, block, as_set, trimmed_at=float(places[start])), block)
        for start in starts
    }
    policies = _policies(study, kept, counts, columns)
    clear = [policy for policy in policies if policy.gain.low > 0.0]
    fresh = [(start, _share(kept[start][:, start])) for start in starts]
    worn = [start for start, share in fresh if share.high < WORN * fresh[0][1].value]
    return SessionAnswer(
        frames=frames,
        places=places,
        as_set=tuple(_share(column) for column in _keepers(as_set, block).T),
        once=tuple(_share(column) for column in kept[0].T),
        fresh=tuple((float(places[start]), share) for start, share in fresh),
        policies=policies,
        best=max(clear, key=lambda policy: policy.share.value) if clear else policies[0],
        worn=float(places[worn[0]]) if worn else None,
    )


def _keepers(events: Events, block: Block) -> Array:
    """Return 1 for a keeper and 0 for a miss (s, n)."""
    reason = np.broadcast_to(events["reason"], (block.setups, block.shots))
    kept: Array = (reason == KEEPER).astype(np.float64)
    return kept


def _share(column: Array) -> Estimate:
    """Return the share of keepers at one place; set-ups are independent, one shot of each."""
    return wilson(float(column.sum()), float(len(column)))


def _policies(
    study: Study, kept: dict[int, Array], counts: list[int], columns: int
) -> tuple[Policy, ...]:
    frames, trimming = study.number("session.frames"), study.number("trim.frames")
    shares: list[Array] = []
    made: list[Policy] = []
    for trims in counts:
        length = columns // trims
        seen = np.concatenate(
            [kept[start][:, start : start + length] for start in range(0, columns, length)], axis=1
        )
        # Frames shot to trim are shot, but nobody keeps them.
        shares.append(seen.mean(axis=1) * frames / (frames + trims * trimming))
        made.append(
            Policy(
                trims=trims,
                every=frames / trims,
                share=paired_mean(shares[-1]),
                gain=paired_mean(shares[-1] - shares[0]),
                by_frame=seen.mean(axis=0),
            )
        )
    return tuple(made)
