"""The verdict: the first reason in causal order, and all that are true."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER, REASONS, Verdict, verdict
from jitter.trial import fire, open_road
from tests.conftest import load

NAN = np.array([[np.nan]])
YES, NO = np.array([[True]]), np.array([[False]])

KEPT: dict[str, Any] = {
    "start_time": np.array([[0.16]]),
    "no_light": NO,
    "jet_stands": YES,
    "off_centre": np.array([[0.1]]),
    "age": np.array([[0.005]]),
    "exposure": np.array([[1.0]]),
    "motion_blur": np.array([[20e-6]]),
    "blur": np.array([[30e-6]]),
    "depth_blur": np.array([[25e-6]]),
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
    "wrong exposure": ({"exposure": np.array([[1.45]])}, set()),
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
        {"exposure": np.array([[2.0**0.5]])},
        {"exposure": np.array([[2.0**-0.5]])},
        {"depth_blur": np.array([[90e-6]])},
    ):
        assert judge(**changes).reason.item() == KEEPER


@pytest.mark.parametrize(("exposure", "wrong"), [(0.70, True), (0.71, False), (1.42, True)])
def test_exposure_errs_either_way(exposure: float, wrong: bool) -> None:
    made = judge(exposure=np.array([[exposure]]))
    # closed form: 2^-0.5 = 0.7071, 2^0.5 = 1.4142
    assert (reasons(made) == ["wrong exposure"]) is wrong


def test_a_frame_is_soft_where_either_part_of_the_sheet_is() -> None:
    # The rim that moves across the view, and the depth that is wanted sharp.
    beyond, short = np.array([[91e-6]]), np.array([[89e-6]])
    for rim in (beyond, short):
        for depth in (beyond, short):
            made = judge(blur=rim, depth_blur=depth)
            soft = rim is beyond or depth is beyond
            assert reasons(made) == ["soft"] * soft


def test_the_depth_of_a_sheet_that_never_was_is_not_soft() -> None:
    # Where the drop fell is known in every frame, and how far out of focus a sheet would be there.
    made = judge(age=NAN, motion_blur=NAN, blur=NAN, depth_blur=np.array([[91e-6]]))
    assert reasons(made) == []


def test_a_depth_of_nothing_changes_no_verdict() -> None:
    # Drops all over the place before a wide lens: some frames are soft, some have no age.
    settings = ("valve.scatter=sd 3 mm", "camera.aperture=f/4", "flash.dark_chance=0.1")
    study = load("barn-table", *settings, "sensor.miss_chance=0.1")
    layout = Layout(study.seed, 64, 8)
    made = fire(open_road(study, CHAIN), Block(layout, 0, 64, 0, 8)).as_set
    ages = np.isfinite(np.broadcast_to(made["age"], (64, 8)))
    soft = made["reasons"] >> REASONS.index("soft") & 1 == 1
    assert 0.2 < ages.mean() < 0.8
    assert 0.2 < soft[ages].mean() < 0.9
    shallow = verdict(**{name: made[name] for name in KEPT} | {"depth_blur": np.zeros((1, 1))})
    assert (shallow.reasons == made["reasons"]).all()


def test_frames_are_judged_one_by_one() -> None:
    made = judge(age=np.array([[0.001, 0.005, 0.02]]), no_light=np.array([[False], [True]]))
    assert [[REASONS[code] if code < KEEPER else "" for code in row] for row in made.reason] == [
        ["early", "", "late"],
        ["no light"] * 3,
    ]
