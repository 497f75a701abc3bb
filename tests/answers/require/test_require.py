"""How precisely a thing must be set: fed back, asked twice, out of reach."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from unittest.mock import patch

import numpy as np
import pytest

from jitter.answers.effort import Net
from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.answer import RequireAnswer, answer_require
from jitter.answers.require.every import answer_require_all
from jitter.answers.require.lines import close_by
from jitter.answers.require.requirement import HitCurve, Limit, Requirement
from jitter.answers.require.roads import open_near, prepare, read_for_tables
from jitter.answers.require.subject import find_subject
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.trial import open_road
from tests.conftest import STUDIES, load
from tests.toy import TOY, deviation, hit_share, toy_study

FRESH = Layout(seed=4711, setups=4096, shots=32)
NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


@cache
def asked(key: str, level: Level | None, target: float) -> RequireAnswer:
    study = load("barn-table")
    return answer_require(study, CHAIN, find_subject(study, CHAIN, key, level), target)


def apart(rate: Estimate, told: Estimate) -> float:
    """Return how far a fresh hit rate is from the one told, in standard errors of the two."""
    errors = [(one.high - one.low) / (2.0 * 1.96) for one in (rate, told)]
    return abs(rate.value - told.value) / deviation(*errors)


def told_at(curve: HitCurve, way: str, size: float) -> Estimate:
    """Return the hit rate that a curve tells at a size, with its interval."""
    low, value, high = (float(part) for part in curve.between(way, np.array(size)))
    return Estimate(value, low, high, 0.95)


@pytest.mark.parametrize(
    ("key", "level", "target"),
    [
        ("sensor.height", None, 0.6),
        ("valve.release_speed", Level.SHOT, 0.8),
        ("valve.scatter", None, 0.7),
        ("jet.time_scale", Level.SHOT, 0.65),
        ("sensor.miss_chance", None, 0.65),
        ("valve.first_diameter", None, 0.65),
        ("timer.delay", Level.SETUP, 0.6),
        ("flash.duration_scale", Level.SETUP, 0.7),
    ],
)
def test_a_requirement_fed_back_gives_the_target(
    key: str, level: Level | None, target: float
) -> None:
    answer = asked(key, level, target)
    study = load("barn-table")
    crossings = 0
    for way in WAYS:
        limit = answer.spread.needs[way].limit
        assert limit is not None
        assert limit.low <= limit.most <= limit.high
        if limit.whole:
            continue
        crossings += 1
        strayed = answer.subject.sized(study, limit.most)
        rate = count_hits(strayed, CHAIN, FRESH).rates[way]
        told = told_at(answer.spread.curve, way, limit.most)
        assert told.value == pytest.approx(target, abs=1e-6)
        assert apart(rate, told) < 4.5
        # At the ends of the interval it is the target by a whole half width, so beyond doubt.
        tight, wide = (
            count_hits(answer.subject.sized(study, size), CHAIN, FRESH).rates[way].value
            for size in (0.7 * limit.low, 1.4 * limit.high)
        )
        assert tight > target > wide
    assert crossings > 0


@pytest.mark.parametrize(
    ("key", "target"), [("sensor.height", 0.6), ("jet.time_scale", 0.6), ("timer.delay", 0.6)]
)
def test_an_offset_fed_back_gives_the_target(key: str, target: float) -> None:
    answer = asked(key, Level.SETUP, target)
    study = load("barn-table")
    crossings = 0
    for sign, side in ((-1.0, answer.down), (1.0, answer.up)):
        assert side is not None
        limit = side.needs["as_set"].limit
        assert limit is not None
        if not limit.whole:
            crossings += 1
            off = answer.subject.off(study, sign * limit.most)
            rate = count_hits(off, CHAIN, FRESH).rates["as_set"]
            told = told_at(side.curve, "as_set", limit.most)
            assert told.value == pytest.approx(target, abs=1e-6)
            assert apart(rate, told) < 4.5
    assert crossings > 0


def test_what_cancels_may_be_off_as_far_as_it_goes() -> None:
    # closed form: both drops leave as much later, and so does the light that the first one starts.
    answer = asked("valve.latency", Level.SETUP, 0.6)
    for side in (answer.down, answer.up):
        assert side is not None
        limit = side.needs["as_set"].limit
        assert limit is not None
        assert limit.whole


@pytest.mark.parametrize(("setups", "shots"), [(None, None), (200, 20)])
def test_the_same_question_twice_gives_the_same_answer(
    setups: int | None, shots: int | None
) -> None:
    study = load("barn-table")
    subject = find_subject(study, CHAIN, "sensor.offset", None)
    one, two = (
        answer_require(study, CHAIN, subject, 0.7, setups=setups, shots=shots, workers=workers)
        for workers in (1, 3)
    )
    assert one.spread.needs == two.spread.needs
    assert one.spread.curve.rates == two.spread.curve.rates
    np.testing.assert_array_equal(one.spread.curve.sizes, two.spread.curve.sizes)


def test_the_present_spread_has_the_present_rate() -> None:
    answer = asked("sensor.height", None, 0.6)
    place = int(np.flatnonzero(answer.spread.curve.sizes == 0.001)[0])
    alone = count_hits(load("barn-table"), CHAIN, Layout(4711, 32768, 16)).rates
    for way in WAYS:
        assert apart(alone[way], answer.present[way]) < 4.5
        # A curve that is made to fall moves by noise alone.
        assert answer.spread.curve.rates[way][place].value == pytest.approx(
            answer.present[way].value, abs=0.002
        )


def test_draws_take_the_place_of_points_where_asked_for_or_needed() -> None:
    study = load("barn-table")
    subject = find_subject(study, CHAIN, "valve.scatter", None)
    points = asked("valve.scatter", None, 0.7)
    assert isinstance(points.effort, Net)
    drawn = answer_require(study, CHAIN, subject, 0.7, setups=64)
    assert drawn.effort == Layout(study.seed, 64, 32)
    with patch(
        "jitter.answers.require.working.settle", side_effect=lambda road, layout, **_: layout
    ):
        needed = answer_require(study, CHAIN, subject, 0.7)
    assert needed.effort == Layout(study.seed, 2048, 32)
    assert [one.fell_back for one in (points, drawn, needed)] == [False, False, True]
    # 1.96 standard errors lie on either side of each limit, 4.5 of both may lie between them.
    for way in WAYS:
        one, other = (answer.spread.needs[way].limit for answer in (points, needed))
        assert one is not None
        assert other is not None
        halves = [0.5 * (limit.high - limit.low) / 1.96 for limit in (one, other)]
        assert abs(one.most - other.most) < 4.5 * deviation(*halves)


def test_trimming_makes_a_ruler_needless_and_says_so() -> None:
    needs = asked("sensor.height", None, 0.6).spread.needs
    assert needs["as_trimmed"].limit is not None
    assert needs["as_trimmed"].limit.whole
    assert needs["as_set"].limit is not None
    assert not needs["as_set"].limit.whole


def toy_answer(target: float) -> RequireAnswer:
    shot = {"a": 3.0, "b": 2.0, "c": 1.0, "d": 0.5}
    study = toy_study(half_width=4.0, shot=shot)
    with patch("jitter.answers.require.answer.find_warnings", return_value=()):
        return answer_require(study, TOY, find_subject(study, TOY, "toy.c", None), target)


def test_out_of_reach_names_what_else_must_shrink() -> None:
    answer = toy_answer(0.97)
    assert not answer.met
    found = answer.remedies["as_set"]
    # closed form: without c and a sd² = 4.25, 94.8 %; without b too 0.25, over 97 %.
    assert [one.source.keys for one in found] == [("toy.a",), ("toy.b",)]
    for remedy, sizes in zip(found, ((2.0, 0.5), (0.5,)), strict=True):
        error = (remedy.together.high - remedy.together.low) / (2.0 * 1.96)
        truth = hit_share(4.0, deviation(*sizes))
        assert abs(remedy.together.value - truth) <= 4.5 * error
    gain = hit_share(4.0, deviation(2.0, 0.5)) - hit_share(4.0, deviation(3.0, 2.0, 0.5))
    error = (found[0].gain.high - found[0].gain.low) / (2.0 * 1.96)
    assert abs(found[0].gain.value - gain) <= 4.5 * error


def test_within_reach_nothing_else_is_named() -> None:
    # closed form: after trimming on 8 frames sd² = 14.25 · 9/8, 68.2 %.
    answer = toy_answer(0.65)
    assert answer.met
    assert answer.remedies == {}


def test_ends_that_cannot_be_prepared_are_drawn_in() -> None:
    study = load("barn-table")
    subject = find_subject(study, CHAIN, "sensor.height", None)
    calls = []

    def refusing(*arguments: object, **named: object) -> object:
        calls.append(1)
        if len(calls) < 3:
            raise MistakeError([])
        return open_road(*arguments, **named)  # type: ignore[arg-type]

    with patch("jitter.answers.what_ifs.open_road", side_effect=refusing):
        _, drawn_in = prepare(study, CHAIN, subject)
    # closed form: halved twice.
    assert drawn_in.most == pytest.approx(0.25 * subject.most)
    assert drawn_in.up == pytest.approx(0.25 * subject.up)


def test_only_what_the_fall_hangs_on_needs_tables_of_its_own() -> None:
    study = load("barn-table")
    read = {"valve.nozzle_height", "valve.first_volume", "liquid.temperature"}
    free = {"sensor.height", "valve.latency", "jet.time_scale", "timer.delay"}
    assert read_for_tables(study, CHAIN, read | free) == read
    assert read_for_tables(study, TOY, read | free) == set()


@pytest.mark.parametrize("name", NAMES)
def test_every_rig_can_be_asked_about_everything(name: str) -> None:
    study = load(name)
    answer = answer_require_all(study, CHAIN, 0.5, setups=2, shots=1)
    assert [need.subject.source for need in answer.needs] == list(sources(study))


def test_where_one_road_does_not_reach_each_has_its_own() -> None:
    study = load("barn-table")
    near = [
        close_by(find_subject(study, CHAIN, key, None))
        for key in ("valve.first_volume", "valve.nozzle_height", "sensor.height")
    ]
    together = open_near(study, CHAIN, near)
    assert len({id(one.road) for one in together}) == 1
    assert [one.free for one in together] == [False, False, True]
    calls = []

    def refusing(*arguments: object, **named: object) -> object:
        calls.append(1)
        if len(calls) == 1:
            raise MistakeError([])
        return open_road(*arguments, **named)  # type: ignore[arg-type]

    with patch("jitter.answers.what_ifs.open_road", side_effect=refusing):
        apart = open_near(study, CHAIN, near)
    assert len({id(one.road) for one in apart}) == 3
    assert [one.subject for one in apart] == near


@pytest.mark.parametrize(("setups", "shots"), [(None, None), (512, 16)])
def test_all_at_once_is_each_alone(setups: int | None, shots: int | None) -> None:
    study = toy_study(half_width=4.0, setup={"a": 3.0}, shot={"b": 2.0, "c": 1.0})
    with patch("jitter.answers.require.every.find_warnings", return_value=()):
        every = answer_require_all(study, TOY, 0.75, setups=setups, shots=shots, workers=2)
    with patch("jitter.answers.require.answer.find_warnings", return_value=()):
        for need in every.needs:
            alone = answer_require(study, TOY, need.subject, 0.75, setups=setups, shots=shots)
            assert alone.spread.needs == need.needs
    assert [need.subject.key for need in every.needs] == ["toy.a", "toy.b", "toy.c"]
    assert every.met
    with patch("jitter.answers.require.every.find_warnings", return_value=()):
        # closed form: after trimming, without b, sd² = 9/8, 99.98 %.
        beyond = answer_require_all(study, TOY, 0.99999, setups=setups, shots=shots)
    assert not beyond.met


@pytest.mark.parametrize(
    ("setting", "ways"),
    [
        ("timer.delay=294 ms", WAYS),
        ("timer.delay=308 ms", ("as_trimmed",)),
        ("valve.interval=400 ms", ()),
    ],
)
def test_off_its_aim_a_way_is_not_answered(setting: str, ways: tuple[str, ...]) -> None:
    study = load("barn-table", setting)
    subject = find_subject(study, CHAIN, "sensor.height", None)
    one = answer_require(study, CHAIN, subject, 0.5, setups=16, shots=4)
    every = answer_require_all(study, CHAIN, 0.5, setups=16, shots=4)
    for answer in (one, every):
        assert answer.ways == ways
        assert bool(answer.unaimed) is (ways != WAYS)
        assert answer.met is bool(ways)
        assert answer.unaimed in ("", *answer.warnings)
    # What is reached in a way that is not answered does not count.
    reached = replace(one, spread=replace(one.spread, needs=dict.fromkeys(WAYS, REACHED)))
    assert reached.met is bool(ways)


REACHED = Requirement(Limit(0.0, 1.0, 1.0, 1.0, True), Estimate(0.9, 0.9, 0.9), 0.0)


def test_another_seed_is_another_sample() -> None:
    study = load("barn-table")
    found = [
        answer_require(
            replace(study, seed=seed),
            CHAIN,
            find_subject(study, CHAIN, "valve.scatter", None),
            0.7,
            setups=100,
            shots=10,
        ).spread.needs["as_set"]
        for seed in (1, 2)
    ]
    assert found[0] != found[1]
