"""What each input has to do with the age and with the hit: Sobol' indices and Shapley shares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from jitter.answers.rank.frames import (
    HIT,
    OUTPUTS,
    Fired,
    Output,
    fire_anew,
    fire_frames,
    outputs,
    trimmed,
)
from jitter.answers.rank.indices import Index, Sums, indices, path_terms, sum_terms, swap_terms
from jitter.answers.rank.inputs import (
    Draws,
    Input,
    deviates,
    draw_frames,
    joint,
    rows_of,
    second_seed,
    swapped,
)
from jitter.answers.workers import Progress, silent, work_through
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout, blocks
from jitter.draws.streams import Streams
from jitter.draws.values import values
from jitter.stage import walk
from jitter.study.study import Study
from jitter.trial import Road

ROWS = 4096
"""Pairs of frames worked through at once: enough that Python's own work is the smaller part. Sums
are kept of so many, so that it is no parameter."""


@dataclass(frozen=True)
class Part:
    """What an input, or a group of inputs, has to do with an output.

    Attributes
    ----------
    first
        First-order Sobol' index: the share of the variance that it makes alone.
    total
        Total Sobol' index: the share that would be left if all else were known. For a hit, how
        often drawing it anew turns the outcome, over 2 p (1 - p).
    shapley
        Shapley share: its fair share of the variance, of alone and together. They sum to 1.
    """

    first: Index
    total: Index
    shapley: Index


@dataclass(frozen=True)
class Sensitivity:
    """What the inputs have to do with the outputs.

    Attributes
    ----------
    pairs
        Pairs of frames behind it.
    parts
        By output: of every input, then of every group.
    """

    pairs: int
    parts: dict[Output, tuple[Part, ...]]


def _swaps(
    road: Road, base: Draws, other: Draws, ones: Sequence[Input], count: int
) -> dict[Output, tuple[Sums, Sums]]:
    """Return the terms of first-order and total indices of inputs and groups."""
    fired = (fire_frames(road, base), fire_frames(road, other))
    plain = [outputs(each, count) for each in fired]
    mixed: list[tuple[dict[Output, Array], ...]] = []
    for one in ones:
        draws = (swapped(base, other, one), swapped(other, base, one))
        mixed.append(
            tuple(
                outputs(fire_anew(road, each, drawn, one), count)
                for each, drawn in zip(fired, draws, strict=True)
            )
        )
    return {
        output: swap_terms(
            base=plain[0][output],
            other=plain[1][output],
            base_swapped=np.stack([pair[0][output] for pair in mixed]),
            other_swapped=np.stack([pair[1][output] for pair in mixed]),
        )
        for output in OUTPUTS
    }


def _paths(
    road: Road, base: Draws, other: Draws, ones: Sequence[Input], order: NDArray[np.int64]
) -> dict[Output, Array]:
    """Return the outputs along each frame's path from one set of draws to the other, (d + 1, n).

    Each frame goes its own way: at a step some input is drawn anew in each, not the same in all.
    """
    count = len(order)
    state = {slot: array.copy() for slot, array in base.items()}
    fired = fire_frames(road, state)
    first = walk([road.chain.trimming], fired.trimming)["delay_correction"]
    moved = np.broadcast_to(first, (count, 1)).copy()
    found = [outputs(fired, count)]
    trims = np.array([one.lasts for one in ones])
    for step in order.T:
        for place, one in enumerate(ones):
            rows = np.flatnonzero(step == place)
            for slot in one.slots:
                state[slot][..., rows, :] = other[slot][..., rows, :]
        own, _ = deviates(state)
        as_set = walk(road.shot, {**road.fixed, **values(road.study, own)})
        rows = np.flatnonzero(trims[step])
        if len(rows):
            _, shot_to_trim = deviates(rows_of(state, rows))
            trimming = walk(road.aim, {**road.fixed, **values(road.study, shot_to_trim)})
            moved[rows] = walk([road.chain.trimming], trimming)["delay_correction"]
        found.append(outputs(Fired({}, as_set, trimmed(road, as_set, moved)), count))
    return {output: np.stack([each[output] for each in found]) for output in OUTPUTS}


def answer_sensitivity(
    road: Road,
    ones: Sequence[Input],
    groups: Sequence[Sequence[int]],
    *,
    pairs: int,
    workers: int | None = None,
    progress: Progress = silent,
) -> Sensitivity:
    """Estimate what every input has to do with the age and with the hit, both ways.

    Two independent sets of frames, each the only shot of its set-up, are drawn from two seeds.
    For the Sobol' indices one input of each is swapped; for the Shapley shares each frame is
    turned into its partner one input at a time in a random order. Where one of a row's frames has
    no age, that row says nothing about the age: the indices of the age are those among frames
    that have one.

    Parameters
    ----------
    road
        A study, ready to fire.
    ones
        Its inputs.
    groups
        Members of each group, at least one, as places among the inputs.
    pairs
        Pairs of frames.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    study = road.study
    layouts = (Layout(study.seed, pairs, 1), Layout(second_seed(study.seed), pairs, 1))
    joints = [joint([ones[place] for place in group], name="group") for group in groups]
    member = np.zeros((len(groups), len(ones)))
    for row, group in zip(member, groups, strict=True):
        row[list(group)] = 1.0

    def work(block: Block) -> dict[Output, tuple[Sums, Sums, Sums]]:
        base, other = (
            draw_frames(study, Block(layout, block.first_setup, block.setups, 0, 1))
            for layout in layouts
        )
        order = _orders(study, block, len(ones))
        swaps = _swaps(road, base, other, [*ones, *joints], block.setups)
        made = {}
        for output, path in _paths(road, base, other, ones, order).items():
            top, bottom = path_terms(path=path, order=order)
            every = np.concatenate([top, member @ top])
            made[output] = (*swaps[output], sum_terms(top=every, bottom=bottom))
        return made

    total: dict[Output, tuple[Sums, ...]] = {}
    pieces = list(blocks(layouts[0], size=ROWS))
    for made in work_through(work, pieces, workers=workers, progress=progress):
        for output, sums in made.items():
            kept = total.get(output)
            total[output] = (
                sums if kept is None else tuple(a + b for a, b in zip(kept, sums, strict=True))
            )
    return Sensitivity(pairs, {output: _parts(output, sums) for output, sums in total.items()})


def _orders(study: Study, block: Block, count: int) -> NDArray[np.int64]:
    """Return a random order of the inputs for each frame, (n, d)."""
    keys = np.empty((block.setups, count))
    Streams(study.seed).fill(keys, "order of the path", first=block.first_setup * count)
    return np.argsort(keys, axis=1)


def _parts(output: Output, sums: tuple[Sums, ...]) -> tuple[Part, ...]:
    scale = 1.0 if output[1] == HIT else 0.0
    found = (
        indices(each, largest=scale * most)
        for each, most in zip(sums, (2.0, 2.0, 0.5), strict=True)
    )
    return tuple(Part(*each) for each in zip(*found, strict=True))
