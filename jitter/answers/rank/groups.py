"""Which group an input belongs to, found from what it moves."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from jitter.answers.rank.inputs import PLACE, Input
from jitter.answers.rank.slopes import move, places
from jitter.draws.deviates import Deviates, frames
from jitter.draws.values import values
from jitter.quantities import Shape
from jitter.stage import Chain, Events, walk
from jitter.study.study import Study
from jitter.trial import single

SET_UP, SHOT = "set-up", "shot"
TIMING, AIM, PICTURE, MISHAPS = "timing", "aim", "picture", "mishaps"
NO_PART = "none"
GROUPS = (SET_UP, SHOT, TIMING, AIM, PICTURE, MISHAPS)
LEAST = 1e-9
"""Part of a limit below which a move is rounding."""


def level_group(one: Input) -> str:
    """Return whether an input stays for a whole set-up or changes from shot to shot.

    What strays while the delay is trimmed stays in the delay, and so belongs to the set-up.

    Parameters
    ----------
    one
        The input.
    """
    return SET_UP if one.lasts else SHOT


def cause_group(study: Study, chain: Chain, nominal: Events, one: Input) -> str:
    """Return whether an input is one of timing, aim or picture, a mishap, or none of them.

    No list of keys says so. The input strays by one standard uncertainty, either way, from the
    shot in which nothing strays; each event that the verdict holds against a limit moves by a part
    of that limit, and the largest part decides: the age of half its window (timing), the
    off-centre of its limit (aim), blur or exposure of theirs (picture). A chance is a mishap, and
    so is what moves none of these but belongs to a stage that can spoil a frame outright, as the
    shutter's can. What else moves none of them has no part near that shot. What strays while the
    delay is trimmed moves the delay, which is timing.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    nominal
        Events of the shot in which nothing strays.
    one
        The input.
    """
    if one.lasts and any(where != "setup" for where, _ in one.slots):
        return TIMING
    if one.source is not None and one.source.spread.shape is Shape.CHANCE:
        return MISHAPS
    most = dict.fromkeys((TIMING, AIM, PICTURE), 0.0)
    for events in _neighbours(study, chain, nominal, one):
        for group, part in _parts(study, nominal, events):
            if part > most[group]:
                most[group] = part
    largest = max(most, key=lambda group: most[group])
    if most[largest] > LEAST:
        return largest
    return MISHAPS if _can_spoil(chain, nominal, one) else NO_PART


def _can_spoil(chain: Chain, nominal: Events, one: Input) -> bool:
    """Return whether the stage of an input says itself that a frame has no light, or no jet."""
    (judge,) = (stage for stage in chain.stages if "reason" in stage.gives)
    flags = {name for name in judge.needs if np.asarray(nominal[name]).dtype == np.bool_}
    keys = {key for _, key in one.slots}
    return any(
        flags.intersection(stage.gives)
        for stage in chain.stages
        if keys.intersection(declared.key for declared in stage.declares)
    )


def _neighbours(study: Study, chain: Chain, nominal: Events, one: Input) -> Iterator[Events]:
    stages = chain.towards(("age", "reason"))
    if one.source is not None:
        for place in places(study, one.source):
            moved = move(study, stages, nominal, one.source, place)
            yield from (moved.up, moved.down)
    if (PLACE, "") in one.slots:
        last = values(study, Deviates({}, {}, np.full((1, 1), frames(study) - 1.0)))
        yield walk(stages, nominal | last, set(last))


def _parts(study: Study, nominal: Events, events: Events) -> Iterator[tuple[str, float]]:
    """Yield by which part of its limit each event has moved, where both shots have it."""
    low, high = study.window("keeper.age")
    held = (
        (TIMING, "age", 0.5 * (high - low)),
        *(
            (group, event, study.number(key))
            for group, event, key in (
                (AIM, "off_centre", "keeper.off_centre"),
                (PICTURE, "blur", "keeper.blur"),
                (PICTURE, "motion_blur", "keeper.blur"),
                (PICTURE, "depth_blur", "keeper.blur"),
            )
            if key in study.entries
        ),
    )
    for group, event, limit in held:
        yield group, _part(single(events, event) - single(nominal, event), limit)
    if "exposure" in nominal:
        stops = math.log2(single(events, "exposure") / single(nominal, "exposure"))
        yield PICTURE, _part(stops, study.number("keeper.exposure"))


def _part(moved: float, limit: float) -> float:
    if math.isnan(moved) or moved == 0.0:
        return 0.0
    return abs(moved) / limit if limit > 0.0 else math.inf
