"""The road: what-ifs on kept draws equal fresh firings, and stages that need no work get none."""

from __future__ import annotations

import weakref
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import cache, wraps
from typing import Any, NamedTuple

import numpy as np
import pytest

from jitter.answers.ranking import Source, sources
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import Scales, values
from jitter.errors import MistakeError
from jitter.quantities import NONE, Level, sd
from jitter.stage import Chain, Events, Stage, downstream, walk
from jitter.stages import CHAIN
from jitter.stages.verdict import REASONS
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import Firing, Road, fire, judge, nominal_shot, open_road, refire
from tests.toy import TOY, toy_study

# An open reservoir, drift of the level and both start signals wake stages that rest by default.
STUDY = """
version = 1
[reservoir]
constant_head = "no"
[pool]
level_drift = "-0.01 mm"
[timer]
start = "{start}"
"""
BLOCK = Block(Layout(seed=3, setups=40, shots=24), first_setup=5, setups=20, first_shot=0, shots=24)


@cache
def road(start: str = "first drop") -> Road:
    text = STUDY.format(start=start)
    return open_road(read_study(text, source="test", chain=CHAIN), CHAIN)


@cache
def fired() -> Firing:
    return fire(road(), BLOCK)


def leaves(made: Any) -> list[Any]:
    """Return the arrays of an event, which may be a tuple of arrays."""
    if isinstance(made, tuple):
        return [leaf for part in made for leaf in leaves(part)]
    return [made]


def identical(one: Events, other: Events, names: set[str]) -> None:
    for name in sorted(names):
        for left, right in zip(leaves(one[name]), leaves(other[name]), strict=True):
            np.testing.assert_array_equal(left, right, err_msg=name)


def given(stages: tuple[Stage, ...]) -> set[str]:
    return {name for stage in stages for name in stage.gives}


def alike(one: Firing, other: Firing) -> None:
    identical(one.trimming, other.trimming, given(road().aim))
    identical(one.as_set, other.as_set, given(road().shot))
    identical(one.as_trimmed, other.as_trimmed, given(road().shot) | {"delay_correction"})


def label(source: Source) -> str:
    return f"{source.keys[0]} {source.level.value}"


@pytest.mark.parametrize("factor", [0.0, 0.5, 1.7])
@pytest.mark.parametrize("source", sources(road().study), ids=label)
def test_refiring_equals_firing_afresh(source: Source, factor: float) -> None:
    scales = source.scaled(factor)
    alike(refire(road(), fired(), scales), fire(road(), BLOCK, scales))


def test_refiring_several_at_once_equals_firing_afresh() -> None:
    scales: Scales = {key: 0.5 for one in sources(road().study) for key in one.scaled(0.5)}
    alike(refire(road(), fired(), scales), fire(road(), BLOCK, scales))


@pytest.mark.parametrize("factor", [0.0, 0.5])
def test_refiring_moves_something(factor: float) -> None:
    again = refire(road(), fired(), {("valve.release_speed", Level.SHOT): factor})
    assert not np.array_equal(again.as_set["age"], fired().as_set["age"], equal_nan=True)
    assert not np.array_equal(again.as_trimmed["age"], fired().as_trimmed["age"], equal_nan=True)


@pytest.mark.parametrize("start", ["first drop", "second drop", "valve"])
@pytest.mark.parametrize("wanted", [("reason",), ("age", "blur"), ("look", "reason", "age")])
def test_judging_tells_what_firing_tells_and_no_more(start: str, wanted: tuple[str, ...]) -> None:
    way = open_road(road(start).study, CHAIN, wanted=wanted)
    told, whole = judge(way, BLOCK), fire(way, BLOCK)
    for name in ("as_set", "as_trimmed"):
        assert getattr(told, name).keys() == set(wanted)
        identical(getattr(told, name), getattr(whole, name), set(wanted))


def test_a_walk_forgets_what_has_served() -> None:
    drawn = values(road().study, draw(road().study, BLOCK))
    given_to_it = {**road().fixed, **drawn, "nobody": np.zeros((1, 1))}
    before = dict(given_to_it)
    whole = walk(road().shot, given_to_it)
    kept = walk(road().shot, given_to_it, keep=("age", "first_landing", "sensor_height"))
    assert kept.keys() == {"age", "first_landing", "sensor_height"}
    identical(kept, whole, set(kept))
    # What it was given is left alone.
    assert given_to_it.keys() == before.keys()
    assert all(given_to_it[name] is one for name, one in before.items())


class One(NamedTuple):
    """An event."""

    one: Array


class Two(NamedTuple):
    """The next."""

    two: Array


class Three(NamedTuple):
    """The last."""

    three: Array


def test_the_memory_of_what_has_served_is_free_at_once() -> None:
    made: list[weakref.ref[Array]] = []
    alive: list[int] = []

    def first(*, given: Array) -> One:
        made.append(weakref.ref(given))
        one = given + 1.0
        made.append(weakref.ref(one))
        return One(one)

    def second(*, one: Array) -> Two:
        return Two(one + 1.0)

    def third(*, two: Array) -> Three:
        alive.append(sum(each() is not None for each in made))
        return Three(two + 1.0)

    stages = [Stage(name=work.__name__, work=work) for work in (first, second, third)]
    assert walk(stages, {"given": np.zeros((2, 2))}, keep=("three",))["three"].tolist() == [
        [3.0, 3.0],
        [3.0, 3.0],
    ]
    walk(stages, {"given": np.zeros((2, 2))})
    # Neither what was given nor what followed from it, where it is not to be kept; else both.
    assert alive == [0, 2]


def test_what_follows_from_a_change_is_worked_again() -> None:
    again = downstream(road().shot, {"delay_correction"})
    assert "timer" in [stage.name for stage in again]
    assert "landing" not in [stage.name for stage in again]
    assert downstream(road().shot, {"nothing"}) == ()
    assert downstream(road().shot, road().fixed) == road().shot


def test_removing_nothing_changes_nothing() -> None:
    alike(refire(road(), fired(), {}), fired())
    unscaled = {key: 1.0 for one in sources(road().study) for key in one.scaled(1.0)}
    alike(refire(road(), fired(), unscaled), fired())


def test_refiring_leaves_the_firing_as_it_was() -> None:
    before = fire(road(), BLOCK)
    for source in sources(road().study):
        refire(road(), before, source.scaled(0.0))
    alike(before, fired())


@pytest.mark.parametrize("start", ["first drop", "second drop", "valve"])
def test_scaling_every_spread_away_gives_the_nominal_shot(start: str) -> None:
    way = road(start)
    everything = {key: 0.0 for one in sources(way.study) for key in one.scaled(0.0)}
    ages = fire(way, BLOCK, everything).as_set["age"]
    nominal = nominal_shot(way.study, CHAIN)["age"]
    # The first frame stands for the session's start, where nothing has drifted yet.
    first = np.broadcast_to(ages, (BLOCK.setups, BLOCK.shots))[:, 0]
    assert np.all(first == nominal.item())


def test_trimming_brings_the_mean_age_to_the_middle() -> None:
    study = toy_study(half_width=2.0, setup={"a": 3.0}, shot={"b": 1.0}, frames=16)
    way = open_road(study, TOY)
    firing = fire(way, Block(Layout(1, 2000, 4), 0, 2000, 0, 4))
    mean = firing.trimming["age"].mean(axis=1, keepdims=True)
    # closed form: the correction is minus the mean of the trimming frames' ages
    moved = firing.as_trimmed["age"] - firing.as_set["age"]
    np.testing.assert_allclose(moved, np.broadcast_to(-mean, moved.shape), atol=1e-15)


def counted(chain: Chain) -> tuple[Chain, Counter[str]]:
    """Return the chain with its stages' calls counted."""
    calls: Counter[str] = Counter()

    def counting(stage: Stage) -> Stage:
        inner: Callable[..., Any] = stage.work

        @wraps(inner)
        def work(**events: Any) -> Any:
            calls[stage.name] += 1
            return inner(**events)

        return replace(stage, work=work)

    stages = tuple(counting(stage) for stage in chain.stages)
    return Chain(stages, counting(chain.trimming)), calls


def calls_of(study: Study, scales: Scales | None) -> Counter[str]:
    chain, calls = counted(CHAIN)
    way = open_road(study, chain)
    firing = fire(way, BLOCK)
    if scales is not None:
        calls.clear()
        refire(way, firing, scales)
    return calls


def test_a_change_that_reaches_the_verdict_alone_works_no_physics_again() -> None:
    study = road().study
    afresh = calls_of(study, None)
    assert set(afresh) >= {"fall", "timer", "verdict", "trimming"}
    energy = calls_of(study, {("flash.energy", Level.SHOT): 0.0})
    assert "fall" not in energy
    assert energy["verdict"] >= 1
    assert sum(energy.values()) < sum(afresh.values())


def test_only_stages_that_the_wanted_events_need_are_walked() -> None:
    way = open_road(toy_study(half_width=1.0), TOY, wanted=("age",))
    assert [stage.name for stage in way.shot] == ["add up"]
    whole = open_road(toy_study(half_width=1.0), TOY, wanted=("reason",))
    assert [stage.name for stage in whole.shot] == ["add up", "judge"]


def test_walk_works_only_what_the_change_reaches() -> None:
    chain, calls = counted(TOY)
    way = open_road(toy_study(half_width=1.0), chain)
    events = walk(chain.stages, dict(way.fixed))
    assert calls == {"add up": 1, "judge": 1}
    walk(chain.stages, events, {"keeper_age"})
    assert calls == {"add up": 1, "judge": 2}
    walk(chain.stages, events, {"toy_a"})
    assert calls == {"add up": 2, "judge": 3}
    walk(chain.stages, events, {"nothing"})
    assert calls == {"add up": 2, "judge": 3}


def test_a_study_that_reaches_too_far_is_a_mistake_of_the_user() -> None:
    study = read_study(
        "version = 1",
        source="rig.toml",
        chain=CHAIN,
        settings=(
            "valve.first_volume.setup=lognormal sd 2",
            "valve.nozzle_height=5 m",
            "valve.release_speed={nominal='1 m/s', setup='sd 0.5 m/s'}",
            "liquid.temperature={nominal='30 °C', setup='within 25 °C'}",
            "air.altitude={nominal='3000 m', setup='within 3000 m'}",
        ),
    )
    with pytest.raises(MistakeError) as raised:
        open_road(study, CHAIN)
    (fault,) = raised.value.faults
    assert (fault.file, fault.key) == ("rig.toml", "the fall from rest")
    assert "range too widely" in fault.wrong


@pytest.mark.parametrize(
    ("key", "level"),
    [
        ("air.altitude", Level.SETUP),
        ("sensor.height", Level.SETUP),
        ("sensor.response", Level.SHOT),
        ("sheet.spread_scale", Level.SETUP),
        ("camera.focus", Level.SHOT),
    ],
)
def test_whatever_strays_alone_can_be_fired(key: str, level: Level) -> None:
    # Events then have different shapes, (1, 1), (s, 1) and (s, n); mishaps strike shots anyway.
    often = ("sensor.miss_chance=0.2",)
    study = read_study("version = 1", source="test", chain=CHAIN, settings=often)
    still = {name: replace(entry, setup=NONE, shot=NONE) for name, entry in study.entries.items()}
    entry = study.entries[key]
    spread = sd(max(1e-3 * abs(entry.number), 1e-6))
    still[key] = replace(still[key], **{level.value: spread})  # type: ignore[arg-type]
    wanted = {name for stage in CHAIN.stages for name in stage.gives}
    firing = fire(open_road(replace(study, entries=still), CHAIN, wanted=wanted), BLOCK)
    for events in (firing.as_set, firing.as_trimmed):
        assert events["reason"].shape == (BLOCK.setups, BLOCK.shots)
        # 480 shots: within five standard deviations of the chance of a miss.
        share = np.mean(events["reason"] == REASONS.index("no start"))
        assert share == pytest.approx(0.2, abs=5.0 * np.sqrt(0.2 * 0.8 / events["reason"].size))
