"""The sideways miss in closed form: drops fall where frames can be keepers, and count for that."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Shape, Spread
from jitter.smooth.points import Scores
from jitter.study.study import Study

SCATTER, LEAN = "valve.scatter", "jet.lean"
KEYS = (SCATTER, LEAN)
AXES = (0, 1)


def known(study: Study) -> bool:
    """Return whether drops and jets have sideways errors at all in a chain."""
    return all(key in study.entries for key in KEYS)


def names(axis: int) -> tuple[str, ...]:
    """Return the streams behind the offset of drop and jet along an axis."""
    return (
        f"{SCATTER} shot 0 {axis}",
        f"{SCATTER} shot 1 {axis}",
        f"{LEAN} setup {axis}",
        f"{LEAN} shot {axis}",
    )


def parts(study: Study) -> Array | None:
    """Return what each score of `names` adds to the offset, (4,) [m]; None without a closed form.

    The offset is where the second drop lands less where the first did and less the jet's lean: the
    same normal law about 0 along both axes, so that its length follows Rayleigh's.

    Parameters
    ----------
    study
        The rig. Other shapes of spreads, steady errors and drifts have no closed form here.
    """
    scatter, lean = (study.entries[key] for key in KEYS)
    spreads = (scatter.shot, lean.setup, lean.shot)
    plain = all(_normal(spread) for spread in spreads)
    still = all(entry.offset == 0.0 and entry.drift == 0.0 for entry in (scatter, lean))
    if not (plain and still) or lean.alike > 0.0:
        return None
    drop, standing, leaning = (spread.size for spread in spreads)
    alike = scatter.alike
    own = (1.0 - alike * alike) ** 0.5
    return np.array([(alike - 1.0) * drop, own * drop, -standing, -leaning])


def _normal(spread: Spread) -> bool:
    return spread.shape in (Shape.NONE, Shape.NORMAL) and not spread.relative


def drawn_in(scores: Scores, weights: Sequence[Array | None], reach: Array) -> tuple[Scores, Array]:
    """Return scores whose offsets lie within a reach, and the chance that they would, (p,).

    Each offset keeps its direction, and its length its place among those that are short enough.

    Parameters
    ----------
    scores
        Of what-ifs, one after the other, each in as many rows.
    weights
        Of each what-if, from `parts`; where None nothing is changed.
    reach : array (p,) [m]
        No keeper lies farther off.

    References
    ----------
    Closed form: P(length <= r) = 1 - exp(-r²/(2 σ²)), of a normal law in two dimensions. Drawing
    within limits and counting the chance of it: Genz 1992, J. Comput. Graph. Stat. 1, 141 (from
    memory).
    """
    moved = {name: one.copy() for name, one in scores.by_name.items() if name.startswith(KEYS)}
    points = scores.points // len(weights)
    chance = np.ones(scores.points)
    for place, weight in enumerate(weights):
        mine = slice(place * points, (place + 1) * points)
        size = 0.0 if weight is None else float(np.hypot.reduce(weight))
        if weight is None or size == 0.0:
            continue
        unit = weight / size
        offset = np.zeros((2, points))
        for axis in AXES:
            for name, share in zip(names(axis), unit, strict=True):
                if share != 0.0:
                    offset[axis] += share * moved[name][mine, 0]
        length = np.hypot(*offset)
        inside = -np.expm1(-0.5 * (reach[mine] / size) ** 2)
        short = np.sqrt(-2.0 * np.log1p(np.expm1(-0.5 * length**2) * inside))
        more = short / np.maximum(length, 1e-300) - 1.0
        for axis in AXES:
            for name, share in zip(names(axis), unit, strict=True):
                if share != 0.0:
                    moved[name][mine, 0] += share * more * offset[axis]
        chance[mine] = inside
    return Scores({**scores.by_name, **moved}), chance
