"""Fit the fall once for a study, over everything its draws can reach, and check the fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.stage import UnpreparedError
from jitter.stages.air import air
from jitter.stages.dose import dose_reach
from jitter.stages.drag import acceleration, fall_units
from jitter.stages.liquid import liquid
from jitter.stages.reservoir import LEAST_FLOW

KEPT = 64
"""Tables are kept, for a question comes back to the same rig again and again."""
TOLERANCE = 0.4e-6
"""Largest error of a fitted fall time that is aimed at [s]."""
COARSE = 1e-4
"""Largest error of a fitted fall time that is put up with, and warned of [s]."""

GRID = (61, 25, 5)
DEGREES = (
    (4, 2, 1),
    (5, 2, 1),
    (5, 3, 1),
    (5, 3, 2),
    (6, 4, 2),
    (9, 5, 2),
    (12, 7, 3),
    (16, 12, 3),
    (20, 14, 4),
)


@dataclass(frozen=True)
class FallTable:
    """The polynomial of the distance fallen from rest, Z = ½ T² Σ c_pqr x^p a^q m^r.

    x, a and m run from -1 to 1 over the ranges of the time and of the two numbers.

    Attributes
    ----------
    duration
        E, the end of the fit in fall units of time; x = 2 T/E - 1.
    archimedes, morton
        Middle and half width of the range of ln A and of M.
    coefficients : array (p, q, r) [1]
    guess : array (4,) [1]
        T/√(2Z) = g0 + Z (g1 + g2 Z + g3 a), where the search for a fall time begins.
    release_guess : array (3,) [1]
        Time from rest to a speed V as T/V = 1 + V (h1 + h2 V + h3 a).
    search_steps, release_steps
        Newton's steps that a fall time and the time from rest to the release speed need.
    error
        Largest error of a fall time found on the check's grid [s].
    """

    duration: float
    archimedes: tuple[float, float]
    morton: tuple[float, float]
    coefficients: Array
    guess: Array
    release_guess: Array
    search_steps: int
    release_steps: int
    error: float


def _nodes(count: int) -> Array:
    """Chebyshev points of the second kind on [-1, 1], which include both ends."""
    points: Array = -np.cos(np.pi * np.arange(count) / (count - 1))
    return points


def _range(values: Array) -> tuple[float, float]:
    low, high = float(np.min(values)), float(np.max(values))
    middle = 0.5 * (low + high)
    return middle, max(0.5 * (high - low), 1e-4 * middle)


def integrate(*, archimedes: Array, morton: Array, moments: Array) -> tuple[Array, Array]:
    """Return distance and speed from rest by tight integration of the fall equation.

    Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    archimedes, morton : array (k,) [1]
        The two numbers of each of k falls.
    moments : array (t,) [1]
        Times from rest in fall units, rising.

    Returns
    -------
    distance, speed : array (k, t) [1]
        In fall units, to about 1e-11 of their size.
    """
    # Imported here because reading a study needs this file but not the integrator.
    from scipy.integrate import solve_ivp

    count = len(archimedes)

    def rate(_: float, state: Array) -> Array:
        speed = state[:count]
        return np.concatenate([acceleration(speed, archimedes, morton), speed])

    solved = solve_ivp(
        rate,
        (0.0, float(moments[-1])),
        np.zeros(2 * count),
        method="DOP853",
        t_eval=moments,
        rtol=1e-11,
        atol=1e-15,
    )
    return solved.y[count:], solved.y[:count]


@lru_cache(maxsize=KEPT)
def fit_fall(
    *,
    archimedes: tuple[float, float],
    morton: tuple[float, float],
    distance: float,
    fastest: float,
    time: float,
) -> FallTable:
    """Fit the distance from rest over a range of falls.

    The smallest polynomial is taken that agrees with the integrated equation on a grid far finer
    than its own freedom; where drop sizes or heights range too widely for any, the best one, whose
    error stands in the table. Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    archimedes, morton
        Middle and half width of the range of ln A and of M [1].
    distance
        Distance to cover in fall units [1] by the smallest drop; larger ones, whose units are
        longer, have to cover less.
    fastest
        Largest release speed in fall units [1].
    time
        The longest of the falls' time units [s].

    Returns
    -------
    FallTable

    Raises
    ------
    UnpreparedError
        If even the best is far off, as it is where drops of a tenth and of ten times the nominal
        size may be drawn.
    """
    numbers = [
        (a, np.exp(archimedes[0] + archimedes[1] * a), morton[0] + morton[1] * m)
        for a, m in product(_nodes(GRID[1]), _nodes(GRID[2]))
    ]
    a, each_archimedes, each_morton = np.array(numbers).T
    needed = distance * np.exp(-archimedes[1] * (a + 1.0))
    clocks = time * np.exp(0.5 * archimedes[1] * (a - 1.0))
    shares = 0.5 * (1.0 + _nodes(GRID[0]))
    # A fall with C_D near 0.5 takes arccosh(e^kZ)/√k with k = ¾ C_D; slower ones get more time.
    duration = float(np.arccosh(np.exp(0.375 * distance)) / np.sqrt(0.375))
    while True:
        fallen, speeds = integrate(
            archimedes=each_archimedes, morton=each_morton, moments=shares * duration
        )
        if np.all(fallen[:, -1] >= needed):
            break
        duration *= 1.15
    shares, fallen, speeds = shares[1:], fallen[:, 1:], speeds[:, 1:]
    moments = shares * duration
    cube = (GRID[1], GRID[2], GRID[0] - 1)
    target = (2.0 * fallen / moments**2).reshape(cube)
    # A distance wrong by δ is a time wrong by δ/V; beyond what is needed nothing matters.
    weight = np.where(fallen <= needed[:, None], 0.5 * moments**2 / speeds * clocks[:, None], 0.0)
    guess, missed = _fit_guess(fallen, moments, a)
    release_guess, astray = _fit_release(speeds, moments, a, fastest)
    best: FallTable | None = None
    for degrees in DEGREES:
        axes: list[Array] = [
            np.vander(points, degree + 1, increasing=True)
            for points, degree in zip(
                (2.0 * shares - 1.0, _nodes(GRID[1]), _nodes(GRID[2])), degrees, strict=True
            )
        ]
        # An error of the distance shifts the time in proportion to the time fallen, so the first
        # moments, where drag is least smooth, weigh least.
        inverses: list[Array] = [
            np.linalg.pinv(shares[:, None] * axes[0]).astype(np.float64) * shares,
            *(np.linalg.pinv(axis).astype(np.float64) for axis in axes[1:]),
        ]
        coefficients = np.einsum("pt,qa,rm,amt->pqr", *inverses, target, optimize=True)
        fitted = np.einsum("tp,aq,mr,pqr->amt", *axes, coefficients, optimize=True)
        error = float(np.max(np.abs(fitted - target) * weight.reshape(cube)))
        if best is None or error < best.error:
            best = FallTable(
                duration=duration,
                archimedes=archimedes,
                morton=morton,
                coefficients=coefficients,
                guess=guess,
                search_steps=1 if missed * time < 0.5 * TOLERANCE else 2,
                release_guess=release_guess,
                release_steps=0 if astray * time < 0.75 * TOLERANCE else 1 if astray < 1e-4 else 3,
                error=error,
            )
        if best.error < TOLERANCE:
            return best
    if best is None or best.error > COARSE:
        raise UnpreparedError(
            "drop sizes, heights and release speeds range too widely for the fall to be told to"
            f" {1e6 * COARSE:.0f} µs",
            "make their spreads smaller",
        )
    return best


def _fit_guess(fallen: Array, moments: Array, a: Array) -> tuple[Array, float]:
    """Fit T/√(2Z) = g0 + Z (g1 + g2 Z + g3 a); say what a step of Newton's leaves of its miss."""
    ratio = moments / np.sqrt(2.0 * fallen)
    each = np.broadcast_to(a[:, None], fallen.shape)
    terms = np.stack([np.ones_like(fallen), fallen, fallen**2, fallen * each], axis=-1)
    guess, *_ = np.linalg.lstsq(terms.reshape(-1, 4), ratio.ravel())
    missed = (terms @ guess) / ratio - 1.0
    # On a parabola Newton's step leaves half the square of the share by which it started off.
    return guess.astype(np.float64), float(np.max(0.5 * missed**2 * moments))


def _fit_release(speeds: Array, moments: Array, a: Array, fastest: float) -> tuple[Array, float]:
    """Fit T/V = 1 + V (h1 + h2 V + h3 a) up to the fastest release; say by how much T is missed."""
    slow = moments <= 1.1 * fastest
    # However slow the release, a few moments are needed to fit and to check.
    slow[:5] = True
    speed = speeds[:, slow]
    each = np.broadcast_to(a[:, None], speed.shape)
    terms = np.stack([speed, speed**2, speed * each], axis=-1)
    # In terms of the time itself the slowest moments, which matter least, weigh least.
    weighed = (speed[..., None] * terms).reshape(-1, 3)
    late = moments[slow] - speed
    guess, *_ = np.linalg.lstsq(weighed, late.ravel())
    return guess.astype(np.float64), float(np.max(np.abs(weighed @ guess - late.ravel())))


def prepare_fall(reach: Mapping[str, Any]) -> tuple[FallTable, FallTable]:
    """Return the fall tables of a study's first and second drop.

    Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    reach
        For each argument the smallest and largest value that a draw can take, or None.

    Returns
    -------
    tuple of FallTable
        The same one twice where the drops are alike.
    """
    medium = _reach_medium(reach)
    density = (float(medium["density"].min()), float(medium["density"].max()))
    first, second = dose_reach({**reach, "density": density})
    drawn = (first[1] + second[1]) * reach["session_frames"][1]
    flow = _reach_flow(reach, drawn=drawn)
    table = _prepare_drop(reach, first, flow=flow, medium=medium)
    if second == first:
        return table, table
    return table, _prepare_drop(reach, second, flow=flow, medium=medium)


def _reach_flow(reach: Mapping[str, Any], *, drawn: float) -> tuple[float, float]:
    """Return the smallest and largest flow into a drop relative to the nominal head's."""
    head, nominal = reach["reservoir_head"], reach["reservoir_head_nominal"]
    low, high = (float(np.sqrt(end / nominal)) for end in head)
    if reach["reservoir_constant_head"] == "yes":
        return low, high
    area = 0.25 * np.pi * reach["reservoir_bore"][0] ** 2
    return low * max(1.0 - drawn * high / (2.0 * area * head[0]), LEAST_FLOW), high


def _reach_medium(reach: Mapping[str, Any]) -> dict[str, Array]:
    """Return density, surface tension and air over everything that draws can reach, flat."""
    names = (
        "liquid_temperature",
        "liquid_glycerol",
        "liquid_fat",
        "liquid_density",
        "liquid_surface_tension",
        "air_altitude",
        "air_pressure",
        "air_temperature",
    )
    # Four points each, of what strays at all: the properties bend but gently over a draw's reach.
    spans = [
        np.zeros(1)
        if reach[name] is None
        else np.unique(np.linspace(reach[name][0], reach[name][1], 4))
        for name in names
    ]
    mesh = (axis.ravel() for axis in np.meshgrid(*spans, indexing="ij"))
    grid: dict[str, Any] = {
        name: None if reach[name] is None else axis for name, axis in zip(names, mesh, strict=True)
    }
    fluid = liquid(
        liquid_kind=reach["liquid_kind"],
        liquid_viscosity=None,
        **{name: grid[name] for name in names if name.startswith("liquid")},
    )
    gas = air(
        liquid_temperature=grid["liquid_temperature"],
        **{name: grid[name] for name in names if name.startswith("air")},
    )
    return {
        "density": fluid.density,
        "surface_tension": fluid.surface_tension,
        "air_density": gas.air_density,
        "air_viscosity": gas.air_viscosity,
    }


def _prepare_drop(
    reach: Mapping[str, Any],
    doses: tuple[float, float],
    *,
    flow: tuple[float, float],
    medium: Mapping[str, Array],
) -> FallTable:
    volumes = np.array([doses[0] * flow[0], doses[1] * flow[1]])
    units = fall_units(
        diameter=np.cbrt(volumes * (6.0 / np.pi))[:, None],
        density=medium["density"],
        surface_tension=medium["surface_tension"],
        air_density=medium["air_density"],
        air_viscosity=medium["air_viscosity"],
    )
    length, time = float(units.length.min()), float(units.time.max())
    fastest = reach["valve_release_speed"][1] * time / length
    deepest = (reach["valve_nozzle_height"][1] - min(reach["pool_level"][0], 0.0)) / length
    return fit_fall(
        archimedes=_range(np.log(units.archimedes)),
        morton=_range(units.morton),
        distance=1.05 * deepest + 0.8 * fastest**2,
        fastest=fastest,
        time=time,
    )
