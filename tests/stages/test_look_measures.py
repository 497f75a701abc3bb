"""What can be measured in a frame, against closed forms of falls, parabolas and frames."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages import look as looks
from jitter.stages.fall import Fall, fall_distance
from jitter.stages.verdict import REASONS
from jitter.trial import nominal_shot
from jitter.validation.rig import rig
from tests.stages.looking import SHOWN, Rework, Shot, again, beside, shown, word


@pytest.mark.parametrize("settings", [(), ("valve.wobble=0.2",)])
def test_the_gap_closes_as_drop_and_jet_meet(settings: tuple[str, ...]) -> None:
    # closed form: the meeting is where the drop's lower edge is at the tip, found to 1 µs.
    events = nominal_shot(rig(*settings, setup_errors=False), CHAIN)
    meeting = events["meeting_time"].item()
    just = again(events, light_time=meeting - 1e-9)
    assert word(just) == "drop above the column"
    assert abs(just["gap"].item()) < 1e-6 * just["closing_speed"].item()
    after = again(events, light_time=meeting)
    assert after["meeting_height"].item() == pytest.approx(just["tip_height"].item(), abs=1e-8)
    assert after["sheet_width"].item() == pytest.approx(after["second_diameter"].item())
    # A drop that swings is not as high as it is wide.
    fallen = fall_distance(events["second_fall"], just["light_time"] - events["second_release"])
    low = events["valve_nozzle_height"] - 0.5 * events["second_diameter"] - fallen
    assert (abs((just["drop_height"] - low).item()) > 1e-5) is bool(settings)


@pytest.mark.parametrize("level", [0.0, 0.004])
@pytest.mark.parametrize("drop", ["first", "second"])
def test_drops_are_as_high_as_they_have_fallen(
    shot: Shot, rework: Rework, vacuum_fall: Callable[[float], Fall], drop: str, level: float
) -> None:
    # closed form: without air z = v0 t + g t²/2, less half the drop and the surface's own height.
    moment, released = 0.34, 0.01
    nothing = np.array([[np.nan]])
    changes = {
        f"{drop}_fall": vacuum_fall(0.3),
        f"{drop}_release": np.array([[released]]),
        "surface": np.array([[level]]),
        "light_time": np.array([[moment]]),
        "age": nothing,
        "reason": np.array([[REASONS.index("no jet")]], dtype=np.uint8),
    }
    if drop == "second":
        changes["first_landing"] = np.array([[0.2]])
    made = rework(looks.STAGE, shot(), **changes)
    elapsed = moment - released
    fallen = 0.3 * elapsed + 0.5 * 9.80665 * elapsed**2
    # The fit of the fall is good to some micrometres.
    assert made.drop_height.item() == pytest.approx(0.610 - 0.00225 - level - fallen, abs=1e-5)
    assert word(made) == "one drop in the air"


def test_the_tip_follows_its_parabola(shot: Shot) -> None:
    # closed form: the parabola through (emerges, 0), (peaks, top) and (gone, 0) has three quarters
    # of its height halfway; the second drop is kept out of the way.
    alone = shot("valve.interval=300 ms")
    emerges, peaks, gone = (alone[f"jet_{name}"].item() for name in ("emerges", "peaks", "gone"))
    top = alone["jet_top"].item()
    for share, height in ((0.0, 0.0), (0.25, 0.75), (0.5, 1.0), (0.75, 0.75)):
        moment = emerges + share * (gone - emerges)
        made = again(alone, light_time=moment)
        assert made["tip_height"].item() == pytest.approx(height * top, abs=1e-12)
        assert word(made) == "column only"
    assert again(alone, light_time=peaks)["tip_height"].item() == top
    for moment in (emerges - 1e-6, gone + 1e-6):
        assert word(again(alone, light_time=moment)) == "nothing there"


def test_gap_and_width_and_side(shot: Shot) -> None:
    # closed form: a difference of heights, twice a radius, a difference of places.
    before = beside(shot("timer.delay=286 ms"), across=0.0003, towards=0.001)
    gap = before["drop_height"] - before["tip_height"]
    assert before["gap"].item() == gap.item() > 0.0
    assert before["side"].item() == pytest.approx(0.0003)
    after = beside(shot(), across=-0.0003)
    assert after["sheet_width"].item() == 2.0 * after["sheet_radius"].item()
    lean = np.array([[[0.0002]], [[0.005]]])
    leaning = walk(CHAIN.stages, after | {"jet_lean": lean}, {"jet_lean"})
    assert leaning["side"].item() == pytest.approx(-0.0005)
    # The tip's parabola, over (3.27 - 1.48) √(R_E/g) to either side of its top, 2 R_E high.
    size = after["energy_length"].item()
    half_life = 1.79 * (size / 9.80665) ** 0.5
    share = (after["meeting_time"] - after["jet_peaks"]).item() / half_life
    assert after["meeting_height"].item() == pytest.approx(2.0 * size * (1.0 - share**2))


def test_a_drop_that_passes_aside_may_be_below_the_tip(shot: Shot) -> None:
    events = beside(shot("timer.delay=289 ms"), across=0.02)
    assert REASONS[events["reason"].item()] == "passed aside"
    assert word(events) == "drop above the column"
    assert events["gap"].item() < 0.0
    assert events["side"].item() == pytest.approx(0.02)


def test_the_upper_edge_of_the_frame(shot: Shot, rework: Rework) -> None:
    # closed form: what lies above the surface's place, over the magnification.
    events = shot("timer.delay=286 ms")
    drop = events["drop_height"].item()
    for place in (0.0, 0.3):
        height = 0.4 * drop / (1.0 - place)
        for share, seen in ((0.999, "column only"), (1.001, "drop above the column")):
            frame = {"camera_frame_height": share * height, "camera_surface_place": place}
            made = rework(looks.STAGE, events, **frame)
            assert word(made) == seen
            # What is left in the frame is as it was.
            assert made.tip_height.item() == events["tip_height"].item()
            assert shown(made) == SHOWN[seen]


def test_a_frame_is_two_thirds_as_high_as_wide(rework: Rework, shot: Shot) -> None:
    # closed form: 24 mm on 36 mm; 1.02 drop heights on either side of it.
    events = shot("timer.delay=286 ms")
    for share in (0.98, 1.02):
        width = 1.5 * share * 0.4 * events["drop_height"].item()
        changes = {"camera_frame_width": width, "camera_surface_place": 0.0}
        default = rework(looks.STAGE, events, **changes)
        told = rework(looks.STAGE, events, **changes, camera_frame_height=width / 1.5)
        assert word(default) == word(told)
        assert (word(default) == "drop above the column") is (share > 1.0)


@pytest.mark.parametrize(
    ("moment", "drop"), [(0.005, None), (0.05, "first"), (0.2, "first"), (0.35, "first"),
                         (0.38, "second")],
)  # fmt: skip
def test_the_lowest_of_two_drops_is_told(shot: Shot, moment: float, drop: str | None) -> None:
    # Regression, of the times: released after 8 and 107 ms, landed after 359 and 458 ms. The whole
    # fall is in the frame.
    events = again(shot("camera.magnification=0.02"), light_time=moment)
    if drop is None:
        assert word(events) == "nothing there"
        return
    elapsed = events["light_time"] - events[f"{drop}_release"]
    fallen = fall_distance(events[f"{drop}_fall"], elapsed).item()
    # closed form: the nozzle less half the drop less the fall.
    assert events["drop_height"].item() == pytest.approx(0.610 - 0.00225 - fallen)


BEFORE = st.floats(0.0001, 0.004)


@given(first=BEFORE, second=BEFORE, interval=st.sampled_from(["90 ms", "99 ms", "115 ms"]))
def test_the_gap_shrinks_until_they_meet(
    shot: Shot, first: float, second: float, interval: str
) -> None:
    events = shot(f"valve.interval={interval}")
    sooner, later = max(first, second), min(first, second)
    at = [again(events, light_time=events["meeting_time"].item() - age) for age in (sooner, later)]
    assert [word(made) for made in at] == ["drop above the column"] * 2
    # The drop falls by more than 3 m/s, the tip by less than 2 top/(half its life), 0.8 m/s.
    gaps = [made["gap"].item() for made in at]
    assert min(gaps) > 0.0
    assert gaps[0] - gaps[1] >= 2.0 * (sooner - later) - 1e-12
