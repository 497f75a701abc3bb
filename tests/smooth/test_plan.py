"""Plans: what is integrated, and what may not be."""

from __future__ import annotations

import pytest

from jitter.answers.variants import with_values
from jitter.smooth import sideways
from jitter.smooth.measures import AGE, BLUR, EXPOSURE
from jitter.smooth.plan import FRAME, WIDTHS, Plan, make_plan
from jitter.smooth.points import asked
from jitter.smooth.probe import probe
from jitter.stages import CHAIN
from jitter.trial import open_road
from tests.conftest import STUDIES, load
from tests.toy import TOY, toy_study

NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


def planned(name: str, *settings: str, trimmed: bool = False) -> Plan:
    road = open_road(load(name, *settings), CHAIN, wanted=("reason",))
    return make_plan(road, trimmed=trimmed)


@pytest.mark.parametrize("trimmed", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_lines_keep_out_of_each_others_way(name: str, trimmed: bool) -> None:
    plan = planned(name, trimmed=trimmed)
    road = plan.road
    around = probe(road, [name for name, count in plan.columns.items() if count == 1])
    earlier: list[str] = []
    for course in plan.courses:
        for stream in course.line.parts:
            assert stream in around.leaving(WIDTHS)
            assert not stream.startswith(sideways.KEYS)
            assert stream not in earlier
            for other in plan.courses[: plan.courses.index(course)]:
                assert around.changes(other.measure)[stream] == 0.0
        earlier += course.line.parts
        assert course.place in plan.columns
    assert [course.measure for course in plan.courses] == [AGE, EXPOSURE, BLUR]
    age = plan.courses[0]
    assert age.line.slope > 0.0
    assert age.keys
    if trimmed:
        assert all(" shot" in stream for stream in age.line.parts)
        assert plan.correction is not None
        assert all(" trimming" in stream for stream in plan.correction.parts)
    else:
        assert plan.correction is None
    columns = asked(road.study).columns
    assert set(columns) - set(plan.columns) == {f"{key} shot" for key in plan.mishaps}
    assert FRAME in plan.columns


def test_mishaps_that_no_keeper_survives_are_factors() -> None:
    both = ("sensor.miss_chance", "flash.dark_chance")
    assert set(planned("barn-table").mishaps) == set(both)
    # Started by the valve, a sensor that sleeps does no harm.
    assert planned("barn-table", "timer.start=valve", "timer.delay=360 ms").mishaps == both[1:]
    # Where the shutter is shut anyway, nobody can tell what a mishap would do.
    shut = ("timer.start=valve", "timer.delay=360 ms", "camera.shutter_open=1 ms")
    assert planned("barn-table", *shut, "camera.shutter_opens_before=0 s").mishaps == ()
    # A chance that grows from nothing is one too.
    assert planned("barn-table", "flash.dark_chance=0 %").mishaps == both


def test_what_goes_sideways_stays_off_the_lines() -> None:
    # A beam far beside: what scatters sideways moves the start.
    plan = planned("garage-second-drop", "sensor.offset=1.8 mm")
    around = probe(plan.road, [name for name, count in plan.columns.items() if count == 1])
    assert abs(around.changes(AGE)["valve.scatter shot 1 0"]) > 0.02 * plan.courses[0].line.slope
    for course in plan.courses:
        assert not any(stream.startswith(sideways.KEYS) for stream in course.line.parts)


def test_a_rim_that_stands_still_at_the_nominal_light_still_has_a_slope() -> None:
    blur = planned("church-hall-inches").courses[2].line
    # regression: about a quarter of the blur by one standard deviation of the spreading.
    assert blur.parts.keys() == {"sheet.spread_scale setup"}
    assert blur.slope == pytest.approx(0.24, abs=0.03)


def test_a_toy_without_blur_has_a_line_for_its_age_alone() -> None:
    study = toy_study(half_width=1.0, setup={"a": 1.0}, shot={"b": 2.0, "idle": 1.0})
    (course,) = make_plan(open_road(study, TOY, wanted=("reason",)), trimmed=False).courses
    # closed form: the gradient of a sum of a with 1 ms and b with 2 ms, as long as √5.
    assert course.line.slope == pytest.approx(5.0**0.5 * 1e-3)
    assert course.line.parts["toy.a setup"].item() == pytest.approx(5.0**-0.5)
    assert course.line.parts["toy.b shot"].item() == pytest.approx(2.0 * 5.0**-0.5)
    assert course.keys == ("toy.a", "toy.b")


def test_the_direction_of_the_correction_is_that_of_a_mean() -> None:
    study = toy_study(half_width=1.0, shot={"a": 3.0}, reading=4.0, frames=4)
    plan = make_plan(open_road(study, TOY, wanted=("reason",)), trimmed=True)
    assert plan.correction is not None
    # closed form: a mean of four of 3 ms and of four of 4 ms: 5 ms/√4 long.
    assert plan.correction.slope == pytest.approx(2.5e-3)
    assert plan.correction.parts["toy.a trimming"].tolist() == pytest.approx([0.3] * 4)
    assert plan.correction.parts["trim.reading trimming"].tolist() == pytest.approx([0.4] * 4)


def test_where_no_frame_has_an_age_there_is_no_line() -> None:
    # So long an interval that no jet stands any more.
    study = with_values(load("barn-table"), {"valve.interval": 0.4})
    plan = make_plan(open_road(study, CHAIN, wanted=("reason",)), trimmed=False)
    assert plan.courses[0].line.parts == {}
