"""The meeting of drop and jet, against a root finder on the exact gap."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.fall import Fall, fall_distance, fall_speed
from jitter.stages.meeting import STAGE
from jitter.study.reader import read_study
from jitter.trial import fire, open_road

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]
SHOTS = 300

# Every part of the meeting strays widely, so that drops come before the jet, on its way up and
# down and after it.
STRAYING = (
    "valve.interval={nominal='120 ms', shot='within 70 ms'}",
    "valve.release_speed={nominal='0.3 m/s', shot='within 0.3 m/s'}",
    "valve.first_volume.shot='sd 6 %'",
    "valve.second_volume.shot='sd 6 %'",
    "valve.scatter.shot='sd 2 mm'",
    "pool.level.shot='within 5 mm'",
    "jet.time_scale.shot='sd 10 %'",
    "jet.height_scale.shot='sd 30 %'",
)


def random_shots(*extra: str) -> dict[str, Any]:
    study = read_study(
        "version = 1", source="test", chain=CHAIN, settings=(*STRAYING, *extra), seed=3
    )
    road = open_road(study, CHAIN, wanted=(*STAGE.gives, "jet_peaks"))
    return fire(road, Block(Layout(seed=3, setups=1, shots=SHOTS), 0, 1, 0, SHOTS)).as_set


def one_of(array: Array, place: int) -> Array:
    return np.broadcast_to(array, (1, SHOTS))[:, place : place + 1]


def one_fall(fall: Fall, place: int) -> Fall:
    return fall._replace(
        half_length=one_of(fall.half_length, place),
        time=one_of(fall.time, place),
        pace=one_of(fall.pace, place),
        size=one_of(fall.size, place),
        powers=tuple(one_of(power, place) for power in fall.powers),
        start=one_of(fall.start, place),
        square=one_of(fall.square, place),
    )


def gap_of(events: dict[str, Any], place: int) -> tuple[Callable[[float], float], float, float]:
    """Return the gap of one shot as a function of time, and two times between which it closes."""
    names = (
        "valve_nozzle_height",
        "second_diameter",
        "second_release",
        "second_landing",
        "surface",
        "jet_emerges",
        "jet_peaks",
        "jet_top",
    )
    shot = {name: one_of(events[name], place).item() for name in names}
    drop = one_fall(events["second_fall"], place)
    edge = shot["valve_nozzle_height"] - 0.5 * shot["second_diameter"] - shot["surface"]
    rise = shot["jet_peaks"] - shot["jet_emerges"]

    def gap(time: float) -> float:
        fallen = fall_distance(drop, np.array(time - shot["second_release"])).item()
        tip = shot["jet_top"] * (1.0 - ((time - shot["jet_peaks"]) / rise) ** 2)
        return float(edge - fallen - tip)

    # A drop above the surface when the jet emerges and at it on landing has met the tip between;
    # if it is let go later than that, since then.
    return gap, max(shot["jet_emerges"], shot["second_release"]), shot["second_landing"]


@pytest.mark.parametrize("nozzle", [0.3, 0.61, 2.0])
def test_meeting_time_is_where_the_gap_closes(nozzle: float) -> None:
    events = random_shots(f"valve.nozzle_height='{nozzle} m'", f"sensor.height='{0.8 * nozzle} m'")
    met = np.flatnonzero(np.isfinite(events["meeting_time"][0]))
    assert len(met) > SHOTS / 3
    late, fast, step = [], [], 1e-6
    for place in met:
        gap, begin, end = gap_of(events, int(place))
        # reference library: scipy 1.17.1, brentq.
        exact = float(brentq(gap, begin, end, xtol=1e-12))
        late.append(events["meeting_time"][0, place] - exact)
        closing = (gap(exact - step) - gap(exact + step)) / (2.0 * step)
        fast.append(events["closing_speed"][0, place] - closing)
    assert np.abs(late).max() < 1e-7
    # closed form: the closing speed is how fast the gap closes. It is taken at a time that may be
    # 0.1 ms off, where gravity changes it by 1 mm/s.
    assert np.abs(fast).max() < 2e-3


def test_a_jet_stands_between_emergence_and_end() -> None:
    events = random_shots()
    landing = events["second_landing"]
    early, late = landing <= events["jet_emerges"], landing > events["jet_gone"]
    assert early.any()
    assert late.any()
    assert (events["jet_stands"] == ~(early | late)).all()
    assert np.isnan(events["meeting_time"][early | late]).all()


@pytest.mark.parametrize(
    ("landing", "stands"), [(0.9999, False), (1.0001, True), (1.1999, True), (1.2001, False)]
)
def test_no_jet_at_the_ends_of_its_life(
    shot: Shot, rework: Rework, landing: float, stands: bool
) -> None:
    events = shot()
    shift = landing - events["second_landing"].item()
    made = rework(
        STAGE,
        events,
        second_landing=np.array([[landing]]),
        second_release=events["second_release"] + shift,
        jet_emerges=np.array([[1.0]]),
        jet_peaks=np.array([[1.1]]),
        jet_gone=np.array([[1.2]]),
    )
    assert made.jet_stands.item() is stands
    assert bool(np.isfinite(made.meeting_time.item())) is stands
    if stands:
        # closed form: at its ends the jet is as high as the surface, so the drop meets it there.
        assert made.meeting_time.item() == pytest.approx(landing, abs=3e-4)


offsets = st.floats(-0.004, 0.004)


@given(
    first=st.tuples(offsets, offsets),
    second=st.tuples(offsets, offsets),
    lean=st.tuples(offsets, offsets),
)
@settings(deadline=None, max_examples=100)
def test_off_centre_is_twice_the_distance_over_both_widths(
    shot: Shot,
    rework: Rework,
    first: tuple[float, float],
    second: tuple[float, float],
    lean: tuple[float, float],
) -> None:
    made = rework(
        STAGE,
        shot(),
        valve_scatter=np.array([first, second]).reshape(2, 2, 1, 1),
        jet_lean=np.array(lean).reshape(2, 1, 1),
        jet_head_ratio=np.array([[1.4]]),
        first_diameter=np.array([[0.005]]),
        second_diameter=np.array([[0.004]]),
    )
    # closed form: B = 2 b/(D2 + r D1) with b the distance from the drop to the leaning tip.
    distance = np.hypot(second[0] - first[0] - lean[0], second[1] - first[1] - lean[1])
    expected = 2.0 * distance / (0.004 + 1.4 * 0.005)
    assert made.off_centre.item() == pytest.approx(expected, rel=1e-9, abs=1e-12)
    assert np.isnan(made.meeting_time.item()) == (made.off_centre.item() >= 1.0)
    # The jet stands whether or not it is struck.
    assert made.jet_stands.item()


def test_a_jet_without_height_is_met_at_the_surface(shot: Shot, rework: Rework) -> None:
    events = shot()
    made = rework(STAGE, events, jet_top=np.array([[1e-12]]))
    # closed form: a tip at the surface is where the drop lands, at its impact speed.
    assert made.meeting_time.item() == pytest.approx(events["second_landing"].item(), abs=1e-8)
    speed = fall_speed(events["second_fall"], events["second_landing"] - events["second_release"])
    assert made.closing_speed.item() == pytest.approx(speed.item(), abs=1e-6)


def test_the_closing_speed_is_the_drops_and_the_tips(shot: Shot, rework: Rework) -> None:
    events = shot()
    # At the jet's top the tip stands still.
    rise = np.array([[0.06]])
    peak = events["second_landing"] - 0.008
    made = rework(STAGE, events, jet_emerges=peak - rise, jet_peaks=peak, jet_gone=peak + rise)
    moment = made.meeting_time
    tip = 2.0 * events["jet_top"] / rise**2 * (peak - moment)
    drop = fall_speed(events["second_fall"], moment - events["second_release"])
    assert abs(tip.item()) < 0.05
    # closed form: the sum of both speeds towards each other.
    assert made.closing_speed.item() == pytest.approx((drop + tip).item(), abs=2e-3)
