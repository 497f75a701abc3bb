"""Drops that are alike: normal scores correlated as the study says, and no other digit moved."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats

from jitter.arrays import Array
from jitter.draws.deviates import Deviates, _likened, draw
from jitter.draws.layout import Block, Layout, blocks
from jitter.draws.shapes import LARGEST, deviate
from jitter.draws.streams import Streams
from jitter.draws.values import value
from jitter.quantities import Shape
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study

SETUPS, SHOTS = 2000, 20
ALL = SETUPS * SHOTS
LAYOUT = Layout(seed=9, setups=SETUPS, shots=SHOTS)
BLOCK = Block(LAYOUT, 0, SETUPS, 0, SHOTS)
FEW = Block(LAYOUT, 0, 50, 0, SHOTS)
# Three ways to state the two drops, as two quantities that belong together.
WAYS = {
    "volume": ("valve.first_volume=50 ul", "valve.second_volume=40 ul"),
    "mass": ("valve.first_mass=5 g", "valve.second_mass=4 g"),
    "opening": ("valve.first_opening=40 ms", "valve.second_opening=30 ms"),
}
PER_DROP = ["valve.latency", "valve.release_speed", "valve.scatter"]
CASES = [*WAYS, *PER_DROP]


@cache
def study(*settings: str) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=settings)


@cache
def deviates(case: str, *settings: str, trimming: bool = False) -> Deviates:
    """Return what is drawn for a case alone, of many shots."""
    read = study(*settings)
    keys = {case, f"valve.first_{case}", f"valve.second_{case}", "trim.frames", "session.frames"}
    alone = {key: entry for key, entry in read.entries.items() if key in keys}
    return draw(replace(read, entries=alone), BLOCK, trimming=trimming)


def rig(case: str, alike: float | None, *more: str) -> tuple[str, ...]:
    """Return the settings of a case; None says nothing of how alike the drops are."""
    settings = (*WAYS.get(case, ()), *more)
    # The second drop may say it as well as the first.
    key = f"valve.second_{case}" if case in WAYS else case
    return settings if alike is None else (*settings, f"{key}.alike={alike!r}")


def drops(case: str, alike: float | None, *more: str, trimming: bool = False) -> list[Array]:
    """Return the shot deviates of the first and of the second drop."""
    shot = deviates(case, *rig(case, alike, *more), trimming=trimming).shot
    if case in WAYS:
        return [shot[f"valve.{which}_{case}"] for which in ("first", "second")]
    return list(shot[case])


def met(one: Array, other: Array) -> float:
    return float(np.corrcoef(one.ravel(), other.ravel())[0, 1])


def bound(alike: float, count: int) -> float:
    """Return 4.5 standard errors of a correlation of normal numbers; closed form: (1 - ρ²)/√n."""
    return 4.5 * (1.0 - alike * alike) / math.sqrt(count)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("alike", [0.3, 0.9])
@pytest.mark.parametrize("trimming", [False, True])
def test_the_two_drops_are_as_alike_as_the_study_says(
    case: str, alike: float, trimming: bool
) -> None:
    first, second = drops(case, alike, trimming=trimming)
    frames = SETUPS * 8 if trimming else ALL
    # Sideways errors are alike in each direction, and free across them.
    axes = range(2) if case == "valve.scatter" else [...]
    for axis in axes:
        assert abs(met(first[axis], second[axis]) - alike) < bound(alike, frames)
    if case == "valve.scatter":
        assert abs(met(first[0], second[1])) < bound(0.0, frames)


@pytest.mark.parametrize("case", CASES)
def test_the_second_drop_keeps_its_law(case: str) -> None:
    _, second = drops(case, 0.6)
    distance = stats.kstest(second.ravel(), "norm").statistic
    # closed form: Kolmogorov's law, 2 exp(-2 · 2.5²) = 7e-6, the chance of 4.5 sigma
    assert distance * math.sqrt(second.size) < 2.5


def test_it_is_the_normal_scores_that_are_correlated() -> None:
    first, second = drops("valve.latency", 0.8, "valve.latency.shot=within 1 ms")
    assert stats.kstest(second.ravel(), stats.uniform(-1.0, 2.0).cdf).statistic < 2.5 / math.sqrt(
        ALL
    )
    # closed form: the ranks of normal numbers correlated by ρ are correlated by (6/π) asin(ρ/2).
    # A correlation's standard error is below 1/√n where both rise together.
    ranks = 6.0 / math.pi * math.asin(0.8 / 2.0)
    assert abs(met(first, second) - ranks) < 4.5 / math.sqrt(ALL)


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("alike", [0.0, None])
def test_drops_with_nothing_in_common_have_streams_of_their_own(
    case: str, alike: float | None
) -> None:
    for which, drawn in enumerate(drops(case, alike)):
        for axis in np.ndindex(drawn.shape[:-2]):
            own = f"valve.{('first', 'second')[which]}_{case} shot"
            if case in PER_DROP:
                own = " ".join([f"{case} shot", str(which), *map(str, axis)])
            expected = np.empty((SETUPS, SHOTS))
            Streams(9).fill(expected, own, first=0)
            np.testing.assert_array_equal(drawn[axis], deviate(Shape.NORMAL, expected))


@pytest.mark.parametrize("case", CASES)
def test_only_the_second_drop_of_the_quantity_moves(case: str) -> None:
    alike, apart = (draw(study(*rig(case, share)), FEW) for share in (0.5, None))
    keys = {case, f"valve.second_{case}"}
    for level in ("setup", "shot"):
        one, other = getattr(alike, level), getattr(apart, level)
        assert set(one) == set(other)
        for key in set(one) - (keys if level == "shot" else set()):
            np.testing.assert_array_equal(one[key], other[key], err_msg=key)
    np.testing.assert_array_equal(drops(case, 0.5)[0], drops(case, None)[0])
    assert not np.any(drops(case, 0.5)[1] == drops(case, None)[1])


@pytest.mark.parametrize("case", CASES)
def test_drops_that_have_all_in_common_are_equal(case: str) -> None:
    first, second = drops(case, 1.0)
    # A number goes to its normal score and back: some rounding, far out in the tails the most.
    np.testing.assert_allclose(second, first, rtol=0.0, atol=1e-9)
    assert np.std(first) > 0.5


def test_the_first_drop_need_not_stray_itself() -> None:
    settings = ("valve.first_volume.shot=none", "valve.second_volume.alike=0.8")
    shot = deviates("volume", *settings).shot
    assert "valve.first_volume" not in shot
    distance = stats.kstest(shot["valve.second_volume"].ravel(), "norm").statistic
    assert distance * math.sqrt(ALL) < 2.5  # closed form: as above


@pytest.mark.parametrize("alike", [0.4, 1.0])
def test_what_the_stages_read_is_as_alike(alike: float) -> None:
    none = "valve.latency.setup=none"
    settings = rig("valve.latency", alike, none)
    made = np.asarray(
        value(study(*settings), "valve.latency", deviates("valve.latency", *settings), {})
    )
    assert made.shape == (2, SETUPS, SHOTS)
    assert abs(met(made[0], made[1]) - alike) < bound(alike, ALL) + 1e-9
    # closed form: the difference of two errors of sd s correlated by ρ has the sd s √(2 (1 - ρ)),
    # known to 1/√(2 n) of itself.
    assert np.std(made[1] - made[0]) == pytest.approx(
        0.0003 * math.sqrt(2.0 * (1.0 - alike)), rel=4.5 / math.sqrt(2.0 * ALL), abs=1e-12
    )


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("trimming", [False, True])
def test_the_cut_into_blocks_changes_no_digit(case: str, trimming: bool) -> None:
    layout = Layout(seed=9, setups=12, shots=10)
    settings = rig(case, 0.7)

    def joined(size: int) -> dict[str, Array]:
        cut = [
            draw(study(*settings), each, trimming=trimming) for each in blocks(layout, size=size)
        ]
        return {
            key: np.concatenate([piece.shot[key] for piece in cut], axis=-2) for key in cut[0].shot
        }

    whole, pieces = joined(1000), joined(30)
    for key, drawn in whole.items():
        np.testing.assert_array_equal(pieces[key], drawn, err_msg=key)


@pytest.mark.parametrize("case", CASES)
def test_the_cells_of_a_setup_are_pieces_of_it(case: str) -> None:
    settings = rig(case, 0.7)
    layout = Layout(seed=9, setups=3, shots=50)
    whole = draw(study(*settings), Block(layout, 1, 1, 0, 50)).shot
    cells = [draw(study(*settings), Block(layout, 1, 1, at, 25)).shot for at in (0, 25)]
    for key, drawn in whole.items():
        joined = np.concatenate([cell[key] for cell in cells], axis=-1)
        np.testing.assert_array_equal(joined, drawn, err_msg=key)


def test_likened_numbers_stay_below_one() -> None:
    # closed form: scores of 8.2 make 1 less 1e-16, which rounds to 1, whose own score has no end.
    highest = np.array([LARGEST])
    assert _likened(highest, highest, 0.999)[0] < 1.0
    assert _likened(highest, highest, math.sqrt(0.5))[0] < 1.0
