"""Ways to first-order and total Sobol' indices of the age: jitter's and those of libraries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import openturns
import SALib.analyze.sobol
import SALib.sample.sobol
from scipy.stats import sobol_indices, uniform

from jitter.answers.rank.frames import AGE
from jitter.answers.rank.indices import Sums, ratios, swap_terms
from jitter.answers.rank.inputs import Input
from jitter.answers.rank.sensitivity import PARTNER, answer_sensitivity
from jitter.arrays import Array
from jitter.draws.deviates import Deviates, draw
from jitter.draws.values import UNSCALED, value, values
from jitter.quantities import argument
from jitter.smooth.points import Scores, asked, rows, sobol
from jitter.stage import Events, walk
from tests.benchmark.model import Model

Both = tuple[Array, Array]
"""First-order and total indices of every input, (k,); NaN where a method has none of it."""


def jitter_alone(model: Model, pairs: int, seed: int) -> Both:
    """Use jitter's estimator for the age as set by ruler, and for nothing else."""
    columns = asked(model.road.study).columns
    pair = {f"{name}{end}": count for name, count in columns.items() for end in ("", PARTNER)}
    net = sobol(pair, seed=seed, replicates=1, points=pairs)
    first, total = _swaps(
        model,
        *(Scores({name: net.by_name[f"{name}{end}"] for name in columns}) for end in ("", PARTNER)),
    )
    return ratios(first)[0], ratios(total)[0]


def _swaps(model: Model, *halves: Scores) -> tuple[Sums, Sums]:
    study, road = model.road.study, model.road
    drawn = [draw(study, rows(half.points), source=half) for half in halves]
    fired = [walk(road.aim, {**road.fixed, **values(study, each)}) for each in drawn]

    def swapped(place: int, one: Input) -> Array:
        own, theirs = drawn[place], drawn[1 - place]
        mixed = Deviates(dict(own.setup), dict(own.shot), own.frame_number)
        for where, key in one.slots:
            getattr(mixed, where)[key] = getattr(theirs, where)[key]
        keys = {key for _, key in one.slots}
        new: Events = {argument(key): value(study, key, mixed, UNSCALED) for key in keys}
        return _age(walk(road.aim, fired[place] | new, set(new)))

    return swap_terms(
        base=_age(fired[0]),
        other=_age(fired[1]),
        base_swapped=np.stack([swapped(0, one) for one in model.inputs]),
        other_swapped=np.stack([swapped(1, one) for one in model.inputs]),
    )


def _age(events: Events) -> Array:
    return np.asarray(events["age"])[:, 0]


def jitter_rank(model: Model, pairs: int, seed: int) -> Both:
    """Use all that `rank` answers about shares of the variance."""
    road = replace(model.road, study=replace(model.road.study, seed=seed))
    found = answer_sensitivity(road, model.inputs, [], pairs=pairs, workers=1)
    parts = found.parts["as_set", AGE]
    return (
        np.array([part.first.estimate.value for part in parts]),
        np.array([part.total.estimate.value for part in parts]),
    )


def salib(model: Model, points: int, seed: int) -> Both:
    """Use SALib, which can take several columns as one input."""
    groups = {place: one.name + one.level for one in model.inputs for place in model.columns(one)}
    count = len(model.names)
    owners = [groups[place] for place in range(count)]
    asked = {
        "num_vars": count,
        "names": list(model.names),
        "bounds": [[0.0, 1.0]] * count,
        "groups": owners,
    }
    numbers = SALib.sample.sobol.sample(asked, points, calc_second_order=False, seed=seed)
    found = SALib.analyze.sobol.analyze(
        asked, model.age(numbers), calc_second_order=False, seed=seed
    )
    at = {name: place for place, name in enumerate(dict.fromkeys(owners))}
    places = [at[one.name + one.level] for one in model.inputs]
    return np.asarray(found["S1"])[places], np.asarray(found["ST"])[places]


def scipy(model: Model, points: int, seed: int) -> Both:
    """Use scipy, which takes every column by itself."""
    found = sobol_indices(
        func=lambda numbers: model.age(numbers.T),
        n=points,
        dists=[uniform()] * len(model.names),  # type: ignore[list-item]
        rng=np.random.default_rng(seed),
    )
    return _single(model, found.first_order, found.total_order)


def turns(algorithm: str) -> Callable[[Model, int, int], Both]:
    """Use OpenTURNS, which takes every column by itself, with one of its estimators."""

    def work(model: Model, points: int, seed: int) -> Both:
        count = len(model.names)
        openturns.RandomGenerator.SetSeed(seed)
        law = openturns.JointDistribution([openturns.Uniform(0.0, 1.0)] * count)
        design = openturns.LowDiscrepancyExperiment(openturns.SobolSequence(), law, points, True)
        design.setRandomize(True)
        numbers = openturns.SobolIndicesExperiment(design, False).generate()
        ages = openturns.Sample(model.age(np.asarray(numbers))[:, None])
        found = getattr(openturns, algorithm)(numbers, ages, points)
        return _single(model, found.getFirstOrderIndices(), found.getTotalOrderIndices())

    return work


def _single(model: Model, first: Array, total: Array) -> Both:
    """Return the indices of inputs that have one column only."""
    columns = [model.columns(one) for one in model.inputs]
    made = [
        np.array([found[own[0]] if len(own) == 1 else np.nan for own in columns])
        for found in (first, total)
    ]
    return made[0], made[1]


METHODS: Mapping[str, Callable[[Model, int, int], Both]] = {
    "jitter, the age alone": jitter_alone,
    "jitter, as `rank`: age and hit, both ways, Shapley": jitter_rank,
    "SALib, Saltelli's points": salib,
    "scipy.stats.sobol_indices": scipy,
    "OpenTURNS, Saltelli": turns("SaltelliSensitivityAlgorithm"),
    "OpenTURNS, Jansen": turns("JansenSensitivityAlgorithm"),
}
