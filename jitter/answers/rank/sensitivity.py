"""What each input has to do with the age and with the hit: Sobol' indices and Shapley shares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

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
    SESSION,
    Draws,
    Input,
    deviates,
    draw_frames,
    joint,
    rows_of,
    second_seed,
    swapped,
)
from jitter.answers.session import drifts
from jitter.answers.workers import Progress, silent, work_through
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.draws.streams import Streams
from jitter.draws.values import values
from jitter.smooth.points import DIMENSIONS, Scores, asked, sobol
from jitter.stage import walk
from jitter.study.study import Study
from jitter.trial import Road

SETS = 16
"""Independent sets of pairs of frames."""
ROWS = 2048
"""Pairs of frames that are worked at once, in whole sets: so many that Python's own work is the
smaller part."""
PARTNER = "'"
"""Behind the name of a stream: that of the second of a pair."""


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


class _Swapped(NamedTuple):
    """Outputs of frames, (n,), and with one input or group from their partners, (k, n)."""

    base: Array
    other: Array
    base_swapped: Array
    other_swapped: Array

    def some(self, mine: slice) -> _Swapped:
        """Return the outputs of some of the frames."""
        return _Swapped(*(each[..., mine] for each in self))


def _swaps(
    road: Road, base: Draws, other: Draws, ones: Sequence[Input], count: int
) -> dict[Output, _Swapped]:
    """Return the outputs of both sets, and of each with one input or group from the other."""
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
        output: _Swapped(
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

    Two frames, each the only shot of its set-up, are drawn at each point of a net that has
    dimensions for both; at random where there are too many for a net. For the Sobol' indices one
    input of each is swapped; for the Shapley shares each frame is turned into its partner one input
    at a time in a random order. Where one of a row's frames has no age, that row says nothing about
    the age: the indices of the age are those among frames that have one.

    Parameters
    ----------
    road
        A study, ready to fire.
    ones
        Its inputs.
    groups
        Members of each group, at least one, as places among the inputs.
    pairs
        Pairs of frames, about: of each of the 16 sets a power of 2.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    study = road.study
    points = 1 << max(round(math.log2(pairs / SETS)), 1)
    layout, other_layout = (
        Layout(seed, SETS * points, 1) for seed in (study.seed, second_seed(study.seed))
    )
    nets = _nets(study, points)
    joints = [joint([ones[place] for place in group], name="group") for group in groups]
    member = np.zeros((len(groups), len(ones)))
    for row, group in zip(member, groups, strict=True):
        row[list(group)] = 1.0

    def work(first: int) -> list[dict[Output, tuple[Sums, Sums, Sums]]]:
        many = min(at_once, SETS - first)
        mine = slice(first * points, (first + many) * points)
        block, beside = (
            Block(each, mine.start, many * points, 0, 1) for each in (layout, other_layout)
        )
        base, other = (
            draw_frames(study, each, source=None if net is None else net.some(mine))
            for each, net in zip((block, beside), nets, strict=True)
        )
        order = _orders(study, block, len(ones))
        swaps = _swaps(road, base, other, [*ones, *joints], block.setups)
        paths = _paths(road, base, other, ones, order)

        def sums(output: Output, some: slice) -> tuple[Sums, Sums, Sums]:
            one = swaps[output].some(some)
            top, bottom = path_terms(path=paths[output][:, some], order=order[some])
            every = np.concatenate([top, member @ top])
            return (*swap_terms(**one._asdict()), sum_terms(top=every, bottom=bottom))

        each = [slice(place * points, (place + 1) * points) for place in range(many)]
        return [{output: sums(output, some) for output in OUTPUTS} for some in each]

    at_once = max(ROWS // points, 1)
    pieces = range(0, SETS, at_once)
    found = work_through(work, pieces, workers=workers, progress=progress)
    sets = [made for some in found for made in some]
    return Sensitivity(
        SETS * points,
        {output: _parts(output, [made[output] for made in sets]) for output in OUTPUTS},
    )


def _nets(study: Study, points: int) -> tuple[Scores | None, Scores | None]:
    """Return the scores of both frames of each pair; None for both where they are drawn."""
    columns = {
        **asked(study).columns,
        **asked(study, trimming=True).columns,
        **({SESSION: 1} if drifts(study) else {}),
    }
    if 2 * sum(columns.values()) > DIMENSIONS:
        return None, None
    # The pair's numbers of one stream stand side by side: the first dimensions are the best.
    names = {f"{name}{end}": count for name, count in columns.items() for end in ("", PARTNER)}
    net = sobol(names, seed=study.seed, replicates=SETS, points=points)
    first, second = (
        Scores({name: net.by_name[f"{name}{end}"] for name in columns}) for end in ("", PARTNER)
    )
    return first, second


def _orders(study: Study, block: Block, count: int) -> NDArray[np.int64]:
    """Return a random order of the inputs for each frame, (n, d)."""
    keys = np.empty((block.setups, count))
    Streams(study.seed).fill(keys, "order of the path", first=block.first_setup * count)
    return np.argsort(keys, axis=1)


def _parts(output: Output, sets: Sequence[tuple[Sums, Sums, Sums]]) -> tuple[Part, ...]:
    scale = 1.0 if output[1] == HIT else 0.0
    found = (
        indices([made[kind] for made in sets], largest=scale * most)
        for kind, most in enumerate((2.0, 2.0, 0.5))
    )
    return tuple(Part(*each) for each in zip(*found, strict=True))
