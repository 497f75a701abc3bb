"""The plateau: what is slight, which setting is told, how far it may go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from unittest.mock import patch

import numpy as np
import pytest

from jitter.answers.intervals import Estimate
from jitter.answers.smooth_hits import SmoothHits
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import Delays
from jitter.answers.tune.limits import Limits
from jitter.answers.tune.plateau import SLIGHT, choose, draw_map, find_slack, losses, slight
from jitter.draws.layout import Layout
from tests.tuning_toy import CHAIN, rig

SETS = 50


def rated(*rates: float, scatter: float = 0.0) -> list[SmoothHits]:
    """Return hit rates of sets of points that stray, each setting's in its own way."""
    draws = np.random.default_rng(4).normal(0.0, scatter, (len(rates), SETS))
    centred = np.array(rates)[:, None] + draws - draws.mean(axis=1, keepdims=True)
    return [SmoothHits({"as_set": one, "as_trimmed": one}, 10**6) for one in centred]


def lost(*rates: float) -> list[Estimate]:
    return losses(rated(*rates), "as_set")


def test_a_loss_is_slight_under_a_frame_in_a_hundred_or_where_it_is_not_clear() -> None:
    found = lost(0.695, 0.70, 0.68, 0.50)
    # closed form: differences of constants
    assert [loss.value for loss in found] == pytest.approx([0.005, 0.0, 0.02, 0.2], abs=1e-12)
    # With sets that do not stray every loss is clear, and its size alone decides.
    assert found[0].low > 0.0
    assert [slight(loss) for loss in found] == [True, True, False, False]
    # 0.02 of loss among rates that stray by 0.2 in fifty sets: nothing clear.
    assert all(slight(loss) for loss in losses(rated(0.70, 0.68, scatter=0.2), "as_set"))


def test_the_users_setting_stays_on_the_plateau() -> None:
    values = [1.0, 2.0, 3.0, 4.0, 5.0]
    shares = lost(0.2, 0.695, 0.70, 0.4, 0.1)
    assert choose(values, shares, own=2.0, step=0.1) == 2.0
    assert choose(values, shares, own=4.0, step=0.1) != 4.0
    assert choose(values, shares, own=None, step=0.1) != 2.0


def test_the_middle_of_the_plateau_is_told_not_its_highest_point() -> None:
    values = [float(each) for each in range(11)]
    # The highest point at one end of a plateau from 2 to 8; an apart one elsewhere is no part.
    shares = lost(0.1, 0.1, 0.901, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.1, 0.899)
    chosen = choose(values, shares, own=None, step=1.0)
    # closed form: the loss grows from 0.001 to 0.8 between 8 and 9, and from 0 to 0.8 between 1
    # and 2, so the borders lie within a step of the ends and as far outside on both sides.
    assert chosen == 5.0


def test_a_rounding_that_leaves_a_narrow_plateau_is_not_done() -> None:
    values = [2.3, 2.4, 2.5, 2.6]
    shares = lost(0.1, 0.7, 0.7, 0.1)
    assert 2.39 < choose(values, shares, own=None, step=1.0) < 2.51


def parabola(values: Sequence[float]) -> list[float]:
    return [value * value / 2304.0 for value in values]


def test_an_end_is_where_the_loss_reaches_a_frame_in_a_hundred() -> None:
    # closed form: the loss x²/2304 is 0.01 at x = 4.8
    slack = find_slack(parabola, centre=0.0, step=1.0, limits=(-20.0, 30.0))
    for end, expected in ((slack.low, -4.8), (slack.high, 4.8)):
        assert not end.open
        # Straight between the eighths of the stride from 4 to 8 it errs by h²/(8 x) at the most.
        assert end.value == pytest.approx(expected, abs=0.5**2 / (8.0 * 4.8))
    assert parabola([4.8])[0] == pytest.approx(SLIGHT, abs=1e-15)


@pytest.mark.parametrize("limits", [(-3.0, 4.5), (0.0, 4.0), (-2.0, 0.0)])
def test_an_end_beyond_the_limit_is_open(limits: tuple[float, float]) -> None:
    slack = find_slack(parabola, centre=0.0, step=1.0, limits=limits)
    for end, limit in ((slack.low, limits[0]), (slack.high, limits[1])):
        assert (end.value, end.open) == (limit, True)


def test_one_end_may_be_open_and_the_other_not() -> None:
    slack = find_slack(parabola, centre=0.0, step=1.0, limits=(-3.0, 30.0))
    assert (slack.low.open, slack.high.open) == (True, False)
    assert slack.high.value == pytest.approx(4.8, abs=0.01)


def test_the_first_end_counts_where_the_loss_comes_and_goes() -> None:
    def wave(values: Sequence[float]) -> list[float]:
        return [0.02 * math.sin(0.5 * value) ** 2 for value in values]

    # closed form: sin²(x/2) = 1/2 at x = π/2
    slack = find_slack(wave, centre=0.0, step=1.0, limits=(-20.0, 20.0))
    assert slack.high.value == pytest.approx(0.5 * math.pi, abs=0.01)


def test_the_map_outlines_what_is_slight() -> None:
    rates = [[0.2, 0.9, 0.8], [0.8, 0.905, 0.1]]
    bench = Bench(CHAIN, Layout(1, 2, 2), "as_set", (), Limits(), 1, lambda: None)
    delays = np.array([[0.1, 0.2, 0.3], [0.15, 0.25, 0.35]])
    grid = Delays([rig(0.3), rig(0.3)], delays, [rated(*row) for row in rates], bench, rig(0.3))
    with patch.object(Delays, "as_trimmed", rated(0.5, 0.6)):
        found = draw_map(grid, [0.05, 0.06], rated(0.9)[0])
    assert found.delays is delays
    assert found.as_set == pytest.approx(np.array(rates))
    assert found.as_trimmed == pytest.approx([0.5, 0.6])
    assert found.loss == pytest.approx(0.9 - np.array(rates))
    assert found.level.tolist() == [[False, True, False], [False, True, False]]
    assert grid.best == (0.2, 0.25)
    assert [one.rates["as_set"].value for one in grid.judged("as_set")] == pytest.approx(
        [0.9, 0.905]
    )
