"""Ways to the hit rate as set by ruler: jitter's and those of libraries."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import openturns
import openturns.experimental
from scipy.special import ndtr
from scipy.stats import qmc

from jitter.answers.smooth_hits import REPLICATES, smooth_what_ifs
from jitter.arrays import Array
from jitter.draws.layout import Layout
from tests.benchmark.model import Model
from tests.benchmark.plain import shares

BATCH = 4096
"""Points that a library asks for at once."""
Rate = Callable[[Model, int, int], float]
"""From a model, a number of points and a seed."""


def jitter_smooth(model: Model, points: int, seed: int) -> float:
    """Use the smooth road."""
    road = replace(model.road, study=replace(model.road.study, seed=seed))
    each = max(points // REPLICATES, 1)
    (hits,) = smooth_what_ifs(road, [road.study], ways=("as_set",), points=each, workers=1)
    return float(hits.shares("as_set").mean())


def jitter_plain(model: Model, points: int, seed: int) -> float:
    """Use plain simulation, a shot in each set-up."""
    return float(shares(model.road, Layout(seed, points, 1), "as_set").mean())


def scipy_sobol(model: Model, points: int, seed: int) -> float:
    """Put scipy's scrambled Sobol' points into the model, steps and all."""
    net = qmc.Sobol(len(model.names), rng=np.random.default_rng(seed))
    return float(model.hit(np.asarray(net.random(points))).mean())


def _event(model: Model) -> tuple[openturns.ThresholdEvent, openturns.JointDistribution]:
    """Return the event of a keeper among independent normal scores."""

    def hit(scores: Array) -> Array:
        return model.hit(ndtr(np.asarray(scores)))[:, None]

    count = len(model.names)
    law = openturns.JointDistribution([openturns.Normal()] * count)
    function = openturns.PythonFunction(count, 1, func_sample=hit)
    vector = openturns.CompositeRandomVector(function, openturns.RandomVector(law))
    return openturns.ThresholdEvent(vector, openturns.Greater(), 0.5), law


def turns_random(model: Model, points: int, seed: int) -> float:
    """Use OpenTURNS with random points."""
    openturns.RandomGenerator.SetSeed(seed)
    event, _ = _event(model)
    return _simulated(event, openturns.MonteCarloExperiment(), points)


def turns_sobol(model: Model, points: int, seed: int) -> float:
    """Use OpenTURNS with Sobol' points, shifted at random."""
    openturns.RandomGenerator.SetSeed(seed)
    event, law = _event(model)
    sequence = openturns.SobolSequence(len(model.names))
    design = openturns.LowDiscrepancyExperiment(sequence, law, min(points, BATCH), False)
    design.setRandomize(True)
    return _simulated(event, design, points)


def _simulated(event: openturns.ThresholdEvent, design: object, points: int) -> float:
    algorithm = openturns.ProbabilitySimulationAlgorithm(event, design)
    algorithm.setBlockSize(min(points, BATCH))
    algorithm.setMaximumOuterSampling(max(points // BATCH, 1))
    algorithm.setMaximumCoefficientOfVariation(-1.0)
    algorithm.run()
    return float(algorithm.getResult().getProbabilityEstimate())


def turns_lines(model: Model, points: int, seed: int) -> float:
    """Use OpenTURNS' line sampling along the direction in which the age changes fastest."""
    openturns.RandomGenerator.SetSeed(seed)
    event, _ = _event(model)
    count = len(model.names)
    around = ndtr(np.concatenate([np.eye(count), -np.eye(count)]))
    ages = model.age(around)
    slope = np.nan_to_num(ages[:count] - ages[count:])
    algorithm = openturns.experimental.LineSampling(
        event, openturns.Point(slope / np.linalg.norm(slope)), openturns.MediumSafe()
    )
    algorithm.setSearchOppositeDirection(True)
    algorithm.setAdaptiveImportantDirection(False)
    algorithm.setMaximumOuterSampling(points)
    algorithm.setBlockSize(1)
    algorithm.setMaximumCoefficientOfVariation(-1.0)
    algorithm.run()
    return float(algorithm.getResult().getProbabilityEstimate())


@dataclass(frozen=True)
class Method:
    """A road to the hit rate.

    Attributes
    ----------
    name
        Of it.
    rate
        Its work.
    fewest, most
        Points between which it is tried; beyond, its error is taken to fall as 1/√points.
    random
        Whether its points are, and its error therefore that of a share.
    """

    name: str
    rate: Rate
    fewest: int
    most: int
    random: bool = False


METHODS = (
    Method("jitter, smooth", jitter_smooth, 256, 1 << 16),
    Method("jitter, plain", jitter_plain, 1 << 16, 1 << 16, random=True),
    Method("scipy, Sobol' points", scipy_sobol, 1 << 14, 1 << 17),
    Method("OpenTURNS, random points", turns_random, 1 << 16, 1 << 16, random=True),
    Method("OpenTURNS, Sobol' points", turns_sobol, 1 << 14, 1 << 16),
    Method("OpenTURNS, line sampling", turns_lines, 8, 8),
)
