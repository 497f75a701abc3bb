"""A typical frame of each look: as the study gives it, or a what-if that brings it about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.scenes import Scene, scene
from jitter.answers.staged import staged
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.stage import Chain, Events, walk
from jitter.stages.look import EXPOSED, LATE, LOOKS, LOPSIDED, SMEARED, SOFT, TWICE
from jitter.study.study import Study
from jitter.trial import open_road

SETUPS, SHOTS = 128, 32
"""A look that one frame in five hundred has is found about eight times."""
ENOUGH = 8
"""Frames of a look from which the middle one is taken."""
SEED = 6
"""Examples are the same whatever the study's seed."""
BEYOND = 2.0
"""A frame shows a fault clearly that is so many times as large as a keeper may have."""
MEASURES = (
    *("drop_height", "tip_height", "sheet_width", "off_centre"),
    *("motion_blur", "depth_blur", "edge_gap"),
)
"""Events by which frames of a look differ."""


@dataclass(frozen=True)
class Example:
    """A typical frame of a look.

    Attributes
    ----------
    scene
        What it shows.
    what_if
        What had to be different from the study for such frames to be common enough, in words; ""
        where nothing had to.
    """

    scene: Scene
    what_if: str


def typical(study: Study, chain: Chain, look: int) -> Example | None:
    """Return a typical frame of one look, or None where no what-if of ours brings it about.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    look
        Index into `jitter.stages.look.LOOKS`.
    """
    return examples(study, chain, (look,)).get(look)


def examples(
    study: Study, chain: Chain, looks: tuple[int, ...] = tuple(range(len(LOOKS)))
) -> Mapping[int, Example]:
    """Return a typical frame of each look: the one nearest to the middle of its kind.

    The study is fired as described, then with what-ifs that make rare looks common, until each has
    been seen often enough and clearly: faults beyond a keeper's limit, twice beyond it. All on
    the same draws, with the delay as set by ruler.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    looks
        Indices into `jitter.stages.look.LOOKS`.

    Returns
    -------
    mapping
        By look, in the order of `LOOKS`; without those that no what-if brings about.
    """
    found: dict[int, Example] = {}
    unclear: dict[int, Example] = {}
    for what_if in staged(study, chain):
        wanted = [look for look in looks if look not in found and LOOKS[look] in what_if.looks]
        if not wanted:
            continue
        events = _fire(what_if.study, chain)
        seen = np.broadcast_to(events["look"], (SETUPS, SHOTS))
        clear = _clear(events)
        for look in wanted:
            shown = seen == look
            for kept, among in ((unclear, shown), (found, shown & clear.get(look, True))):
                if among.sum() >= ENOUGH and look not in kept:
                    kept[look] = Example(scene(events, middle_frame(events, among)), what_if.words)
    return {look: (unclear | found)[look] for look in sorted(unclear | found)}


def _fire(study: Study, chain: Chain) -> Events:
    road = open_road(study, chain, wanted=("look",))
    block = Block(Layout(SEED, SETUPS, SHOTS), 0, SETUPS, 0, SHOTS)
    return walk(road.shot, {**road.fixed, **values(study, draw(study, block))})


def _clear(events: Events) -> dict[int, NDArray[np.bool_]]:
    """Return which frames show a fault clearly, by the look that it makes."""
    widths = events["second_diameter"] + events["jet_head_ratio"] * events["first_diameter"]
    blur = BEYOND * events["keeper_blur"]
    return {
        # One that has drawn back further hardly looks like an umbrella.
        LATE: events["sheet_width"] > BEYOND * events["second_diameter"],
        # One that lops towards the camera or away from it looks straight.
        LOPSIDED: 2.0 * np.abs(events["side"]) > events["keeper_off_centre"] * widths,
        TWICE: events["edge_gap"] > blur,
        EXPOSED: np.abs(np.log2(events["exposure"])) > BEYOND * events["keeper_exposure"],
        SMEARED: events["motion_blur"] > blur,
        SOFT: events["depth_blur"] > blur,
    }


def middle_frame(events: Events, shown: NDArray[np.bool_]) -> tuple[int, int]:
    """Return the row and the column of the frame nearest to the median of those shown.

    In each measure, in units of the distance between the quartiles.

    Parameters
    ----------
    events
        Of a block of shots, of every stage towards the look.
    shown : array (s, n) of bool
        At least one is true.
    """
    measures = [events[name] for name in MEASURES]
    measures += [np.abs(events["side"]), np.log2(events["exposure"])]
    # Where there is nothing to measure, the moment still counts.
    measures.append(events["light_time"] - events["first_landing"])
    distance: Array = np.zeros(int(shown.sum()))
    for measure in measures:
        told = np.broadcast_to(measure, shown.shape)[shown]
        if np.isnan(told).all():
            continue
        low, middle, high = np.nanquantile(told, (0.25, 0.5, 0.75))
        if high > low:
            distance += np.nan_to_num(((told - middle) / (high - low)) ** 2)
    row, column = np.argwhere(shown)[int(np.argmin(distance))]
    return int(row), int(column)
