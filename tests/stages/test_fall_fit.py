"""The polynomial of the fall time: what it keeps, what it leaves out, what it refuses."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.stage import UnpreparedError
from jitter.stages import fall_fit
from jitter.stages.drag import FallUnits
from jitter.stages.fall import at_rest, fall_duration, fall_state, let_go
from jitter.stages.fall_fit import TOLERANCE, FallTable, fit_fall
from jitter.stages.fall_integrals import fall_from_rest

TIME = 0.6
"""Unit of time [s]."""
USUAL = {
    "archimedes": (5.0, 0.1),
    "morton": (1.2e-4, 1e-6),
    "distance": 0.2,
    "fastest": 0.02,
    "time": TIME,
}


@pytest.fixture
def forgetful() -> Iterator[None]:
    """Keep no fall table from before or for later."""
    fit_fall.cache_clear()
    yield
    fit_fall.cache_clear()


def units_of(archimedes: float, morton: float) -> FallUnits:
    """Return units in which lengths and times of the fall are plain numbers."""
    unit = np.ones((1, 1))
    return FallUnits(archimedes * unit, morton * unit, unit, unit)


@settings(max_examples=40, deadline=None)
@given(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_the_fit_is_as_good_as_its_table_says(a: float, b: float) -> None:
    table = fit_fall(**USUAL)
    archimedes, morton = np.exp(5.0 + 0.1 * a), 1.2e-4 + 1e-6 * b
    truth = fall_from_rest(
        archimedes=np.array([archimedes]), morton=np.array([morton]), distance=0.2, nodes=301
    )
    needed = truth.distance <= 0.2 * np.exp(-0.1 * (a + 1.0))
    drop = let_go(
        at_rest(table=table, units=units_of(archimedes, morton)), release_speed=np.zeros((1, 1))
    )
    late = (fall_duration(drop, truth.distance) - truth.time)[needed]
    # Between the nodes of the check it may be a little worse than on them.
    clock = TIME * np.exp(0.05 * (a - 1.0))
    assert np.abs(late).max() * clock < 1.1 * table.error
    way, speed = fall_state(drop, truth.time)
    assert np.abs(way - truth.distance)[needed].max() * clock < 1.5 * table.error * speed.max()
    # The slope of what was fitted errs more than itself does, most at its ends.
    fast = needed & (truth.distance > 0.005)
    np.testing.assert_allclose(speed[fast], truth.speed[fast], rtol=3.0 * fall_fit.SPEED)


def test_no_more_is_kept_than_is_needed() -> None:
    table = fit_fall(**USUAL)
    assert TOLERANCE / 10.0 < table.error < TOLERANCE
    assert list(table.bends) == sorted(table.bends, reverse=True)
    for power, bend in enumerate(table.bends):
        assert (table.coefficients[power, bend + 1 :] == 0.0).all()
        assert (table.coefficients[power, bend] != 0.0).any()
    # A wider range of sizes bends more.
    wider = fit_fall(**{**USUAL, "archimedes": (5.0, 0.4)})
    assert sum(wider.bends) > sum(table.bends)


@pytest.mark.usefixtures("forgetful")
@pytest.mark.parametrize("half_width", [0.02, 0.1, 0.4])
def test_a_polynomial_with_fewer_powers_would_not_do(
    half_width: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = {**USUAL, "archimedes": (5.0, half_width)}
    powers = len(fit_fall(**asked).bends)
    fewer = tuple(degrees for degrees in fall_fit.DEGREES if degrees[0] + 1 < powers)
    assert fewer
    monkeypatch.setattr(fall_fit, "DEGREES", fewer)
    fit_fall.cache_clear()
    assert fit_fall(**asked).error > TOLERANCE


@given(st.integers(1, 6), st.integers(1, 4), st.integers(0, 2**32 - 1))
def test_what_is_left_out_is_worth_no_more_than_the_room(
    powers: int, degrees: int, seed: int
) -> None:
    draws = np.random.default_rng(seed)
    sizes = draws.exponential(size=(powers, degrees))
    room = float(draws.exponential())
    bends = fall_fit._bends(sizes, room)
    left: Array = np.array([sizes[power, bend + 1 :].sum() for power, bend in enumerate(bends)])
    assert left.sum() <= room + 1e-12
    assert list(bends) == sorted(bends, reverse=True)
    assert fall_fit._bends(sizes, -1.0) == (degrees - 1,) * powers
    assert fall_fit._bends(sizes, np.inf) == (0,) * powers


@given(st.integers(0, 2**32 - 1))
def test_powers_say_what_the_chebyshev_polynomials_say(seed: int) -> None:
    draws = np.random.default_rng(seed)
    cube = draws.normal(size=(5, 3, 2))
    x, a, b = draws.uniform(-1.0, 1.0, size=3)
    # reference library: numpy's own sums of both kinds.
    expected = np.polynomial.chebyshev.chebval3d(x, a, b, cube)
    found = np.polynomial.polynomial.polyval3d(x, a, b, fall_fit._in_powers(cube))
    assert found == pytest.approx(expected, abs=1e-12)


def steps_of(table: FallTable) -> tuple[int, int]:
    return table.search_steps, table.release_steps


def test_falls_that_bend_more_take_more_steps() -> None:
    assert steps_of(fit_fall(**USUAL)) == (1, 0)
    # Small drops that come near to falling evenly, let go fast.
    search, release = steps_of(
        fit_fall(archimedes=(3.2, 0.1), morton=(1.2e-4, 1e-6), distance=2.0, fastest=0.5, time=TIME)
    )
    assert search > 1
    assert release > 0


@pytest.mark.usefixtures("forgetful")
def test_a_fit_that_cannot_be_good_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fall_fit, "TOLERANCE", 0.0)
    # Short of perfection the best fit will do, and its table says how good it is.
    assert 0.0 < fit_fall(**USUAL).error < 1e-6
    monkeypatch.setattr(fall_fit, "COARSE", 0.0)
    fit_fall.cache_clear()
    with pytest.raises(UnpreparedError):
        fit_fall(**USUAL)
