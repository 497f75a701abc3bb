"""What a requirement is asked for: names, levels, and how far a value may go."""

from __future__ import annotations

import pytest

from jitter.answers.require.leeway import leeway
from jitter.answers.require.subject import Subject, find_subject
from jitter.errors import MistakeError
from jitter.quantities import Level, Shape
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.conftest import load


@pytest.fixture(scope="module")
def study() -> Study:
    return load("barn-table")


def found(study: Study, key: str, level: Level | None = None) -> Subject:
    return find_subject(study, CHAIN, key, level)


def refusal(study: Study, key: str, level: Level | None = None) -> str:
    with pytest.raises(MistakeError) as caught:
        found(study, key, level)
    (fault,) = caught.value.faults
    return f"{fault.key}: {fault.wrong}; {fault.right}"


@pytest.mark.parametrize(
    ("key", "level"),
    [
        ("sensor.height", Level.SETUP),
        ("valve.latency", Level.SETUP),
        ("valve.scatter", Level.SHOT),
        ("sensor.miss_chance", Level.SHOT),
        ("timer.delay", Level.SETUP),
    ],
)
def test_the_setup_counts_where_it_strays_there_or_nowhere(
    study: Study, key: str, level: Level
) -> None:
    assert found(study, key).source.level is level


def test_a_level_may_be_named(study: Study) -> None:
    subject = found(study, "valve.latency", Level.SHOT)
    assert (subject.source.level, subject.present) == (Level.SHOT, 0.0003)


def test_what_does_not_stray_may_do_so(study: Study) -> None:
    within, normal = (found(study, "timer.delay", level) for level in Level)
    assert (within.present, within.source.spread.shape) == (0.0, Shape.RECTANGULAR)
    assert (normal.present, normal.source.spread.shape) == (0.0, Shape.NORMAL)
    strayed = within.sized(study, 0.002).entries["timer.delay"]
    assert (strayed.setup.shape, strayed.setup.size) == (Shape.RECTANGULAR, 0.002)


def test_volumes_that_share_a_draw_are_one_and_a_diameter_names_them(study: Study) -> None:
    keys = ("valve.first_volume", "valve.second_volume")
    for name in ("valve.first_volume", "valve.second_volume", "valve.first_diameter"):
        assert found(study, name).source.keys == keys
    assert found(study, "valve.second_diameter", Level.SHOT).source.keys == keys[1:]


def test_spreads_that_share_a_draw_keep_their_ratio() -> None:
    spreads = [
        f"valve.{which}_volume.setup=sd {share} %" for which, share in (("first", 2), ("second", 4))
    ]
    study = load("barn-table", *spreads)
    subject = found(study, "valve.first_volume")
    strayed = subject.sized(study, 0.01)
    # closed form: half of 2 % and half of 4 %.
    sizes = [strayed.entries[key].setup.size for key in subject.source.keys]
    assert sizes == pytest.approx([0.01, 0.02])


def test_a_chance_and_a_step_are_their_own_size(study: Study) -> None:
    missed = found(study, "sensor.miss_chance")
    assert (missed.present, missed.most, missed.down, missed.up) == (0.01, 1.0, 0.0, 0.0)
    assert missed.sized(study, 0.2).number("sensor.miss_chance") == pytest.approx(0.2)
    assert found(study, "timer.step").sized(study, 0.001).number("timer.step") == pytest.approx(
        0.001
    )


def test_a_mishap_that_never_strikes_may_be_asked_for() -> None:
    study = load("barn-table", "sensor.miss_chance=0 %")
    subject = found(study, "sensor.miss_chance")
    assert subject.present == 0.0
    assert subject.sized(study, 0.1).number("sensor.miss_chance") == 0.1


def test_a_value_goes_as_far_as_it_makes_sense(study: Study) -> None:
    height = found(study, "sensor.height")
    # closed form: up to a drop's width, 4.5 mm, under the nozzle at 610 mm; down to 1 mm.
    assert height.up == pytest.approx(0.610 - 0.0045 - 0.483, abs=1e-6)
    assert height.down == pytest.approx(0.483 - 0.001, abs=1e-6)
    # The half width may not reach beyond the nearer of them.
    assert height.most == pytest.approx(height.up)
    assert leeway(study, CHAIN, ["sensor.height"], 1.0) == height.up


def test_a_share_is_of_the_value(study: Study) -> None:
    slow = found(study, "jet.time_scale")
    # closed form: from 1 down to the limit 0.2.
    assert slow.source.spread.relative
    assert slow.most == pytest.approx(0.8, abs=1e-5)
    assert slow.typical == pytest.approx(0.04)


def test_the_present_spread_is_always_looked_at() -> None:
    study = load("barn-table", "valve.release_speed.setup=sd 0.2 m/s")
    assert found(study, "valve.release_speed").most == 0.2


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("sensor.hight", "sensor.hight: there is no such quantity; did you mean sensor.height?"),
        ("beam.offset", "did you mean sensor.offset?"),
        ("hieght", "did you mean sensor.height, jet.height, valve.nozzle_height or "),
        ("nothing.like.it", "jitter quantities lists them"),
        ("keeper.off_centre", "a plain setting and does not stray"),
        ("flash.kind", "a plain setting and does not stray"),
        ("keeper.age", "a plain setting and does not stray"),
        ("liquid.fat", "it has no part in this study: only with liquid.kind = milk"),
    ],
)
def test_what_cannot_be_asked_for_is_told(study: Study, key: str, said: str) -> None:
    assert said in refusal(study, key)


def test_a_mishap_has_no_setup_error(study: Study) -> None:
    assert "anew for each shot" in refusal(study, "sensor.miss_chance", Level.SETUP)
