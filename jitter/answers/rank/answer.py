"""The ranking in full: what every spread costs, makes of the age and makes of the hit."""

from __future__ import annotations

from dataclasses import dataclass

from jitter.answers.ages import Ages
from jitter.answers.effort import Effort
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.rank.budget import Budget, budget
from jitter.answers.rank.effects import Effect, answer_effects
from jitter.answers.rank.frames import Output
from jitter.answers.rank.groups import GROUPS, cause_group, level_group
from jitter.answers.rank.inputs import Input, inputs
from jitter.answers.rank.sensitivity import Part, answer_sensitivity
from jitter.answers.rank.simulated import simulate_ages
from jitter.answers.rank.steady import Steady, answer_steady
from jitter.answers.warnings import find_warnings, unaimed
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road

SETUPS, SHOTS = 1024, 32
"""They leave about half a percentage point of doubt about the larger gains."""
SHARE = 8
"""So many shots for each pair of frames that the indices rest on."""
FEWEST = 64
"""Pairs of frames at the least."""
MOST = 1_000_000
"""Shots at the most: what each set-up gains is kept for every spread."""


@dataclass(frozen=True)
class Row:
    """What an input, or a group of inputs, costs and makes.

    Attributes
    ----------
    parts
        What it has to do with the age and the hit, by output.
    """

    parts: dict[Output, Part]


@dataclass(frozen=True)
class InputRow(Row):
    """What an input costs and makes.

    Attributes
    ----------
    one
        The input.
    level, cause
        The groups that it belongs to.
    effects
        Change of the hit rate by scaling its spread, by way; None where it has none to scale.
    """

    one: Input
    level: str
    cause: str
    effects: dict[str, Effect] | None


@dataclass(frozen=True)
class GroupRow(Row):
    """What a group of inputs makes.

    Attributes
    ----------
    name
        One of `GROUPS`.
    size
        Inputs in it, at least one.
    """

    name: str
    size: int


@dataclass(frozen=True)
class RankAnswer:
    """The answer to `jitter rank`.

    Attributes
    ----------
    study
        What was fired.
    layout
        Seed, set-ups and shots behind the simulated age.
    effort
        Points or draws behind the gains.
    pairs
        Pairs of frames behind the indices.
    rates
        Hit rate as it is, both ways.
    rows
        Every input, the costliest first.
    groups
        Groups that have members.
    steady
        What a small steady error of each value does.
    budget
        Of the age, as set by ruler.
    ages
        The simulated age beside it.
    unaimed
        What is wrong where even the shot in which nothing strays is no keeper; else empty.
    warnings
        Where the model or the study is out of its depth, and what that means.
    """

    study: Study
    layout: Layout
    effort: Effort
    pairs: int
    rates: dict[str, Estimate]
    rows: tuple[InputRow, ...]
    groups: tuple[GroupRow, ...]
    steady: tuple[Steady, ...]
    budget: Budget
    ages: Ages
    unaimed: str
    warnings: tuple[str, ...]


def answer_rank(
    study: Study,
    chain: Chain,
    *,
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> RankAnswer:
    """Rank every source of error by what it costs and by what it makes of the age and the hit.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    setups, shots
        Set-ups, at least 2, and shots of each: random draws, where either is asked for; otherwise
        the gains come from points.
    workers
        Threads; changes no digit.
    progress
        Told of progress.
    """
    road, nominal = open_road(study, chain), nominal_shot(study, chain)
    drawn = setups is not None or shots is not None
    layout = Layout(study.seed, setups or SETUPS, shots or SHOTS)
    pairs = max(FEWEST, layout.setups * layout.shots // SHARE)
    ones = inputs(study)
    causes = [cause_group(study, chain, nominal, one) for one in ones]
    levels = [level_group(one) for one in ones]
    named = {name: _members(name, levels, causes) for name in GROUPS}
    held = {name: members for name, members in named.items() if members}
    mended = [one.source for one in ones if one.source is not None]

    def half(second: int) -> Progress:
        return lambda done, total: progress(second * total + done, 2 * total)

    effects = answer_effects(road, mended, layout, drawn=drawn, workers=workers, progress=half(0))
    found = answer_sensitivity(
        road, ones, list(held.values()), pairs=pairs, workers=workers, progress=half(1)
    )
    parts = [
        {output: each[place] for output, each in found.parts.items()}
        for place in range(len(ones) + len(held))
    ]
    scaled = iter(range(len(mended)))
    rows = [
        InputRow(
            parts[place],
            one,
            levels[place],
            causes[place],
            None if one.source is None else _of(effects.by_way, next(scaled)),
        )
        for place, one in enumerate(ones)
    ]
    return RankAnswer(
        study=study,
        layout=layout,
        effort=effects.effort,
        pairs=pairs,
        rates=effects.rates,
        rows=tuple(sorted(rows, key=_cost, reverse=True)),
        groups=tuple(
            GroupRow(part, name, len(members))
            for part, (name, members) in zip(parts[len(ones) :], held.items(), strict=True)
        ),
        steady=answer_steady(road, mended, effects.effort, workers=workers),
        budget=budget(study, chain, nominal),
        ages=simulate_ages(road, layout, workers=workers),
        unaimed=unaimed(study, nominal),
        warnings=find_warnings(study, nominal),
    )


def _members(name: str, levels: list[str], causes: list[str]) -> list[int]:
    both = zip(levels, causes, strict=True)
    return [place for place, groups in enumerate(both) if name in groups]


def _of(by_way: dict[str, tuple[Effect, ...]], place: int) -> dict[str, Effect]:
    return {way: by_way[way][place] for way in WAYS}


def _cost(row: InputRow) -> float:
    """Return the larger of the two gains when removed; what cannot be removed comes last."""
    if row.effects is None:
        return -1.0
    return max(row.effects[way].removed.value for way in WAYS)
