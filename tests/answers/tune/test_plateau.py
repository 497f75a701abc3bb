"""The plateau: what is slight, which setting is told, how far it may go."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.tune.delays import DelayCurve
from jitter.answers.tune.plateau import SLIGHT, choose, draw_map, find_end, losses, slight
from jitter.arrays import Array
from tests.tuning_toy import rig

SETUPS = 50


def rows(*rates: float) -> Array:
    """Return set-ups that all have the same rate, so that every loss is exact."""
    return np.repeat(np.array(rates)[:, None], SETUPS, axis=1)


def noisy(*rates: float) -> Array:
    """Return set-ups that stray by much more than the rates differ, each in its own way."""
    scatter = np.random.default_rng(4).normal(0.0, 0.2, (len(rates), SETUPS))
    centred: Array = np.array(rates)[:, None] + scatter - scatter.mean(axis=1, keepdims=True)
    return centred


def test_a_loss_is_slight_under_a_frame_in_a_hundred_or_where_it_is_not_clear() -> None:
    found = losses(rows(0.70, 0.695, 0.68, 0.50))
    # closed form: differences of constants
    assert [loss.value for loss in found] == pytest.approx([0.0, 0.005, 0.02, 0.2], abs=1e-12)
    # Where all set-ups show the same loss its interval is as wide as so many set-ups leave open.
    assert slight(found[0])
    assert slight(found[1])
    assert not slight(found[3])
    # With set-ups that hardly stray every loss is clear, and its size alone decides.
    still = rows(0.70, 0.695, 0.68) + noisy(0.0, 0.0, 0.0) / 1000.0
    assert [slight(loss) for loss in losses(still)] == [True, True, False]
    assert losses(still)[1].low > 0.0
    # 0.02 of loss among rates that stray by 0.2 in fifty set-ups: nothing clear.
    assert all(slight(loss) for loss in losses(noisy(0.70, 0.68)))


def test_the_users_setting_stays_on_the_plateau() -> None:
    values = [1.0, 2.0, 3.0, 4.0, 5.0]
    shares = rows(0.2, 0.695, 0.70, 0.4, 0.1)
    assert choose(values, shares, own=2.0, step=0.1) == 2.0
    assert choose(values, shares, own=4.0, step=0.1) != 4.0
    assert choose(values, shares, own=None, step=0.1) != 2.0


def test_the_middle_of_the_plateau_is_told_not_its_highest_point() -> None:
    values = [float(each) for each in range(11)]
    # The highest point at one end of a plateau from 2 to 8; an apart one elsewhere is no part.
    shares = rows(0.1, 0.1, 0.901, 0.9, 0.9, 0.9, 0.9, 0.9, 0.9, 0.1, 0.899)
    chosen = choose(values, shares, own=None, step=1.0)
    # closed form: the loss grows from 0.001 to 0.8 between 8 and 9, and from 0 to 0.8 between 1
    # and 2, so the borders lie within a step of the ends and as far outside on both sides.
    assert chosen == 5.0


def test_a_rounding_that_leaves_a_narrow_plateau_is_not_done() -> None:
    values = [2.3, 2.4, 2.5, 2.6]
    shares = rows(0.1, 0.7, 0.7, 0.1)
    assert 2.39 < choose(values, shares, own=None, step=1.0) < 2.51


@pytest.mark.parametrize(("limit", "expected"), [(20.0, 4.0), (-20.0, -4.0)])
def test_an_end_is_where_the_loss_reaches_a_frame_in_a_hundred(
    limit: float, expected: float
) -> None:
    # closed form: the loss x²/1600 is 0.01 at x = 4
    end = find_end(lambda x: x * x / 1600.0, centre=0.0, step=1.0, limit=limit)
    assert not end.open
    # Straight within a quarter of the step, a parabola errs by far less than a tenth of it.
    assert end.value == pytest.approx(expected, abs=0.02)
    assert expected**2 / 1600.0 == pytest.approx(SLIGHT, abs=1e-15)


def test_an_end_beyond_the_limit_is_open() -> None:
    end = find_end(lambda x: x * x / 1600.0, centre=0.0, step=1.0, limit=3.0)
    assert (end.value, end.open) == (3.0, True)


def test_the_map_outlines_what_is_slight() -> None:
    # Two intervals with three delays each, of 10 shots in each set-up.
    def curve(*hits: int) -> DelayCurve:
        kept = np.repeat(np.array(hits, dtype=np.int32)[:, None], 5000, axis=1)
        return DelayCurve(rig(0.3), 10, np.array([0.1, 0.2, 0.3]), kept, kept[1])

    found = draw_map([curve(2, 9, 8), curve(8, 9, 1)], [0.05, 0.06], np.full(5000, 0.9))
    assert found.as_set.tolist() == [[0.2, 0.9, 0.8], [0.8, 0.9, 0.1]]
    assert found.loss == pytest.approx(np.array([[0.7, 0.0, 0.1], [0.1, 0.0, 0.8]]))
    assert found.level.tolist() == [[False, True, False], [False, True, False]]
