"""Lines: what runs along them, and where on them a window lies."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.special import ndtr

from jitter.arrays import Array
from jitter.smooth.line import FAR, Line, Measured, steepest, stretch
from jitter.smooth.points import Scores

POINTS = 4000


def scores(seed: int = 1, points: int = POINTS) -> Scores:
    draws = np.random.default_rng(seed)
    return Scores({"a": draws.normal(size=(points, 1)), "b": draws.normal(size=(points, 3))})


def looked(measure: Callable[[Scores], Array]) -> Measured:
    """Return what looks at several places at once, of what looks at one."""
    return lambda places: np.stack([measure(where) for where in places], axis=-1)


LINE = steepest({"a": np.array([3.0]), "b": np.array([0.0, -4.0, 12.0])})


def along(line: Line, points: Scores) -> Array:
    return np.asarray(sum(points.by_name[name] @ part for name, part in line.parts.items()))


def test_the_steepest_line_is_the_gradient() -> None:
    # closed form: √(3² + 4² + 12²) = 13.
    assert LINE.slope == pytest.approx(13.0)
    np.testing.assert_allclose(LINE.parts["a"], [3.0 / 13.0])
    np.testing.assert_allclose(LINE.parts["b"], [0.0, -4.0 / 13.0, 12.0 / 13.0])


def test_what_is_slight_or_unknown_stays_off_the_line() -> None:
    found = steepest({"a": np.array([1.0]), "b": np.array([0.009]), "c": np.array([np.nan])})
    assert found.parts.keys() == {"a"}
    assert (found.slope, found.parts["a"].item()) == (1.0, 1.0)
    assert steepest({"a": np.array([np.nan])}) == Line({}, 0.0)


def test_turned_points_have_their_law_and_one_dimension_along_the_line() -> None:
    before = scores()
    after = LINE.turned(before, flat=False)
    # The axis with the largest share is the one that runs along the line now.
    np.testing.assert_allclose(np.abs(along(LINE, after)), np.abs(before.by_name["b"][:, 2]))
    together = np.hstack([after.by_name["a"], after.by_name["b"]])
    assert np.abs(np.cov(together.T) - np.eye(4)).max() < 4.5 * np.sqrt(2.0 / POINTS)
    # closed form: a reflection keeps every distance.
    np.testing.assert_allclose(
        np.hypot.reduce(together, axis=1),
        np.hypot.reduce(np.hstack([before.by_name["a"], before.by_name["b"]]), axis=1),
    )


def test_flat_points_lie_across_the_line_as_they_are_distributed() -> None:
    flat = LINE.turned(scores(), flat=True)
    np.testing.assert_allclose(along(LINE, flat), 0.0, atol=1e-12)
    together = np.hstack([flat.by_name["a"], flat.by_name["b"]])
    part = np.concatenate([LINE.parts["a"], LINE.parts["b"]])
    # closed form: the covariance of what is left is 1 - α αᵀ.
    apart = np.cov(together.T) - (np.eye(4) - np.outer(part, part))
    assert np.abs(apart).max() < 4.5 * np.sqrt(2.0 / POINTS)
    # A score along the line gives back what was taken.
    whole = LINE.moved(flat, np.random.default_rng(2).normal(size=POINTS))
    for column in np.hstack([whole.by_name["a"], whole.by_name["b"]]).T:
        assert stats.kstest(column, "norm").statistic < 1.95 / np.sqrt(POINTS)


def test_an_empty_line_moves_nothing() -> None:
    before = scores(points=3)
    assert Line({}, 0.0).turned(before, flat=True) is before
    assert Line({}, 0.0).moved(before, np.ones(3)).by_name == before.by_name


@settings(max_examples=60)
@given(
    st.floats(-5.0, 5.0),
    st.floats(0.1, 4.0),
    st.floats(0.0, 0.3),
    st.sampled_from([1.0, -1.0]),
)
def test_the_stretch_holds_the_window_of_any_rising_or_falling_measure(
    low: float, width: float, bend: float, side: float
) -> None:
    line = Line({"a": np.array([1.0])}, side * 1.3)
    points = Scores({"a": np.zeros((5, 1)), "rest": np.linspace(-1.0, 1.0, 5)[:, None]})

    def measured(where: Scores) -> Array:
        score = where.by_name["a"][:, 0]
        return np.asarray(
            side * (1.3 * score + bend * np.tanh(score)) + where.by_name["rest"][:, 0]
        )

    begin, end = stretch(line, points, measured(points), (low, low + width), looked(measured))
    grid = np.linspace(-FAR, FAR, 4001)
    for row in range(5):
        at = Scores(
            {"a": grid[:, None], "rest": np.full((4001, 1), points.by_name["rest"][row, 0])}
        )
        inside = grid[(measured(at) >= low) & (measured(at) <= low + width)]
        assert (inside >= begin[row] - 1e-6).all()
        assert (inside <= end[row] + 1e-6).all()
        # And hardly more than it.
        if inside.size:
            assert end[row] - begin[row] < np.ptp(inside) + 0.05


def test_the_stretch_of_a_straight_measure_is_exact() -> None:
    line = Line({"a": np.array([1.0])}, 2.0)
    points = Scores({"a": np.zeros((3, 1)), "rest": np.array([[-1.0], [0.0], [30.0]])})

    def measured(where: Scores) -> Array:
        return np.asarray((2.0 * where.by_name["a"] + where.by_name["rest"])[:, 0])

    low, high = stretch(line, points, measured(points), (-1.0, 3.0), looked(measured))
    # closed form: (end - rest)/2, held to the line's ends.
    np.testing.assert_allclose(low, [0.0, -0.5, -FAR], atol=1e-12)
    np.testing.assert_allclose(high, [2.0, 1.5, -FAR], atol=1e-12)


def test_where_nobody_seems_to_come_near_the_whole_line_counts() -> None:
    points = Scores({"a": np.zeros((2, 1))})
    # The slope is told far too small: the window lies within a score of 1 all the same.
    line = Line({"a": np.array([1.0])}, 1e-6)
    low, high = stretch(
        line, points, np.zeros(2), (0.4, 0.8), looked(lambda where: where.by_name["a"][:, 0])
    )
    assert (low <= 0.4).all()
    assert (high >= 0.8).all()


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_window_without_an_end_goes_to_the_end_of_the_line(side: float) -> None:
    points = Scores({"a": np.zeros((2, 1))})

    def measured(where: Scores) -> Array:
        return np.asarray(side * where.by_name["a"][:, 0])

    line = Line({"a": np.array([1.0])}, side)
    low, high = stretch(line, points, np.zeros(2), (-np.inf, 0.5), looked(measured))
    # closed form: up to a half of what rises, from minus a half on of what falls.
    np.testing.assert_allclose([low[0], high[0]], (-FAR, 0.5) if side > 0.0 else (-0.5, FAR))


@pytest.mark.parametrize("value", [0.0, np.nan])
def test_where_nothing_is_known_the_whole_line_counts(value: float) -> None:
    points = Scores({"a": np.zeros((2, 1))})
    line = Line({"a": np.array([1.0])}, 1.0)
    low, high = stretch(
        line, points, np.full(2, value), (-1.0, 1.0), looked(lambda _: np.full(2, value))
    )
    assert (low <= -FAR).all()
    assert (high >= FAR).all()


@pytest.mark.parametrize("top", [2.5, 0.9, -0.5])
@pytest.mark.parametrize("turn", [-2.0, -0.4, 0.0, 1.0])
def test_where_a_measure_turns_nothing_of_its_window_is_left_out(top: float, turn: float) -> None:
    # A line laid out where the measure rose, as for a jet that has its top still ahead.
    line = Line({"a": np.array([1.0])}, 0.5)
    points = Scores({"a": np.zeros((1, 1))})

    def measured(where: Scores) -> Array:
        return np.asarray(top - 0.05 * (where.by_name["a"][:, 0] - turn) ** 2)

    low, high = stretch(line, points, measured(points), (-0.6, 3.0), looked(measured))
    # closed form: top - 0.05 (z - turn)² lies above -0.6 up to √(20 (top + 0.6)) from the turn
    reach = np.sqrt(20.0 * (top + 0.6))
    left_out = max(ndtr(low[0]) - ndtr(turn - reach), 0.0)
    left_out += max(ndtr(turn + reach) - ndtr(high[0]), 0.0)
    # The secants may stop a hair short, where nobody is.
    assert left_out < 1e-6


@pytest.mark.parametrize("turn", [-2.5, -1.0, 0.0, 2.0])
def test_where_a_turning_measure_never_leaves_its_window_the_whole_line_counts(turn: float) -> None:
    line = Line({"a": np.array([1.0])}, 0.44)
    points = Scores({"a": np.zeros((1, 1))})

    def measured(where: Scores) -> Array:
        return np.asarray(5.8 - 0.012 * (where.by_name["a"][:, 0] - turn) ** 2)

    # closed form: from -8 to 8 it lies between 5.8 and 5.8 - 0.012 · 10.5² = 4.5
    low, high = stretch(line, points, measured(points), (2.0, 10.0), looked(measured))
    assert (low[0], high[0]) == (-FAR, FAR)


def test_a_point_within_the_window_is_within_its_stretch() -> None:
    line = Line({"a": np.array([1.0])}, 0.7)
    points = Scores({"a": np.zeros((1, 1))})

    def measured(where: Scores) -> Array:
        # It falls to its lower bend and rises again, where the line was laid out for a rise.
        score = where.by_name["a"][:, 0]
        return np.asarray(2.5 - 0.15 * score - 0.02 * score**2 + 0.008 * score**3)

    low, high = stretch(line, points, measured(points), (2.0, 6.0), looked(measured))
    assert low[0] <= 0.0 <= high[0]
