"""`jitter compare`: closed forms of toys, drivers that add up, coverage, and real rigs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple
from unittest.mock import patch

import numpy as np
import pytest

from jitter.answers.compare.aim import aimed
from jitter.answers.compare.answer import CompareAnswer, answer_compare
from jitter.answers.effort import Net
from jitter.answers.hits import WAYS, count_hits, difference
from jitter.answers.variants import scaled
from jitter.arrays import Array, Codes
from jitter.draws.layout import Layout
from jitter.errors import Fault, MistakeError
from jitter.quantities import Kind, Level, Shape, Spread
from jitter.report.compare.document import compare_document
from jitter.stage import Chain, Stage
from jitter.stages import CHAIN, trimming
from jitter.stages.verdict import KEEPER
from jitter.study.study import Entry, Study, default_entry
from jitter.trial import Road, open_road
from tests.conftest import load
from tests.toy import EARLY, JUDGE, LATE, TOY, deviation, hit_share, toy_quantity, toy_study

WIDTH = 2.0
SPREADS = {"a": 1.0, "b": 1.5}


class Place(NamedTuple):
    """Where a shot fell; its age has no meaning."""

    age: Array
    reason: Codes


def between(
    *,
    toy_x: Array,
    toy_low: float,
    toy_high: float,
    keeper_age: tuple[float, float],
    delay_correction: Array,
) -> Place:
    """Return whether x lies between two ends: both take their own frames, and no others."""
    code = np.where(toy_x < toy_low, EARLY, np.where(toy_x > toy_high, LATE, KEEPER))
    age = toy_x + 0.0 * (delay_correction + keeper_age[0])
    return Place(age=age, reason=code.astype(np.uint8))


# Two ends cut off separate frames, so that what they cost adds up shot by shot.
ADDITIVE = Chain(
    stages=(
        Stage(
            name="between",
            declares=(
                toy_quantity("x"),
                toy_quantity("low", kind=Kind.SETTING),
                toy_quantity("high", kind=Kind.SETTING),
                *JUDGE.declares,
            ),
            work=between,
        ),
    ),
    trimming=trimming.STAGE,
)


def additive(low: float, high: float) -> Study:
    entries = {key: default_entry(one, {}) for key, one in ADDITIVE.declarations.items()}
    flat = Spread(Shape.RECTANGULAR, 1.0)
    entries["toy.x"] = Entry(ADDITIVE.declarations["toy.x"], 0.0, shot=flat)
    for name, end in (("low", low), ("high", high)):
        entries[f"toy.{name}"] = Entry(ADDITIVE.declarations[f"toy.{name}"], end)
    return Study("Ends", 5, entries)


def compare(*studies: Study, chain: Chain = TOY, **parts: Any) -> CompareAnswer:
    named = [(f"rig {place}", study) for place, study in enumerate(studies)]
    with patch("jitter.answers.compare.answer.find_warnings", return_value=()):
        return answer_compare(named, chain, **parts)


def toy(*, seed: int = 5, **shot: float) -> Study:
    return toy_study(half_width=WIDTH, shot=SPREADS | shot, seed=seed)


def test_a_study_with_itself_differs_by_nothing() -> None:
    answer = compare(toy(), toy(seed=6), setups=200, shots=8)
    (pair,) = answer.pairs
    assert pair.differences == ()
    for way in WAYS:
        assert pair.change[way].value == 0.0
        assert not pair.change[way].clear
        assert not any(one.clear for one in pair.reasons[way].values())
    assert answer.drive is not None
    assert answer.drive.drivers == ()
    # All are fired with the seed of the first.
    assert [one.study.seed for one in answer.contenders] == [5, 5]


def test_differences_are_the_closed_form() -> None:
    answer = compare(toy(), toy(b=0.5), setups=4000, shots=16)
    (pair,) = answer.pairs
    # closed form: 2 Φ(W/s) - 1, s² = 1 + 1.5² and 1 + 0.5².
    truth = hit_share(WIDTH, deviation(1.0, 0.5)) - hit_share(WIDTH, deviation(1.0, 1.5))
    change = pair.change["as_set"]
    assert change.clear
    assert abs(change.value - truth) <= 4.5 / 1.96 * 0.5 * (change.high - change.low)
    # closed form: early and late are alike, and lose half of it each.
    for reason in ("early", "late"):
        one = pair.reasons["as_set"][reason]
        assert abs(one.value + 0.5 * truth) <= 4.5 / 1.96 * 0.5 * (one.high - one.low)
    # Every frame has one reason or is a keeper: the changes sum to nothing.
    gone = sum(one.value for one in pair.reasons["as_set"].values())
    assert gone == pytest.approx(-change.value, abs=1e-12)


def test_same_draws_make_the_difference_surer() -> None:
    answer = compare(toy(), toy(b=1.4), setups=4000, shots=16)
    paired = 0.5 * (answer.pairs[0].change["as_set"].high - answer.pairs[0].change["as_set"].low)
    apart = [one.hits.rates["as_set"] for one in answer.contenders]
    unpaired = math.hypot(*(0.5 * (one.high - one.low) for one in apart))
    assert paired < 0.5 * unpaired


def test_drivers_add_up_where_nothing_acts_together() -> None:
    answer = compare(additive(-0.8, 0.8), additive(-0.4, 0.9), chain=ADDITIVE, setups=500)
    drive, (pair,) = answer.drive, answer.pairs
    assert drive is not None
    low, high = drive.drivers
    assert [one.difference.changes[0].key for one in (low, high)] == ["toy.low", "toy.high"]
    for way in WAYS:
        whole = low.alone[way].value + high.alone[way].value
        assert whole == pytest.approx(pair.change[way].value, abs=1e-12)
        assert drive.together[way].value == pytest.approx(0.0, abs=1e-12)
        for driver in drive.drivers:
            assert driver.alone[way].value == pytest.approx(driver.last[way].value, abs=1e-12)
            assert driver.middle[way].value == pytest.approx(driver.last[way].value, abs=1e-12)
    # closed form: x is uniform from -1 to 1, so that moving an end by d costs d/2.
    for driver, truth in ((low, -0.2), (high, 0.05)):
        found = driver.alone["as_set"]
        assert abs(found.value - truth) <= 4.5 / 1.96 * 0.5 * (found.high - found.low)
    assert drive.ranked("as_set") == (low, high)


def test_drivers_of_a_toy_are_the_closed_forms() -> None:
    answer = compare(toy(), toy(a=0.2, b=0.5), setups=4000, shots=16)
    assert answer.drive is not None

    def rate(a: float, b: float) -> float:
        return hit_share(WIDTH, deviation(a, b))

    # closed form: each spread shrunk alone, and after the other.
    truths = (
        (rate(0.2, 1.5) - rate(1.0, 1.5), rate(0.2, 0.5) - rate(1.0, 0.5)),
        (rate(1.0, 0.5) - rate(1.0, 1.5), rate(0.2, 0.5) - rate(0.2, 1.5)),
    )
    for driver, (alone, last) in zip(answer.drive.drivers, truths, strict=True):
        for found, truth in ((driver.alone, alone), (driver.last, last)):
            one = found["as_set"]
            assert abs(one.value - truth) <= 4.5 / 1.96 * 0.5 * (one.high - one.low)
    # The wider of the two spreads drove it.
    assert answer.drive.ranked("as_set")[0].difference.changes[0].key == "toy.b"


def test_an_idle_difference_cannot_be_told_from_nothing() -> None:
    study = toy_study(half_width=WIDTH, shot={"a": 1.0, "idle": 1.0})
    other = toy_study(half_width=WIDTH, shot={"a": 1.0, "idle": 2.0})
    (pair,) = compare(study, other, setups=300, shots=8).pairs
    assert len(pair.differences) == 1
    assert pair.change["as_set"].value == 0.0
    assert not pair.change["as_set"].clear


def test_paired_intervals_cover_the_difference() -> None:
    repeats, covered = 600, 0
    # closed form: set-up and shot errors add; spread of the second study's shots halved.
    truth = hit_share(WIDTH, deviation(1.0, 0.75)) - hit_share(WIDTH, deviation(1.0, 1.5))
    for seed in range(repeats):
        layout = Layout(seed, 100, 8)
        one = toy_study(half_width=WIDTH, setup={"a": 1.0}, shot={"b": 1.5})
        other = scaled(one, [("toy.b", Level.SHOT)], 0.5)
        hits = [count_hits(study, TOY, layout, workers=1) for study in (other, one)]
        found = difference(hits[0], hits[1], "as_set")
        covered += found.low <= truth <= found.high
    print(f"{covered} of {repeats} intervals cover")
    # Binomial around 0.95, 4.5 standard errors.
    assert abs(covered / repeats - 0.95) <= 4.5 * math.sqrt(0.95 * 0.05 / repeats)


def test_three_studies_are_ranked_and_each_held_against_each() -> None:
    answer = compare(toy(), toy(b=0.5), toy(b=1.0), setups=1000, shots=16)
    assert answer.drive is None
    assert [(pair.one, pair.other) for pair in answer.pairs] == [(0, 1), (0, 2), (1, 2)]
    assert [pair.other for pair in answer.against_first] == [1, 2]
    assert answer.ranked("as_set") == (1, 2, 0)
    (third,) = (pair for pair in answer.pairs if (pair.one, pair.other) == (1, 2))
    assert answer.lead("as_set").value == pytest.approx(-third.change["as_set"].value)
    changes = [pair.change["as_set"].value for pair in answer.pairs]
    assert changes[0] + changes[2] == pytest.approx(changes[1], abs=1e-12)


def rigs(*settings: Sequence[str]) -> list[Study]:
    return [load("barn-table"), *(load("barn-table", *one) for one in settings)]


def real(*studies: Study, **parts: Any) -> CompareAnswer:
    named = [(f"rig {place}", study) for place, study in enumerate(studies)]
    return answer_compare(named, CHAIN, **({"setups": 400, "shots": 16} | parts))


def test_second_drop_wins_once_its_delay_is_aimed() -> None:
    studies = rigs(("timer.start=second drop",))
    unaimed, aim = real(*studies), real(*studies, aim=True)
    assert unaimed.contenders[1].aims == {"as_set": False, "as_trimmed": True}
    assert unaimed.pairs[0].change["as_set"].high < 0.0
    assert aim.contenders[1].aims == {"as_set": True, "as_trimmed": True}
    # The model's own claim (shared notes, 11): the second drop takes its latency out.
    assert aim.pairs[0].change["as_set"].low > 0.0
    assert aim.pairs[0].change["as_trimmed"].low > 0.0


def test_what_needs_the_other_difference_is_said_to() -> None:
    (first, lower) = rigs(("sensor.height=300 mm",))
    answer = real(first, aimed(lower, CHAIN))
    assert answer.drive is not None
    assert [one.fits for one in answer.drive.drivers] == [
        {"as_set": False, "as_trimmed": True},
        {"as_set": False, "as_trimmed": True},
    ]
    assert answer.contenders[1].aims["as_set"]


def test_a_mixture_that_no_stage_takes_is_left_out() -> None:
    studies = rigs(("sensor.miss_chance=2 %", "flash.dark_chance=1 %"))
    answer = real(*studies)
    assert answer.drive is not None
    ends = {study.digest for study in studies}

    def refuse(study: Study, chain: Chain, **parts: Any) -> Road:
        if study.digest not in ends:
            raise MistakeError([])
        return open_road(study, chain, **parts)

    with patch("jitter.answers.compare.drivers.open_road", side_effect=refuse):
        again = real(*studies)
    assert again.drive is not None
    assert (len(answer.drive.drivers), len(answer.drive.unfired)) == (2, 0)
    assert (len(again.drive.drivers), len(again.drive.unfired)) == (0, 2)


def test_many_differences_are_driven_on_the_first_setups() -> None:
    answer = real(load("barn-table"), load("hill-hut-dimmed-strobe"), setups=4096, shots=32)
    assert answer.drive is not None
    assert isinstance(answer.drive.effort, Layout)
    assert 2 <= answer.drive.effort.setups < 4096
    (start,) = (
        driver
        for driver in answer.drive.drivers
        if any(change.key == "timer.start" for change in driver.difference.changes)
    )
    assert start.clear("as_trimmed")


def test_points_tell_of_each_difference_what_draws_tell() -> None:
    studies = rigs(
        ("timer.start=second drop", "timer.delay=196 ms", "valve.scatter.shot=sd 0.2 mm")
    )
    told = real(*studies, setups=None, shots=None)
    drawn = real(*studies, setups=2048, shots=32)
    assert told.drive is not None
    assert drawn.drive is not None
    assert isinstance(told.drive.effort, Net)
    assert isinstance(drawn.drive.effort, Layout)
    for one, other in zip(told.drive.drivers, drawn.drive.drivers, strict=True):
        assert one.difference == other.difference
        for kind in ("alone", "last", "middle"):
            for way in WAYS:
                ours, theirs = getattr(one, kind)[way], getattr(other, kind)[way]
                # Half widths are two standard errors of each.
                half = math.hypot(ours.high - ours.value, theirs.high - theirs.value)
                assert ours.value == pytest.approx(theirs.value, abs=2.25 * half)


def test_asked_twice_the_same_answer() -> None:
    studies = rigs(("valve.latency.shot=sd 0.1 ms", "sensor.height.setup=within 0.3 mm"))
    documents = [compare_document(real(*studies, workers=workers)) for workers in (1, 2, 2)]
    assert documents[0] == documents[1] == documents[2]


def test_faults_of_all_studies_are_told_at_once() -> None:
    def refuse(study: Study, *_: Any, **__: Any) -> None:
        raise MistakeError([Fault(study.source, None, "the fall", "too far", "nearer")])

    named = [replace(study, source=f"{place}.toml") for place, study in enumerate(rigs(()))]
    with (
        patch("jitter.answers.compare.answer.count_hits", side_effect=refuse),
        pytest.raises(MistakeError) as told,
    ):
        real(*named)
    assert [fault.file for fault in told.value.faults] == ["0.toml", "1.toml"]
