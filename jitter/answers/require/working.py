"""Points or random draws: what the hit rates of a requirement are worked out from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jitter.answers.effort import Effort, Net, settle
from jitter.answers.hits import WAYS
from jitter.draws.layout import Layout
from jitter.study.study import Study
from jitter.trial import Road

HALF = 0.008
"""Half width of the interval of the hit rate that is wanted of points: no wider than of draws."""


@dataclass(frozen=True)
class Draws:
    """Random draws that a user may ask for in place of points.

    Attributes
    ----------
    setups, shots
        Set-ups, at least 2, and shots of each; None where the usual number will do. Points are
        used where both are None.
    """

    setups: int | None = None
    shots: int | None = None

    @property
    def asked(self) -> bool:
        """Whether draws are asked for."""
        return self.setups is not None or self.shots is not None


def work_out(
    study: Study,
    road: Road,
    draws: Draws,
    *,
    setups: int,
    shots: int,
    workers: int | None = None,
) -> Effort:
    """Return how all hit rates of an answer are worked out.

    Parameters
    ----------
    study
        The rig.
    road
        Reaches as far as it does.
    draws
        What was asked for.
    setups, shots
        Of random draws, where nothing else is asked for.
    workers
        Threads.
    """
    layout = Layout(study.seed, draws.setups or setups, draws.shots or shots)
    if road.study is not study:
        road = replace(road, study=study)
    return layout if draws.asked else settle(road, layout, half=HALF, workers=workers)


def fell_back(effort: Effort, draws: Draws) -> bool:
    """Return whether draws had to take the place of points."""
    return not (isinstance(effort, Net) or draws.asked)


def answered(aims: Mapping[str, bool]) -> tuple[str, ...]:
    """Return the ways that can be answered: those in which the shot without errors is a keeper.

    Where it misses, errors bring frames into the window, and a wider spread seems to help.

    Parameters
    ----------
    aims
        By way: whether it is one.
    """
    return tuple(way for way in WAYS if aims[way])
