"""Functions whose Sobol' indices and Shapley shares are known, and the estimators run on them."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from itertools import combinations, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from jitter.answers.rank.indices import Index, Sums, indices, path_terms, sum_terms, swap_terms
from jitter.answers.rank.sensitivity import SETS
from jitter.arrays import Array

Closed = Callable[[frozenset[int]], float]
"""Share of the variance that a set of inputs makes by itself, of 1."""


class Known(NamedTuple):
    """A function of independent inputs with its variance shared out in closed form."""

    name: str
    inputs: int
    work: Callable[[Array], Array]  # uniform numbers (d, n) to outputs (n,)
    closed: Closed
    binary: bool = False

    @property
    def everything(self) -> frozenset[int]:
        return frozenset(range(self.inputs))

    def first(self) -> list[float]:
        return [self.closed(frozenset({place})) for place in range(self.inputs)]

    def total(self) -> list[float]:
        return [1.0 - self.closed(self.everything - {place}) for place in range(self.inputs)]

    def shapley(self) -> list[float]:
        """Return the Shapley shares, by their definition over all subsets."""
        shares = []
        for place in range(self.inputs):
            others = sorted(self.everything - {place})
            share = 0.0
            for size in range(self.inputs):
                weight = 1.0 / (self.inputs * math.comb(self.inputs - 1, size))
                for some in map(frozenset, combinations(others, size)):
                    share += weight * (self.closed(some | {place}) - self.closed(some))
            shares.append(share)
        return shares


def ishigami(a: float = 7.0, b: float = 0.1) -> Known:
    """Return Ishigami's function of three inputs uniform over (-π, π)."""
    # closed form: integrals of sin², sin⁴ and x⁸ over (-π, π).
    parts = {
        frozenset({0}): 0.5 * (1.0 + b * math.pi**4 / 5.0) ** 2,
        frozenset({1}): a * a / 8.0,
        frozenset({0, 2}): b * b * math.pi**8 * 8.0 / 225.0,
    }

    def work(uniform: Array) -> Array:
        x = math.pi * (2.0 * uniform - 1.0)
        found: Array = np.sin(x[0]) * (1.0 + b * x[2] ** 4) + a * np.sin(x[1]) ** 2
        return found

    return Known("Ishigami", 3, work, _of_parts(parts))


def _of_parts(parts: dict[frozenset[int], float]) -> Closed:
    whole = math.fsum(parts.values())
    return lambda some: math.fsum(size for part, size in parts.items() if part <= some) / whole


def g_function(*a: float) -> Known:
    """Return Sobol's g-function."""
    weights = np.array(a)[:, None]
    # closed form: each factor has mean 1 and variance 1/(3 (1 + a)²).
    single = [1.0 / (3.0 * (1.0 + each) ** 2) for each in a]
    whole = math.prod(1.0 + each for each in single) - 1.0

    def work(uniform: Array) -> Array:
        factors = (np.abs(4.0 * uniform - 2.0) + weights) / (1.0 + weights)
        found: Array = factors.prod(axis=0)
        return found

    def closed(some: frozenset[int]) -> float:
        return (math.prod(1.0 + single[place] for place in some) - 1.0) / whole

    return Known(f"g {a}", len(a), work, closed)


def linear_hit(*slopes: float, width: float) -> Known:
    """Return whether a sum of slopes times normal numbers stays within plus and minus a width."""
    sizes = np.array(slopes)[:, None]
    deviation = math.sqrt(math.fsum(slope * slope for slope in slopes))
    w = width / deviation
    rate = float(2.0 * ndtr(w) - 1.0)
    nodes, weights = np.polynomial.legendre.leggauss(200)

    def both(r: float) -> float:
        """Return P(|U| < w, |V| < w) of normal U, V with correlation r."""
        if r >= 1.0:
            return rate
        u, rest = w * nodes, math.sqrt(1.0 - r * r)
        inside = ndtr((w - r * u) / rest) - ndtr((-w - r * u) / rest)
        density = np.exp(-0.5 * u * u) / math.sqrt(2.0 * math.pi)
        return float(w * (weights * density * inside).sum())

    def closed(some: frozenset[int]) -> float:
        shared = math.fsum(slopes[place] ** 2 for place in some) / deviation**2
        return (both(shared) - rate * rate) / (rate * (1.0 - rate))

    def work(uniform: Array) -> Array:
        error = (sizes * ndtri(uniform)).sum(axis=0)
        hit: Array = (np.abs(error) < width).astype(np.float64)
        return hit

    return Known("linear hit", len(slopes), work, closed, binary=True)


def linear_sum(*slopes: float) -> Known:
    """Return a sum of slopes times normal numbers."""
    sizes = np.array(slopes)[:, None]
    parts = {frozenset({place}): slope * slope for place, slope in enumerate(slopes)}

    def work(uniform: Array) -> Array:
        found: Array = (sizes * ndtri(uniform)).sum(axis=0)
        return found

    return Known(f"sum {slopes}", len(slopes), work, _of_parts(parts))


class Estimates(NamedTuple):
    """What our estimators say, input by input."""

    first: tuple[Index, ...]
    total: tuple[Index, ...]
    shapley: tuple[Index, ...]


class Sample(NamedTuple):
    """Outputs of a function on two samples, on both with an input swapped, and along paths."""

    base: Array
    other: Array
    base_swapped: Array
    other_swapped: Array
    path: Array
    order: NDArray[np.int64]


def draw(known: Known, *, rows: int, seed: int) -> Sample:
    rng = np.random.Generator(np.random.PCG64DXSM(seed))
    one, two = rng.random((2, known.inputs, rows))
    order = np.argsort(rng.random((rows, known.inputs)), axis=1)
    mixed: list[tuple[Array, Array]] = []
    for place in range(known.inputs):
        pair = one.copy(), two.copy()
        pair[0][place], pair[1][place] = two[place], one[place]
        mixed.append((known.work(pair[0]), known.work(pair[1])))
    state, path = one.copy(), [known.work(one)]
    for step in order.T:
        state[step, np.arange(rows)] = two[step, np.arange(rows)]
        path.append(known.work(state))
    swapped = [np.stack(outputs) for outputs in zip(*mixed, strict=True)]
    return Sample(known.work(one), known.work(two), swapped[0], swapped[1], np.stack(path), order)


def estimate(known: Known, *, rows: int, seed: int) -> Estimates:
    sample = draw(known, rows=rows, seed=seed)
    largest = (2.0, 2.0, 0.5) if known.binary else (0.0, 0.0, 0.0)
    ends = np.linspace(0, rows, SETS + 1).astype(int)
    sets = [_sums(sample, slice(*pair)) for pair in pairwise(ends)]
    return Estimates(
        *(indices([each[kind] for each in sets], largest=most) for kind, most in enumerate(largest))
    )


def _sums(sample: Sample, mine: slice) -> tuple[Sums, Sums, Sums]:
    """Return the sums over some rows."""
    first, total = swap_terms(
        base=sample.base[mine],
        other=sample.other[mine],
        base_swapped=sample.base_swapped[:, mine],
        other_swapped=sample.other_swapped[:, mine],
    )
    top, bottom = path_terms(path=sample.path[:, mine], order=sample.order[mine])
    return first, total, sum_terms(top=top, bottom=bottom)


@cache
def hit_family() -> Known:
    """Return the family c = (3, 2, 1, 0.5), W = 4."""
    return linear_hit(3.0, 2.0, 1.0, 0.5, width=4.0)
