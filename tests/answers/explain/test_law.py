"""What frames look like, set-up by set-up: what a set-up's own frames say, and what others do."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.explain import law as module
from jitter.answers.explain.law import (
    FEWEST,
    LEAST_ALIKE,
    MOST_ALIKE,
    READING,
    SLIP,
    SMOOTH,
    law,
    worth_of_others,
)
from jitter.answers.explain.views import MEASURES, Views
from jitter.arrays import Array
from jitter.stages.look import ABOVE, DARK, KEPT, LOOKS
from tests.answers.explain.made import NONE

GAP = MEASURES.index("gap")


def views(look: Array, gap: Array | None = None) -> Views:
    measures = np.full((len(MEASURES), *look.shape), np.nan)
    if gap is not None:
        measures[GAP] = gap
    return Views(look.astype(np.uint8), measures)


def shares(found: module.Law) -> Array:
    """Return the mean share of every look, (s, 14)."""
    part = found.first / (found.first + found.rest)
    left = np.cumprod(1.0 - part, axis=1)
    whole = np.ones((len(part), 1))
    shared: Array = np.concatenate([part, whole], axis=1) * np.concatenate([whole, left], axis=1)
    return shared


def test_a_slip_gives_every_look_a_little() -> None:
    found = shares(law(views(np.full((6, 20), KEPT)), NONE))
    # closed form: all are keepers, but for the slips, shared by all looks evenly.
    truth = np.full(len(LOOKS), SLIP / len(LOOKS))
    truth[KEPT] += 1.0 - SLIP
    np.testing.assert_allclose(found, np.tile(truth, (6, 1)), atol=1e-12)


def test_shares_sum_to_one_and_lie_between_a_setups_own_and_all() -> None:
    draws = np.random.default_rng(1)
    chance = np.repeat(draws.beta(2.0, 3.0, 300)[:, None], 32, axis=1)
    look = np.where(draws.random((300, 32)) < chance, DARK, KEPT)
    found = shares(law(views(look), NONE))
    np.testing.assert_allclose(found.sum(axis=1), 1.0, atol=1e-12)
    own, every = (look == DARK).mean(axis=1), (look == DARK).mean()
    dark = (found[:, DARK] - SLIP / len(LOOKS)) / (1.0 - SLIP)
    # closed form: the mean of beta(2, 3) after x of 32: (2 + x)/(5 + 32); the five is estimated.
    np.testing.assert_allclose(dark, (2.0 + 32.0 * own) / 37.0, atol=0.03)
    assert (np.abs(dark - every) < np.abs(own - every) + 1e-12).all()


@pytest.mark.parametrize(("first", "second"), [(2.0, 3.0), (0.5, 0.5), (6.0, 30.0)])
def test_what_others_are_worth_is_the_size_of_the_beta_law(first: float, second: float) -> None:
    draws = np.random.default_rng(2)
    frames = draws.integers(10, 40, 20000).astype(float)
    shown = draws.binomial(frames.astype(int), draws.beta(first, second, 20000)).astype(float)
    # closed form: shares of a beta law (a, b) vary by m(1 - m)/(a + b + 1).
    assert worth_of_others(shown, frames) == pytest.approx(first + second, rel=0.1)


def test_what_others_are_worth_has_its_ends() -> None:
    draws = np.random.default_rng(3)
    alike = draws.binomial(32, 0.2, 5000).astype(float)
    assert worth_of_others(alike, np.full(5000, 32.0)) == MOST_ALIKE
    assert worth_of_others(np.array([8.0, 0.0]), np.full(2, 8.0)) == LEAST_ALIKE
    assert worth_of_others(np.array([8.0, 0.0]), np.array([8.0, 0.0])) == MOST_ALIKE


def test_a_mishap_that_all_setups_share_is_known_from_all() -> None:
    draws = np.random.default_rng(4)
    look = np.where(draws.random((2000, 32)) < 0.02, DARK, KEPT)
    found = law(views(look), NONE)
    # A set-up that happened to show it three times in 32 does not show it in one of eleven.
    struck = (look == DARK).sum(axis=1) == 3
    assert struck.any()
    # closed form: (200·0.02 + 3)/232 and the slips.
    assert shares(found)[struck, DARK].mean() == pytest.approx(
        0.98 * 7.0 / 232.0 + SLIP / 14, abs=0.004
    )


def test_numbers_have_the_law_of_their_setup() -> None:
    draws = np.random.default_rng(5)
    middle = draws.normal(0.02, 0.004, 2000)
    gap = middle[:, None] + draws.normal(0.0, 0.002, (2000, 32))
    found = law(views(np.full((2000, 32), ABOVE), gap), [True] + [False] * 4)
    numbers = found.numbers[GAP, ABOVE]
    assert numbers is not None
    # closed form: the mean of 32 shrunk by 4²/(4² + 2²/32); sd² of frames and of reading.
    trust = 16.0 / (16.0 + 4.0 / 32.0)
    own = gap.mean(axis=1)
    np.testing.assert_allclose(numbers.mean, own.mean() + trust * (own - own.mean()), atol=2e-5)
    spread = float(np.sqrt((numbers.spread**2).mean()))
    assert spread == pytest.approx(np.hypot(0.002, READING), rel=0.02)
    np.testing.assert_allclose(numbers.between, 0.004 * np.sqrt(SMOOTH**2 + 1.0 - trust), rtol=0.06)


def test_a_thinned_law_is_that_of_some_of_the_setups() -> None:
    draws = np.random.default_rng(6)
    gap = draws.normal(0.02, 0.004, (100, 1)) + draws.normal(0.0, 0.002, (100, 32))
    look = np.where(draws.random((100, 32)) < 0.5, ABOVE, KEPT)
    whole = law(views(look, gap), [True] + [False] * 4)
    for wanted, step in ((25, 4), (30, 3), (100, 1), (500, 1)):
        some = whole.thinned(wanted)
        np.testing.assert_array_equal(some.first, whole.first[::step])
        np.testing.assert_array_equal(some.slips, whole.slips[::step])
        for key in ((GAP, ABOVE), (GAP, KEPT)):
            numbers, all_numbers = some.numbers[key], whole.numbers[key]
            assert numbers is not None
            assert all_numbers is not None
            np.testing.assert_array_equal(numbers.mean, all_numbers.mean[::step])
            np.testing.assert_allclose(numbers.log_variance, np.log(numbers.spread**2), rtol=1e-12)
        assert set(some.every) == {GAP}


def test_frames_of_any_look_have_a_law_too() -> None:
    draws = np.random.default_rng(7)
    look = np.where(draws.random((300, 16)) < 0.5, ABOVE, KEPT)
    gap = np.where(look == ABOVE, 0.01, 0.03) + draws.normal(0.0, 0.001, look.shape)
    found = law(views(look, gap), [True] + [False] * 4)
    every = found.every[GAP]
    assert every is not None
    # closed form: half of them 10 mm to either side of 20 mm.
    assert float((every.spread**2).mean()) == pytest.approx(0.01**2, rel=0.05)
    assert list(found.every) == [GAP]


def test_a_name_that_a_setup_does_not_earn_is_a_slip() -> None:
    look = np.where(np.arange(40) < 20, KEPT, DARK)[None, :] * np.ones((50, 1), dtype=int)
    slips = law(views(look), NONE).slips
    # closed form: half of the frames are keepers: of those called so, SLIP/14 of all are slips.
    part = SLIP / len(LOOKS)
    np.testing.assert_allclose(slips[:, KEPT], part / (0.5 * (1.0 - SLIP) + part), rtol=1e-6)
    np.testing.assert_allclose(slips[:, ABOVE], 1.0, atol=1e-5)
    assert (slips < 1.0).all()


def test_a_setup_that_shows_no_number_leans_on_all() -> None:
    draws = np.random.default_rng(6)
    look = np.full((400, 16), ABOVE)
    look[:100] = KEPT
    gap = draws.normal(0.02, 0.004, 400)[:, None] + draws.normal(0.0, 0.001, (400, 16))
    gap[:100] = np.nan
    numbers = law(views(look, gap), [True] + [False] * 4).numbers[GAP, ABOVE]
    assert numbers is not None
    np.testing.assert_allclose(numbers.mean[:100], np.nanmean(gap))
    # It may lie as far from the others as these lie from each other, and a bandwidth more.
    every = np.nanstd(np.nanmean(gap[100:], axis=1))
    np.testing.assert_allclose(numbers.between[:100], every * np.hypot(1.0, SMOOTH), rtol=0.02)
    assert (numbers.between[:100] > 1.5 * numbers.between[200]).all()


def test_numbers_of_hardly_a_frame_tell_nothing() -> None:
    look = np.full((50, 16), KEPT)
    look[0, : FEWEST - 1] = ABOVE
    gap = np.where(look == ABOVE, 0.01, np.nan)
    found = law(views(look, gap), [True] + [False] * 4)
    assert found.numbers[GAP, ABOVE] is None
    # Looks that no frame has are not there at all, and what was not measured neither.
    assert set(found.numbers) == {(GAP, ABOVE), (GAP, KEPT)}
