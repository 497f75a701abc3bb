"""The default rig, on which the stages are checked."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.layout import Layout, blocks
from jitter.quantities import NONE
from jitter.stage import Events, Stage
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import fire, nominal_shot, open_road

STARTS = ("first drop", "second drop", "valve")
SEED = 1


def rig(*settings: str, setup_errors: bool = True, seed: int = SEED) -> Study:
    """Return the default rig with some values changed.

    Parameters
    ----------
    settings
        Each ``section.key=value``.
    setup_errors
        Whether rigs are set up with errors.
    seed
        Of every stream.
    """
    study = read_study(
        "version = 1", source="default rig", chain=CHAIN, settings=settings, seed=seed
    )
    if setup_errors:
        return study
    return replace(
        study, entries={key: replace(entry, setup=NONE) for key, entry in study.entries.items()}
    )


@cache
def shot(*settings: str) -> Events:
    """Return the events of the default rig's shot in which nothing strays."""
    return nominal_shot(rig(*settings, setup_errors=False), CHAIN)


def work(stage: Stage, *settings: str, **changes: Any) -> Any:
    """Return what a stage gives for that shot with some of its arguments changed."""
    events = shot(*settings) | changes
    return stage.work(**{name: events[name] for name in stage.needs})


def ages_of(study: Study, *, setups: int, shots: int) -> tuple[Array, Array]:
    """Return the ages of every frame as set and as trimmed, (s, n) [s]; NaN without an age.

    Parameters
    ----------
    study
        The rig.
    setups, shots
        Set-ups and shots of each.
    """
    road = open_road(study, CHAIN, wanted=("age",))
    found: list[tuple[Array, Array]] = []
    for block in blocks(Layout(study.seed, setups, shots)):
        firing = fire(road, block)
        shape = (block.setups, block.shots)
        found.append(
            (
                np.broadcast_to(firing.as_set["age"], shape),
                np.broadcast_to(firing.as_trimmed["age"], shape),
            )
        )
    as_set, as_trimmed = zip(*found, strict=True)
    return np.concatenate(as_set), np.concatenate(as_trimmed)
