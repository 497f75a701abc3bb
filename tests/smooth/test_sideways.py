"""The sideways miss in closed form, against draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import value
from jitter.smooth import sideways
from jitter.smooth.points import Scores
from tests.conftest import load

POINTS = 4000
CASES: dict[str, tuple[str, ...]] = {
    "plain": (),
    "alike": ("valve.scatter.alike=0.6",),
    "lean of a set-up": ("jet.lean.setup=sd 0.7 mm",),
    "scatter of a set-up": ("valve.scatter.setup=sd 2 mm",),
    "no lean": ("jet.lean.shot=none",),
}


def scores(seed: int) -> Scores:
    draws = np.random.default_rng(seed)
    names = {name for axis in sideways.AXES for name in sideways.names(axis)} | {"other"}
    return Scores({name: draws.normal(size=(POINTS, 1)) for name in sorted(names)})


def offsets(points: Scores, weights: Array) -> Array:
    return np.array(
        [
            sum(
                w * points.by_name[n][:, 0]
                for n, w in zip(sideways.names(axis), weights, strict=True)
            )
            for axis in sideways.AXES
        ]
    )


@pytest.mark.parametrize("case", CASES)
def test_the_parts_give_the_offset_that_the_chain_draws(case: str) -> None:
    study = load("barn-table", *CASES[case])
    weights = sideways.parts(study)
    assert weights is not None
    deviates = draw(study, Block(Layout(3, POINTS, 4), 0, POINTS, 0, 4))
    scatter, lean = (np.asarray(value(study, key, deviates, {})) for key in sideways.KEYS)
    offset = scatter[1] - scatter[0] - lean
    # Bound: the error of a variance from as many independent set-ups as there are.
    variance = float(weights @ weights)
    assert offset.var() == pytest.approx(variance, rel=4.5 * math.sqrt(1.0 / POINTS))


@pytest.mark.parametrize(
    "setting",
    [
        "valve.scatter.shot=within 0.6 mm",
        "jet.lean.shot=triangular within 1 mm",
        "jet.lean.drift=0.01 mm/frame",
        "jet.lean.setup=within 1 mm",
    ],
)
def test_other_laws_have_no_closed_form(setting: str) -> None:
    assert sideways.parts(load("barn-table", setting)) is None


def test_drops_are_drawn_in_by_rayleighs_law() -> None:
    weights = np.array([-0.4, 0.3, -0.2, -0.6])
    size, reach = float(np.hypot.reduce(weights)), np.full(POINTS, 0.9)
    before = scores(1)
    after, chance = sideways.drawn_in(before, [weights], reach)
    # closed form: 1 - exp(-r²/(2 σ²)).
    inside = 1.0 - math.exp(-0.5 * (0.9 / size) ** 2)
    np.testing.assert_allclose(chance, inside)
    old, new = offsets(before, weights), offsets(after, weights)
    length = np.hypot(*new)
    assert length.max() <= 0.9
    # Its law is that of the lengths that are short enough; 1.95/√n is passed once in a thousand.
    law = stats.rayleigh(scale=size)
    placed = np.asarray(law.cdf(length), dtype=np.float64) / inside
    assert stats.kstest(placed, "uniform").statistic < 1.95 / math.sqrt(POINTS)
    # The direction stays, and so does what does not move the offset.
    np.testing.assert_allclose(np.arctan2(*new), np.arctan2(*old), atol=1e-9)
    across = np.array([weights[1], -weights[0], 0.0, 0.0])
    np.testing.assert_allclose(offsets(after, across), offsets(before, across), atol=1e-12)
    assert after.by_name["other"] is before.by_name["other"]


def test_each_what_if_has_its_own_law() -> None:
    weights = [np.array([-0.4, 0.4, 0.0, -0.3]), None, np.zeros(4)]
    before = scores(2).repeated(3)
    after, chance = sideways.drawn_in(before, weights, np.full(3 * POINTS, 0.5))
    first, second, third = np.split(chance, 3)
    # closed form, as above, with σ² = 0.41; a certainty without a law, and without errors.
    np.testing.assert_allclose(first, 1.0 - math.exp(-0.5 * 0.25 / 0.41))
    assert (second == 1.0).all()
    assert (third == 1.0).all()
    for name, moved in after.by_name.items():
        np.testing.assert_array_equal(moved[POINTS:], before.by_name[name][POINTS:])


def test_streams_of_errors_that_are_not_there_stay() -> None:
    draws = np.random.default_rng(3)
    names = [name for axis in sideways.AXES for name in sideways.names(axis)[:2]]
    before = Scores({name: draws.normal(size=(8, 1)) for name in names})
    after, _ = sideways.drawn_in(before, [np.array([-0.4, 0.4, 0.0, 0.0])], np.full(8, 0.3))
    assert after.by_name.keys() == before.by_name.keys()
