"""The verdict: the first reason in causal order, and all that are true."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

from jitter.stages.verdict import KEEPER, REASONS, Verdict, verdict

NAN = np.array([[np.nan]])
YES, NO = np.array([[True]]), np.array([[False]])

KEPT: dict[str, Any] = {
    "start_time": np.array([[0.16]]),
    "no_light": NO,
    "jet_stands": YES,
    "off_centre": np.array([[0.1]]),
    "age": np.array([[0.005]]),
    "flash_energy": np.array([[1.0]]),
    "motion_blur": np.array([[20e-6]]),
    "blur": np.array([[30e-6]]),
    "keeper_age": (0.002, 0.010),
    "keeper_off_centre": 0.25,
    "keeper_blur": 90e-6,
    "keeper_exposure": 0.5,
}


def judge(**changes: Any) -> Verdict:
    return verdict(**(KEPT | changes))


def reasons(made: Verdict) -> list[str]:
    return [name for place, name in enumerate(REASONS) if made.reasons.item() >> place & 1]


# What each reason needs, and nothing else; with the reasons that come of it by definition.
FAULTS: dict[str, tuple[dict[str, Any], set[str]]] = {
    "no start": ({"start_time": NAN, "age": NAN, "motion_blur": NAN, "blur": NAN}, set()),
    "no light": ({"no_light": YES, "age": NAN, "motion_blur": NAN, "blur": NAN}, set()),
    "no jet": ({"jet_stands": NO, "age": NAN, "motion_blur": NAN, "blur": NAN}, set()),
    "passed aside": (
        {"off_centre": np.array([[1.0]]), "age": NAN, "motion_blur": NAN, "blur": NAN},
        {"lopsided"},
    ),
    "early": ({"age": np.array([[0.00199]])}, set()),
    "late": ({"age": np.array([[0.01001]])}, set()),
    "lopsided": ({"off_centre": np.array([[0.26]])}, set()),
    "wrong exposure": ({"flash_energy": np.array([[1.45]])}, set()),
    "smeared": ({"motion_blur": np.array([[91e-6]]), "blur": np.array([[95e-6]])}, {"soft"}),
    "soft": ({"blur": np.array([[91e-6]])}, set()),
}


def test_the_causal_order() -> None:
    # Ours: what has to happen first is named first.
    assert tuple(FAULTS) == REASONS


def test_a_frame_without_fault_is_a_keeper() -> None:
    made = judge()
    assert made.reason.item() == KEEPER == len(REASONS)
    assert made.reasons.item() == 0


@pytest.mark.parametrize("name", REASONS)
def test_each_fault_gives_its_reason(name: str) -> None:
    changes, also = FAULTS[name]
    made = judge(**changes)
    assert REASONS[made.reason.item()] == name
    assert set(reasons(made)) == {name} | also


@pytest.mark.parametrize(("first", "second"), list(combinations(REASONS, 2)))
def test_the_first_of_two_faults_is_the_reason_and_both_are_kept(first: str, second: str) -> None:
    earlier, later = FAULTS[first][0], FAULTS[second][0]
    made = judge(**(later | earlier))
    assert REASONS[made.reason.item()] == first
    # Where both speak of the same value the earlier one has it, as an age that does not exist.
    if earlier.keys().isdisjoint(later):
        assert {first, second} <= set(reasons(made))


def test_what_did_not_happen_is_neither_early_nor_late_nor_soft() -> None:
    made = judge(age=NAN, motion_blur=NAN, blur=NAN, start_time=NAN)
    assert reasons(made) == ["no start"]
    # An age that does not exist is no fault of its own.
    assert judge(age=NAN, motion_blur=NAN, blur=NAN).reason.item() == KEEPER


def test_limits_themselves_are_kept() -> None:
    for changes in (
        {"age": np.array([[0.002]])},
        {"age": np.array([[0.010]])},
        {"off_centre": np.array([[0.25]])},
        {"motion_blur": np.array([[90e-6]]), "blur": np.array([[90e-6]])},
        # closed form: half a stop is a factor of √2, either way.
        {"flash_energy": np.array([[2.0**0.5]])},
        {"flash_energy": np.array([[2.0**-0.5]])},
    ):
        assert judge(**changes).reason.item() == KEEPER


@pytest.mark.parametrize(("energy", "wrong"), [(0.70, True), (0.71, False), (1.42, True)])
def test_exposure_errs_either_way(energy: float, wrong: bool) -> None:
    made = judge(flash_energy=np.array([[energy]]))
    # closed form: 2^-0.5 = 0.7071, 2^0.5 = 1.4142
    assert (reasons(made) == ["wrong exposure"]) is wrong


def test_frames_are_judged_one_by_one() -> None:
    made = judge(age=np.array([[0.001, 0.005, 0.02]]), no_light=np.array([[False], [True]]))
    assert [[REASONS[code] if code < KEEPER else "" for code in row] for row in made.reason] == [
        ["early", "", "late"],
        ["no light"] * 3,
    ]
