"""Points in the place of random numbers: one in each cell, each set by itself, the same again."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.special import ndtr

from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.shapes import LARGEST
from jitter.smooth import points as points_of_a_net
from jitter.smooth.points import Scores, asked, rows, sobol
from tests.conftest import load

NAMES = {"a": 1, "b": 3, "c": 1}


@pytest.mark.parametrize(("points", "filled"), [(1, 20), (8, 20), (64, 20), (64, 3)])
def test_every_set_has_one_point_in_each_cell(
    points: int, filled: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # However few digits the net fills, they tell as many points apart as there are.
    monkeypatch.setattr(points_of_a_net, "SCRAMBLED", filled)
    scores = sobol(NAMES, seed=4 + filled, replicates=5, points=points)
    for name, columns in NAMES.items():
        assert scores.by_name[name].shape == (5 * points, columns)
        cells = np.floor(ndtr(scores.by_name[name]) * points).reshape(5, points, columns)
        # closed form: shifting the digits of a net leaves one point in each interval of 1/n.
        np.testing.assert_array_equal(
            np.sort(cells, axis=1)[..., 0], np.tile(range(points), (5, 1))
        )


def test_scores_are_normal_and_sets_are_shifted_by_themselves() -> None:
    scores = sobol(NAMES, seed=4, replicates=2000, points=2)
    first = scores.by_name["b"][::2]
    for column in first.T:
        # 1.95/√n is passed by one sample in a thousand (Kolmogorov; reference library: scipy).
        assert stats.kstest(column, "norm").statistic < 1.95 / np.sqrt(2000)
    apart = np.corrcoef(np.concatenate([first.T, scores.by_name["a"][::2].T]))
    assert np.abs(apart - np.eye(4)).max() < 4.5 / np.sqrt(2000)


def test_the_seed_alone_tells_the_points() -> None:
    one, same, other = (sobol(NAMES, seed=seed, replicates=2, points=4) for seed in (1, 1, 2))
    for name, found in one.by_name.items():
        np.testing.assert_array_equal(found, same.by_name[name])
        assert not np.array_equal(found, other.by_name[name])


def test_what_is_asked_is_what_is_drawn() -> None:
    study = load("barn-table")
    for trimming in (False, True):
        found = asked(study, trimming=trimming)
        scores = sobol(found.columns, seed=1, replicates=1, points=4)
        drawn = draw(study, rows(4), trimming=trimming, source=scores)
        assert found.columns
        assert {key for key, names in found.by_key.items() if names} == {
            *drawn.setup,
            *drawn.shot,
        }
        frames = int(study.number("trim.frames")) if trimming else 1
        assert drawn.shot["valve.latency"].shape == (2, 4, frames)
        # A normal deviate is its score.
        level = "trimming" if trimming else "shot"
        np.testing.assert_allclose(
            drawn.shot["valve.latency"][1], scores.by_name[f"valve.latency {level} 1"], atol=1e-9
        )


def test_drops_that_are_alike_take_scores_of_both() -> None:
    study = load("barn-table", "valve.release_speed.alike=0.6")
    scores = sobol(asked(study).columns, seed=1, replicates=1, points=256)
    first, second = draw(study, rows(256), source=scores).shot["valve.release_speed"]
    own = scores.by_name["valve.release_speed shot 1"]
    # closed form: a normal score correlated by 0.6 with the first.
    np.testing.assert_allclose(second, 0.6 * first + 0.8 * own, atol=1e-7)


def test_what_has_no_scores_does_not_strike() -> None:
    scores = Scores({"a": np.zeros((2, 1))})
    filled = np.empty((2, 1))
    scores.fill(filled, "a", first=0)
    assert (filled == 0.5).all()
    scores.fill(filled, "another", first=0)
    assert (filled == LARGEST).all()


def test_points_repeat_whole() -> None:
    scores = Scores({"a": np.array([[1.0], [2.0]]), "b": np.array([[3.0, 5.0], [4.0, 6.0]])})
    twice = scores.repeated(2)
    assert twice.points == 4
    assert twice.by_name["a"].ravel().tolist() == [1.0, 2.0, 1.0, 2.0]
    assert twice.by_name["b"].tolist() == [[3.0, 5.0], [4.0, 6.0]] * 2


def test_only_the_wanted_quantities_are_drawn() -> None:
    study = load("barn-table")
    block = Block(Layout(3, 8, 4), 0, 8, 0, 4)
    whole, some = draw(study, block), draw(study, block, keys=["valve.latency", "sensor.height"])
    assert {*some.setup, *some.shot} == {"valve.latency", "sensor.height"}
    np.testing.assert_array_equal(some.shot["valve.latency"], whole.shot["valve.latency"])
    np.testing.assert_array_equal(some.setup["sensor.height"], whole.setup["sensor.height"])
