"""What else `jitter power` says agrees with its numbers: exposure, light, delay, means, failure."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from jitter.report.power.advice import in_hundred
from jitter.report.power.settings import BY, WHICH, in_short, name_power
from jitter.report.power.words import SPOILT, findings, held
from jitter.report.words import UNCLEAR
from jitter.stages import CHAIN
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_value
from tests.report.power_answers import (
    BARN,
    FOUND,
    LOFT,
    OFF_AIM,
    RIGS,
    Asked,
    answer,
    best_of,
    reckon,
    told,
)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ((), "0.2 stops over"),
        (("flash.power=1/128",), "0.8 stops under"),
        (("flash.count=4",), "1.2 stops over"),
        (("camera.aperture=f/14",), None),
    ],
)
def test_an_exposure_that_is_off_is_told(settings: tuple[str, ...], said: str | None) -> None:
    made = reckon(Asked(LOFT, settings))
    # closed form: light goes with (GN/(N (1 + m) d))² p k S/100, halved by the diffuser
    study = made.study
    working = study.number("camera.aperture") * (1.0 + 36.0 / 90.0)
    light = study.number("flash.power") * study.number("flash.count") * 200.0 / 100.0 / 2.0
    off = math.log2((28.0 / (working * 0.25)) ** 2 * light)
    assert made.off == pytest.approx(off, abs=1e-9)
    own = told(made, "By its guide number your own setting is ")
    assert own == (
        [f"By its guide number your own setting is {said} a right exposure."] * (said is not None)
    )


@pytest.mark.parametrize("rig", RIGS)
def test_a_study_without_a_guide_number_is_said_to_be_relative(rig: str) -> None:
    made = answer(rig)
    said = told(made, "The study gives no guide number: ")
    assert len(said) == (RIGS[rig].name not in ("loft-guide-number", "attic-small-sensor"))
    assert not (said and told(made, "By its guide number"))
    for sentence in said:
        # closed form: log2 of a hundredth
        weak = rig == "weaker than it promises"
        own = "6.6 stops under (flash.energy)" if weak else "exposed right"
        assert f"your own settings are taken to be {own}, and" in sentence


@pytest.mark.parametrize("rig", RIGS)
def test_lower_power_is_longer_only_where_it_is(rig: str) -> None:
    made = answer(rig)
    brightest, darkest = made.rungs[0], made.rungs[-1]
    longer = told(made, "In this flash lower power is longer, not shorter: ")
    assert len(longer) == (darkest.tenth > brightest.tenth)
    for sentence in longer:
        for rung in (brightest, darkest):
            length = write_value(rung.tenth, "s", digits=3)
            assert f"{length} at {name_power(rung.power)}" in sentence
    assert bool(told(made, "This flash has one power")) is (len(made.rungs) == 1)


def test_a_table_of_ones_own_may_be_longer_at_lower_power() -> None:
    table = 'flash.tenth_durations=[["1/64", "400 us"], [1, "200 us"]]'
    (sentence,) = told(reckon(Asked(BARN, (table,))), "In this flash lower power is longer")
    assert "from 0.2 ms at full to 0.4 ms at 1/64" in sentence


@pytest.mark.parametrize("rig", [rig for rig in FOUND if rig not in OFF_AIM])
def test_a_delay_is_said_where_the_light_moves_and_brings_it_back(rig: str) -> None:
    made = answer(rig)
    best = best_of(made).pick
    own, moved = (nominal_shot(study, CHAIN) for study in (made.study, best.tried.setting.study))
    # The study's own light and the recommended one come at the same moment.
    times = [single(events, "flash_time") for events in (own, moved)]
    assert times[1] == pytest.approx(times[0], abs=1e-9)
    delays = [study.number("timer.delay") for study in (made.study, best.tried.setting.study)]
    low, high = made.study.window("keeper.age")
    said = told(made, "The middle of the light comes ")
    assert len(said) == (abs(delays[0] - delays[1]) >= 0.01 * (high - low))
    for sentence in said:
        later = "later" if delays[1] < delays[0] else "earlier"
        parts = re.search(
            rf" {later} than at your power: set the delay to ([\d.]+) ms, or", sentence
        )
        assert parts is not None
        assert float(parts[1]) == pytest.approx(1e3 * delays[1], rel=1e-5)


@pytest.mark.parametrize(
    ("shift", "said"), [(0.9e-3, "0.9 ms later"), (-81e-6, "81 µs earlier"), (79e-6, "")]
)
def test_a_light_that_moves_by_a_hundredth_of_the_window_is_followed(
    shift: float, said: str
) -> None:
    made = answer("yours is a neighbour")
    best = best_of(made)
    # The window is 8 ms wide.
    rung = replace(best.pick.rung, shift=shift, delay=0.294 - shift)
    moved = replace(made, best=replace(best, pick=replace(best.pick, rung=rung)))
    starts = [f"The middle of the light comes {said} than at your power"] * bool(said)
    assert [one.split(":")[0] for one in told(moved, "The middle")] == starts
    if said:
        delay = write_value(0.294 - shift, "s", digits=6)
        assert told(moved, "The middle")[0].endswith(f": set the delay to {delay}, or trim anew.")


def test_off_its_aim_no_delay_is_told_that_would_miss_again() -> None:
    made = answer("much too early")
    best = best_of(made)
    rung = replace(best.pick.rung, shift=0.9e-3, delay=0.0)
    moved = replace(made, best=replace(best, pick=replace(best.pick, rung=rung)))
    assert told(moved, "The middle of the light comes") == [
        "The middle of the light comes 0.9 ms later than at your power: trim anew."
    ]


@pytest.mark.parametrize("rig", FOUND)
def test_every_other_means_is_told_or_said_to_fail(rig: str) -> None:
    made = answer(rig)
    text = " ".join(told(made, "Exposure kept right otherwise: ") + told(made, "By "))
    own = best_of(made).pick.tried.setting.means
    assert f"by {BY[own]} " not in text
    for means in made.means:
        right = [rung for rung in made.rungs if rung.tried[means].setting.reached]
        if means == own:
            continue
        if means in made.by_means:
            pick = made.by_means[means]
            kept = in_hundred(float(pick.tried.hits.shares(made.way).mean()))
            assert f"by {BY[means]} {in_short(made, pick)} ({kept})" in text
        else:
            ends = SPOILT if right else "no power is exposed right"
            assert f"By {BY[means]} alone {ends}." in text


def test_a_means_that_never_reaches_is_no_means_that_keeps_nothing() -> None:
    # Too bright by two stops at its lowest ISO; smeared at the one power that its ISO reaches.
    for rig, said in (
        ("one means never reaches", "By ISO alone no power is exposed right."),
        ("one means keeps nothing", f"By ISO alone {SPOILT}."),
    ):
        assert any(sentence.endswith(said) for sentence in findings(answer(rig)))


@pytest.mark.parametrize("rig", RIGS)
def test_several_flashes_are_said_with_their_gain(rig: str) -> None:
    made = answer(rig)
    said = [one for one in findings(made) if " give the same light, each " in one]
    assert len(said) == bool(made.several)
    for sentence in said:
        first = made.several[0]
        assert sentence.startswith(f"{first.count} flashes at {name_power(first.power)} give ")
        # closed form: as much light as the recommended setting
        own = float(str(made.study.entries["flash.count"].nominal or 1.0))
        assert first.count * first.power == pytest.approx(own * best_of(made).pick.rung.power)
        lengths = [
            write_value(time, "s", digits=2)
            for time in (first.tenth, best_of(made).pick.rung.tenth, first.stagger)
        ]
        assert f"each {lengths[0]} long instead of {lengths[1]}, and about {lengths[2]}" in sentence
        gain = first.gain[made.way]
        shares = first.hits.shares(made.way) - best_of(made).hits.shares(made.way)
        change = f"{100.0 * float(shares.mean()):+.1f} keepers in 100"
        ends = change if gain.clear else f"a change {UNCLEAR}"
        assert sentence.endswith(f"apart: {ends} {WHICH[made.way]}.")


@pytest.mark.parametrize("rig", FOUND)
def test_powers_that_do_not_recharge_are_said_to_stay_dark(rig: str) -> None:
    made = answer(rig)
    cadence = made.study.number("session.cadence")
    full = made.study.number("flash.full_recycle")
    # closed form: recharging takes as long as there is energy to put back
    dark = [rung for rung in made.rungs if full * rung.power > cadence]
    said = [one for one in findings(made) if one.endswith("those frames stay dark.")]
    assert len(said) == bool(dark)
    for sentence in said:
        which = name_power(dark[-1].power) + (" and above" if len(dark) > 1 else "")
        every = write_value(cadence, "s")
        assert sentence.startswith(
            f"At {which} the flash does not recharge within a frame every {every}:"
        )
        for rung in dark:
            assert not any(tried.hits.keepers(made.way).any() for tried in rung.tried.values())


def test_one_power_alone_stays_dark() -> None:
    made = reckon(Asked(BARN, ("session.cadence=2 s",)))
    (sentence,) = [one for one in findings(made) if one.endswith("stay dark.")]
    assert sentence.startswith("At full the flash does not recharge within a frame every 2 s:")


@pytest.mark.parametrize(
    ("rig", "said"),
    [
        ("far too bright", "the nearest, 1/128 with f/32, is 7.0 stops over."),
        ("far too dark", "the nearest, full with f/2.8, is 16.4 stops under."),
    ],
)
def test_where_nothing_is_exposed_right_the_nearest_is_named(rig: str, said: str) -> None:
    made = answer(rig)
    first = findings(made)[0]
    assert first.startswith("No power of this flash gives a right exposure within the limits")
    assert first.endswith(said)
    offs = [abs(tried.setting.off) for rung in made.rungs for tried in rung.tried.values()]
    # closed form: gear at its end leaves the rest of the light over or under
    stops = re.search(r" is ([\d.]+) stops ", first)
    assert stops is not None
    assert float(stops[1]) == pytest.approx(min(offs), abs=0.0501)
    assert not told(made, "Exposure kept right otherwise")


def test_a_hair_over_is_not_said_to_be_nothing() -> None:
    made = reckon(Asked(LOFT, ("keeper.exposure=0",)))
    stops = re.search(r" is ([\d.]+) stops (over|under)\.$", findings(made)[0])
    assert stops is not None
    assert 0.0 < float(stops[1]) < 0.05


@pytest.mark.parametrize(
    ("rig", "cause", "cure"),
    [
        ("no jet", "no jet, which no light mends", "jitter tune finds the delay."),
        (
            "a delay that is anywhere",
            "early, which no light mends",
            "jitter tune finds the delay, and --trimmed judges by frames after trimming.",
        ),
        ("never sharp", "smeared. Mend", "allow more blur (keeper.blur), or come less close."),
    ],
)
def test_where_no_light_helps_the_cause_is_named(rig: str, cause: str, cure: str) -> None:
    made = answer(rig)
    first = findings(made)[0]
    assert first.startswith("Hardly a frame is a keeper as set by ruler at any power: most are")
    assert f" lost as {cause}" in first
    assert first.endswith(cure)


@pytest.mark.parametrize(
    ("settings", "cause", "cure"),
    [
        (("session.cadence=0.1 s", "flash.full_recycle=600 s"), "no light", "session.cadence"),
        (("keeper.exposure=0",), "wrong exposure", "keeper.exposure"),
        (("camera.aperture=f/128",), "soft", "keeper.blur"),
    ],
)
def test_what_the_light_itself_spoils_is_not_said_to_be_past_all_light(
    settings: tuple[str, ...], cause: str, cure: str
) -> None:
    first = findings(reckon(Asked(BARN, settings)))[0]
    assert f"most are lost as {cause}. Mend that first: " in first
    assert cure in first
    assert "which no light mends" not in first


def test_the_cause_is_that_of_right_exposures_not_of_your_own() -> None:
    made = reckon(Asked(LOFT, ("flash.power=1", "keeper.blur=1 um")))
    # Six stops over as it is set; wherever the exposure is right, the frames are not sharp.
    assert "wrong exposure" not in findings(made)[0]


@pytest.mark.parametrize("rig", RIGS)
def test_how_it_was_computed_tells_draws_and_ends(rig: str) -> None:
    made = answer(rig)
    said = " ".join(held(made))
    seed = made.study.seed
    assert f"seed {seed}, 32 set-ups of 4 shots" in said
    assert f"confirmed with seed {seed + 1} and 128 set-ups" in said
    assert f"Judged by keepers {WHICH[made.way]}." in said
    assert ("Aperture from f/" in said) is ("aperture" in made.means)
    assert ("ISO " in said) is ("iso" in made.means)
    # Multiples of a distance have no ends.
    assert ("Distance from" in said) is (not made.relative and "distance" in made.means)
