"""The setting to recommend: keepers against the light that they cost."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jitter.answers.power.keeping import MEANS
from jitter.answers.power.rungs import Rung, Tried

SLIGHT = 0.005
"""Another means is recommended only where it keeps so much more of the frames."""
HOPELESS = 0.01
"""Where no setting keeps more of the frames than this, the light is not what is wrong."""


@dataclass(frozen=True)
class Pick:
    """A power, and the means of exposure at it.

    Attributes
    ----------
    rung
        The power.
    tried
        The means.
    """

    rung: Rung
    tried: Tried


def best_of(rungs: Sequence[Rung], means: Sequence[str], *, worth: float, way: str) -> Pick | None:
    """Return the setting that keeps the most frames for the light it costs.

    Of a setting a stop darker than another the keepers count less by the worth of a stop. The
    first means in the order of `MEANS` is taken unless another one is better by more than `SLIGHT`.
    None where no power is exposed right, or where hardly a frame is a keeper at any: what spoils
    them all is not the light.

    Parameters
    ----------
    rungs
        Every power.
    means
        By which the exposure may be kept right.
    worth
        Share of keepers that a stop of light is worth.
    way
        One of `jitter.answers.hits.WAYS`: whose keepers.
    """
    chosen: tuple[float, Pick] | None = None
    for one in MEANS:
        if one not in means:
            continue
        found = max(_valued(rungs, one, worth, way), key=lambda pair: pair[0], default=None)
        if found is not None and (chosen is None or found[0] > chosen[0] + SLIGHT):
            chosen = found
    if chosen is None or most_keepers(rungs, means, way) < HOPELESS:
        return None
    return chosen[1]


def most_keepers(rungs: Sequence[Rung], means: Sequence[str], way: str) -> float:
    """Return the largest share of keepers of any setting that is exposed right; 0 without one.

    Parameters
    ----------
    rungs
        Every power.
    means
        By which the exposure may be kept right.
    way
        One of `jitter.answers.hits.WAYS`: whose keepers.
    """
    shares = [
        float(tried.hits.shares(way).mean())
        for rung in rungs
        for tried in (rung.tried[one] for one in means)
        if tried.setting.reached
    ]
    return max(shares, default=0.0)


def _valued(
    rungs: Sequence[Rung], means: str, worth: float, way: str
) -> Iterator[tuple[float, Pick]]:
    """Yield each setting that is exposed right with its keepers less the light it costs."""
    for rung in rungs:
        tried = rung.tried[means]
        if tried.setting.reached:
            keepers = float(tried.hits.shares(way).mean())
            yield keepers + worth * math.log2(rung.power), Pick(rung, tried)


def beside(rungs: Sequence[Rung], pick: Pick) -> tuple[Pick, ...]:
    """Return the settings about a stop brighter and about a stop darker, by the same means.

    Parameters
    ----------
    rungs
        Every power, full first.
    pick
        The setting.
    """
    found = []
    for stops in (1.0, -1.0):
        aim = math.log2(pick.rung.power) + stops
        side = [
            rung
            for rung in rungs
            if stops * math.log2(rung.power / pick.rung.power) > 1e-3
            and rung.tried[pick.tried.setting.means].setting.reached
        ]
        if side:
            near = min(side, key=lambda rung: abs(math.log2(rung.power) - aim))
            found.append(Pick(near, near.tried[pick.tried.setting.means]))
    return tuple(found)
