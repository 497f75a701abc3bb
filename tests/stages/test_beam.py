"""The drop through the beam: when the timer starts."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.beam import STAGE
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import Fall, fall_speed

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]
RADIUS = 0.00225


def start(rework: Rework, events: dict[str, Any], **changes: Any) -> float:
    return float(rework(STAGE, events, **changes).start_time.item())


def test_a_lower_beam_is_crossed_later_by_one_over_the_speed(shot: Shot, rework: Rework) -> None:
    events = shot("valve.release_speed='0 m/s'")
    moment = start(rework, events) - events["sensor_response"].item()
    speed = fall_speed(events["first_fall"], moment - events["first_release"]).item()
    shift = start(rework, events, sensor_height=np.array([[0.4825]])) - start(
        rework, events, sensor_height=np.array([[0.4835]])
    )
    # closed form: dt = dz/v; a central difference over 1 mm errs by some (0.5 mm g/v²)².
    assert shift == pytest.approx(1e-3 / speed, rel=1e-4)
    # closed form: 1/√(2 g z) of the centre, R above the beam: z = 0.127 m - 2.25 mm; drag adds 1 %.
    assert shift == pytest.approx(1e-3 / np.sqrt(2.0 * GRAVITY * 0.12475), rel=0.01)


def test_a_centre_0127_below_the_nozzle_shifts_by_064_ms_a_mm(shot: Shot, rework: Rework) -> None:
    events = shot("valve.release_speed='0 m/s'")
    lower, upper = 0.483 - RADIUS - 0.0005, 0.483 - RADIUS + 0.0005
    shift = start(rework, events, sensor_height=np.array([[lower]])) - start(
        rework, events, sensor_height=np.array([[upper]])
    )
    # closed form: 1/v with v = 1.5639 m/s, the fall equation's after 0.127 m (vacuum 1.5783).
    assert shift == pytest.approx(1e-3 / 1.5639, abs=1e-7)
    assert f"{1e3 * shift:.2f}" == "0.64"


@given(offset=st.floats(-0.0022, 0.0022))
@settings(deadline=None, max_examples=100)
def test_a_beam_beside_the_middle_is_crossed_late(
    shot: Shot, rework: Rework, vacuum_fall: Callable[[float], Fall], offset: float
) -> None:
    events = shot() | {"first_fall": vacuum_fall(0.0)}
    late = start(rework, events, sensor_offset=np.array([[offset]])) - start(rework, events)
    # closed form: free fall over 0.127 m - √(R² - x²) against 0.127 m - R.
    fallen = 0.127 - np.array([np.sqrt(RADIUS**2 - offset**2), RADIUS])
    times = np.sqrt(2.0 * fallen / GRAVITY)
    assert late >= 0.0
    assert late == pytest.approx(times[0] - times[1], abs=1e-9)


@pytest.mark.parametrize(
    ("offset", "seen"),
    [(0.99 * RADIUS, True), (-0.99 * RADIUS, True), (1.0001 * RADIUS, False), (-0.003, False)],
)
def test_a_beam_beside_the_drop_sees_nothing(
    shot: Shot, rework: Rework, offset: float, seen: bool
) -> None:
    moment = start(rework, shot(), sensor_offset=np.array([[offset]]))
    assert np.isnan(moment) != seen


def test_scatter_counts_in_proportion_to_the_way_fallen(shot: Shot, rework: Rework) -> None:
    events = shot()
    scatter = np.zeros((2, 2, 1, 1))
    # A landing place x shifts the drop by x (0.127/0.610) at the beam; the other drop's, and the
    # y of this one, along the beam, by nothing.
    scatter[0, 0] = 0.002 * (0.610 / 0.127)
    by_drop = start(rework, events, valve_scatter=scatter)
    assert by_drop == pytest.approx(
        start(rework, events, sensor_offset=np.array([[0.002]])), abs=1e-12
    )
    assert by_drop > start(rework, events)
    unseen = np.full((2, 2, 1, 1), 0.004)
    unseen[0, 0] = 0.0
    assert start(rework, events, valve_scatter=unseen) == start(rework, events)


def test_response_is_added_and_a_miss_is_no_start(shot: Shot, rework: Rework) -> None:
    events = shot()
    slow = start(rework, events, sensor_response=np.array([[0.005]]))
    none = start(rework, events, sensor_response=np.array([[0.0]]))
    assert slow - none == pytest.approx(0.005, abs=1e-12)
    assert np.isnan(start(rework, events, sensor_miss_chance=np.array([[True]])))


def test_the_second_drop_can_start_the_timer(shot: Shot, rework: Rework) -> None:
    events = shot()
    later = {"second_release": np.array([[1.0]]), "timer_start": "second drop"}
    first = start(rework, events)
    second = start(rework, events, **later)
    # closed form: equal drops take equally long to the beam.
    assert second - 1.0 == pytest.approx(first - events["first_release"].item(), abs=1e-9)
    aside = np.zeros((2, 2, 1, 1))
    aside[0, 0] = 0.1
    assert start(rework, events, valve_scatter=aside, **later) == second
    aside[1, 0] = 0.1
    assert np.isnan(start(rework, events, valve_scatter=aside, **later))


def test_the_valve_starts_the_timer_at_its_command(shot: Shot, rework: Rework) -> None:
    missed = np.array([[True]])
    assert start(rework, shot(), timer_start="valve", sensor_miss_chance=missed) == 0.0
