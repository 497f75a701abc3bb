"""What `jitter power` advises, and what it says of yours, of neighbours and of free light."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.power.answer import PowerAnswer
from jitter.answers.power.choosing import SLIGHT
from jitter.report.power.advice import advice, in_hundred, is_paid, keeps_less, worth_words
from jitter.report.power.settings import WHICH, in_full, in_short
from jitter.report.power.words import AIM_FIRST, findings, first_note, first_word
from jitter.report.words import UNCLEAR
from tests.report.power_answers import (
    FOUND,
    LOST,
    OFF_AIM,
    RIGS,
    answer,
    best_of,
    told,
)

STOPS = r"(a stop|half a stop|(\d)/3 stop|([\d.]+) stops)"


def read_stops(words: str) -> float:
    """Return the number in what `stops_words` says."""
    if words in ("a stop", "half a stop"):
        return 1.0 if words == "a stop" else 0.5
    number = words.split()[0]
    return float(number.removesuffix("/3")) / (3.0 if number.endswith("/3") else 1.0)


def with_gain(made: PowerAnswer, gain: Estimate) -> PowerAnswer:
    """Return an answer whose recommended setting gains so much, and whose neighbours do."""
    both = dict.fromkeys(WAYS, gain)
    return replace(
        made, gain=both, beside=tuple(replace(other, gain=both) for other in made.beside)
    )


def test_nothing_is_advised_where_nothing_can_be() -> None:
    assert tuple(rig for rig in RIGS if answer(rig).best is None) == LOST


@pytest.mark.parametrize("rig", FOUND)
def test_the_advice_comes_first_with_its_keepers(rig: str) -> None:
    made = answer(rig)
    best = best_of(made)
    words, yours = in_full(made, best.pick.tried.setting.study), in_full(made, made.study)
    start = f"{'Leave the flash at' if words == yours else 'Set the flash to'} {words}: "
    # Those of the tables: the search's.
    searched = best.pick.tried.hits
    if keeps_less(made):
        start, searched = f"{yours[0].upper()}{yours[1:]} (yours) keeps ", made.searched
    frames = [f"{100.0 * float(searched.shares(way).mean()):.1f}" for way in WAYS]
    first = advice(made)[0]
    assert first.startswith(start)
    kept = f"keeps {frames[0]} in 100 frames as set by ruler, {frames[1]} after trimming."
    if rig in OFF_AIM:
        kept = f"keeps {frames[1]} in 100 frames after trimming."
    assert kept in first
    assert findings(made)[0] == (made.unaimed if rig in OFF_AIM else first)


@pytest.mark.parametrize("rig", RIGS)
def test_off_its_aim_powers_are_judged_after_trimming_and_it_is_said(rig: str) -> None:
    made = answer(rig)
    assert bool(made.unaimed) is (rig in OFF_AIM)
    if rig in OFF_AIM:
        assert made.way == "as_trimmed"
        assert findings(made)[:2] == (made.unaimed, AIM_FIRST)
        assert "set timer.delay to " in made.unaimed
        assert "as set by ruler" not in " ".join(advice(made))
        # closed form: trimming brings a delay anywhere to the same middle of the window.
        aimed = answer("yours is a neighbour").rungs[-2].tried["aperture"].hits
        found = made.rungs[-2].tried["aperture"].hits
        assert found.shares("as_set").mean() < 0.01
        shares = [float(hits.shares("as_trimmed").mean()) for hits in (found, aimed)]
        assert shares[0] == pytest.approx(shares[1], abs=0.1)
    else:
        assert AIM_FIRST not in findings(made)


def with_less(made: PowerAnswer) -> PowerAnswer:
    """Return an answer whose recommended setting clearly keeps fewer frames than one's own."""
    return replace(made, gain=dict.fromkeys(WAYS, Estimate(-0.008, -0.010, -0.006)))


def test_what_keeps_fewer_is_put_first_for_its_light_and_it_is_said() -> None:
    made = with_less(answer("yours is a neighbour"))
    best = best_of(made).pick.tried.hits
    own, other = (
        [f"{100.0 * float(hits.shares(way).mean()):.1f}" for way in WAYS]
        for hits in (made.searched, best)
    )
    assert findings(made)[0] == (
        f"1/64 at f/13, ISO 200 (yours) keeps {own[0]} in 100 frames as set by ruler, {own[1]}"
        f" after trimming. 1/32 at f/18, ISO 200 keeps {other[0]} and {other[1]}, 0.8 fewer as set"
        " by ruler (95 %: 0.6 to 1.0), and gives a stop for depth: a stop is counted as worth 1"
        " keeper in 100 (--worth), so it is put first. If you do not need the light, leave the"
        " flash."
    )
    # Nor is it said again, and the other neighbour is held against what is put first.
    assert not any("1/64 at f/13" in sentence for sentence in advice(made)[1:])
    assert " against 1/32 at f/18 but gives a stop." in told(made, "1/16 at f/25 ")[0]


def test_what_keeps_fewer_and_gives_no_light_is_not_to_be_set() -> None:
    made = with_less(answer("your power, another aperture"))
    best = best_of(made)
    dark = replace(best, pick=replace(best.pick, rung=replace(best.pick.rung, power=1.0 / 256.0)))
    first = advice(replace(made, best=dark))[0]
    assert "(yours) keeps " in first
    assert ". Leave it: " in first
    assert "put first" not in first


@pytest.mark.parametrize("rig", FOUND)
def test_best_is_what_keeps_the_most_and_first_what_is_so_for_its_light(rig: str) -> None:
    made = answer(rig)
    most = max(
        float(tried.hits.shares(made.way).mean())
        for rung in made.rungs
        for tried in rung.tried.values()
        if tried.setting.reached
    )
    mine = float(best_of(made).pick.tried.hits.shares(made.way).mean())
    # Another means is taken only where it keeps half a frame in a hundred more.
    assert is_paid(made) or mine >= most - SLIGHT
    assert first_word(made) == ("first" if is_paid(made) else "best")
    assert bool(first_note(made)) is is_paid(made)
    if made.worth == 0.0:
        assert not is_paid(made)


def test_a_worth_is_said_in_keepers() -> None:
    made = answer("yours is a neighbour")
    # closed form: a hundredth is one in a hundred
    assert worth_words(made) == "1 keeper in 100"
    assert worth_words(replace(made, worth=0.005)) == "0.5 keepers in 100"


@pytest.mark.parametrize("rig", FOUND)
def test_yours_is_told_once(rig: str) -> None:
    made = answer(rig)
    yours = in_full(made, made.study)
    left = advice(made)[0].startswith("Leave")
    elsewhere = told(made, f"Yours, {yours}, keeps ")
    marked = [sentence for sentence in findings(made) if " (yours) " in sentence]
    assert left + len(elsewhere) + len(marked) == 1
    # What is marked as yours is all yours, not your power alone.
    same = [
        in_short(made, other.pick)
        for other in made.beside
        if in_full(made, other.pick.tried.setting.study) == yours
    ]
    assert [sentence.split(" (yours) ")[0] for sentence in marked] == same


@pytest.mark.parametrize(
    ("rig", "form"),
    [
        ("yours is the best", "Leave the flash at 1/64 at f/13, ISO 200: it keeps"),
        ("one power", "Leave the flash at full power at f/16, ISO 200: it keeps"),
        ("yours is a neighbour", "1/64 at f/13 (yours) "),
        ("yours is elsewhere", "Yours, 1/32 at f/8, ISO 125, the flash 400 mm away, keeps"),
        ("your power, another aperture", "1/128 at f/10 (your power) "),
        ("weaker than it promises", "1/64, 0.1 times as far (your power) "),
    ],
)
def test_each_place_of_yours_is_said(rig: str, form: str) -> None:
    assert len(told(answer(rig), form)) == 1


@pytest.mark.parametrize("rig", FOUND)
def test_what_is_said_of_yours_is_the_gain_over_it(rig: str) -> None:
    made = answer(rig)
    best = best_of(made)
    for sentence in told(made, "Yours, "):
        # closed form: the mean of the differences, on the same draws
        gain = 100.0 * float(np.mean(best.hits.shares(made.way) - made.own.shares(made.way)))
        kept = in_hundred(float(made.searched.shares(made.way).mean()))
        assert f" keeps {kept} {WHICH[made.way]}: " in sentence
        clear = made.gain[made.way].clear
        change = f": {gain:+.1f} in 100" if clear else f": a change {UNCLEAR}"
        assert change in sentence
        stops = math.log2(best.pick.rung.power / made.study.number("flash.power"))
        light = re.search(rf"and it (gives|costs) {STOPS}\.$", sentence)
        assert (light is None) is (stops == 0.0)
        if light is not None:
            assert light[1] == ("gives" if stops > 0.0 else "costs")
            assert read_stops(light[2]) == pytest.approx(abs(stops), rel=0.05)


@pytest.mark.parametrize("rig", FOUND)
def test_a_neighbour_gains_or_loses_what_it_does_and_pays_in_light(rig: str) -> None:
    made = answer(rig)
    best = best_of(made)
    for other in made.beside:
        start = in_short(made, other.pick)
        (sentence,) = told(made, start[0].upper() + start[1:] + " ")
        gain = float(np.mean(other.hits.shares(made.way) - best.hits.shares(made.way)))
        parts = re.search(
            r"(gains|loses) ([\d.]+) keepers in 100 \(95 %: ([\d.]+) to ([\d.]+)\)", sentence
        )
        estimate = other.gain[made.way]
        assert estimate.value == pytest.approx(gain, abs=1e-12)
        assert (parts is not None) is (estimate.low * estimate.high > 0.0)
        if parts is None:
            assert f"a difference {UNCLEAR}" in sentence
        else:
            assert parts[1] == ("gains" if gain > 0.0 else "loses")
            assert float(parts[2]) == pytest.approx(100.0 * abs(gain), abs=0.0501)
            assert float(parts[3]) <= float(parts[2]) <= float(parts[4])
        stops = math.log2(other.pick.rung.power / best.pick.rung.power)
        light = re.search(rf" (but|and) (gives|costs) {STOPS}\.$", sentence)
        assert light is not None
        assert light[2] == ("gives" if stops > 0.0 else "costs")
        assert read_stops(light[3]) == pytest.approx(abs(stops), rel=0.05)
        both_good = parts is not None and (gain > 0.0) is (stops > 0.0)
        assert light[1] == ("and" if both_good else "but")


@pytest.mark.parametrize(
    ("gain", "said"),
    [
        (Estimate(0.2, 0.1, 0.3), "gains 20.0 keepers in 100 (95 %: 10.0 to 30.0)"),
        (Estimate(0.2, -0.1, 0.5), f"makes a difference {UNCLEAR}"),
    ],
)
def test_a_gain_has_its_own_words(gain: Estimate, said: str) -> None:
    made = with_gain(answer("yours is a neighbour"), gain)
    words = {"gains": ("and", "but"), "loses": ("but", "and")}.get(said.split()[0], ("but", "but"))
    assert told(made, f"1/16 at f/25 {said} {words[0]} gives a stop.")
    assert told(made, f"1/64 at f/13 (yours) {said} {words[1]} costs a stop.")


def test_a_loss_has_its_own_words() -> None:
    made = with_gain(answer("yours is a neighbour"), Estimate(-0.2, -0.3, -0.1))
    made = replace(made, gain=dict.fromkeys(WAYS, Estimate(0.2, 0.1, 0.3)))
    loses = "loses 20.0 keepers in 100 (95 %: 10.0 to 30.0)"
    assert told(made, f"1/16 at f/25 {loses} but gives a stop.")
    assert told(made, f"1/64 at f/13 (yours) {loses} and costs a stop.")


def test_a_change_over_yours_is_said_or_said_to_be_unclear() -> None:
    made = answer("yours is elsewhere")
    for gain, said in (
        (Estimate(0.2, 0.1, 0.3), ": +20.0 in 100."),
        (Estimate(0.2, -0.1, 0.5), f": a change {UNCLEAR}."),
    ):
        (sentence,) = told(with_gain(made, gain), "Yours, ")
        assert sentence.endswith(said)


@pytest.mark.parametrize("rig", FOUND)
def test_what_free_light_would_choose_keeps_the_most(rig: str) -> None:
    made = answer(rig)
    (sentence,) = [
        one for one in findings(made) if "were light free" in one or "to cost nothing" in one
    ]
    shares = {
        in_short(made, replace(best_of(made).pick, rung=rung, tried=tried)): float(
            tried.hits.shares(made.way).mean()
        )
        for rung in made.rungs
        for tried in rung.tried.values()
        if tried.setting.reached
    }
    most, best = max(shares.values()), in_short(made, best_of(made).pick)
    if made.worth == 0.0:
        assert sentence.startswith("Light was taken to cost nothing")
        assert shares[best] >= most - SLIGHT
        return
    assert f"A stop of light was taken to be worth {worth_words(made)} (--worth" in sentence
    none = re.search(r"were light free, none would keep more than (.+), ([^,]+)\.$", sentence)
    if sentence.endswith("the choice would be the same."):
        assert shares[best] >= most - SLIGHT
        assert not is_paid(made)
    elif none is not None:
        assert none[1] in ("yours", best)
        own = float(made.searched.shares(made.way).mean())
        assert in_hundred(own if none[1] == "yours" else shares[best]) == none[2]
        assert float(none[2].split()[0]) >= 100.0 * (most - SLIGHT) - 0.0501
    else:
        named = re.search(r"were light free, (.+) would keep the most, (.+)\.$", sentence)
        assert named is not None
        assert named[1] != best
        assert shares[named[1]] >= most - SLIGHT
        assert in_hundred(shares[named[1]]) == named[2]


def test_free_light_may_choose_other_means_at_the_same_power() -> None:
    made = answer("yours is elsewhere")
    best = best_of(made)
    rungs = []
    for rung in made.rungs:
        # By distance all frames are kept at the recommended power, and none anywhere else.
        hits = rung.tried["distance"].hits
        full = np.zeros_like(hits.as_set)
        full[:, -1 if rung.power == best.pick.rung.power else 0] = hits.shots
        row = replace(rung.tried["distance"], hits=replace(hits, as_set=full))
        rungs.append(replace(rung, tried={**rung.tried, "distance": row}))
    (sentence,) = told(replace(made, rungs=tuple(rungs)), "A stop of light")
    assert sentence.endswith("were light free, 1/32, 465 mm would keep the most, 100.0 in 100.")
