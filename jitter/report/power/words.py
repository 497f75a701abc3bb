"""What `jitter power` found, in plain sentences."""

from __future__ import annotations

import math

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.power.answer import Confirmed, PowerAnswer
from jitter.answers.power.choosing import HOPELESS, best_of, most_keepers
from jitter.answers.power.rungs import Rung
from jitter.report.power.settings import (
    BY,
    in_full,
    in_short,
    is_best,
    is_own,
    name_power,
    reaches,
    write_means,
    write_off,
)
from jitter.report.words import UNCLEAR, share_words
from jitter.stages.verdict import KEEPER, REASONS
from jitter.units.writing import write_number, write_value

WHICH = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}
NEAR = 0.005
"""Stops are said in thirds where they are as near to them [stop]."""
MOVES = 0.01
"""A light that moves by less of the window of ages is not worth a sentence."""
SPOILT = "hardly a frame is a keeper at any power"
UNMENDED = "which no light mends. Mend that first; jitter tune finds the delay"
REMEDIES = {
    "no light": "see to the time to recharge (session.cadence), the shutter and the delay",
    "wrong exposure": "allow a larger error (keeper.exposure)",
    "smeared": "allow more blur (keeper.blur), or come less close",
    "soft": "allow more blur (keeper.blur), or come less close",
}
"""What to do where the light itself spoils the frames, whatever its power."""


def findings(answer: PowerAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first.

    Parameters
    ----------
    answer
        The answer.
    """
    if answer.best is None:
        return (*_none(answer), *_own_exposure(answer), *_kind(answer), *_relative(answer))
    return (
        *_advice(answer, answer.best),
        *_beside(answer, answer.best),
        *_free(answer, answer.best),
        *_own_exposure(answer),
        *_kind(answer),
        *_delay(answer, answer.best.pick.rung),
        *_means(answer, answer.best),
        *_several(answer, answer.best),
        *_dark(answer),
        *_relative(answer),
    )


def _rates(hits_rates: dict[str, Estimate]) -> str:
    as_set, trimmed = (share_words(hits_rates[way].value) for way in WAYS)
    return f"{as_set} frames as set by ruler, {trimmed} after trimming"


def _advice(answer: PowerAnswer, best: Confirmed) -> list[str]:
    best_words = in_full(answer, best.pick.tried.setting.study)
    yours = in_full(answer, answer.study)
    kept = _rates(best.hits.rates)
    if best_words == yours:
        return [f"Leave the flash at {best_words}: it keeps {kept}."]
    said = [f"Set the flash to {best_words}: that keeps {kept}."]
    if any(in_full(answer, other.pick.tried.setting.study) == yours for other in answer.beside):
        return said
    gain = answer.gain[answer.way]
    change = f"{100 * gain.value:+.1f} in 100" if gain.clear else f"a change {UNCLEAR}"
    stops = math.log2(best.pick.rung.power / answer.study.number("flash.power"))
    if abs(stops) >= NEAR:
        change += f", and it {'gives' if stops > 0.0 else 'costs'} {stops_words(abs(stops))}"
    own_kept = share_words(answer.own.rates[answer.way].value)
    return [*said, f"Yours, {yours}, keeps {own_kept} {WHICH[answer.way]}: {change}."]


def stops_words(stops: float) -> str:
    """Say so many stops.

    Examples
    --------
    >>> stops_words(1.0), stops_words(1 / 3), stops_words(0.5), stops_words(2.0)
    ('a stop', '1/3 stop', 'half a stop', '2 stops')
    """
    thirds = round(3.0 * stops)
    for size, words in ((1.0, "a stop"), (0.5, "half a stop")):
        if abs(stops - size) < NEAR:
            return words
    if thirds in (1, 2) and abs(3.0 * stops - thirds) < NEAR:
        return f"{thirds}/3 stop"
    return f"{write_number(stops, 2)} stops"


def _beside(answer: PowerAnswer, best: Confirmed) -> list[str]:
    """Say what the next darker and the next brighter setting would change, and cost."""
    said = []
    for other in answer.beside:
        stops = math.log2(best.pick.rung.power / other.pick.rung.power)
        gain = other.gain[answer.way]
        does = f"makes a difference {UNCLEAR}"
        if gain.clear:
            ends = sorted(abs(100 * end) for end in (gain.low, gain.high))
            does = (
                f"{'gains' if gain.value > 0.0 else 'loses'} {abs(100 * gain.value):.1f} keepers"
                f" in 100 (95 %: {ends[0]:.1f} to {ends[1]:.1f})"
            )
        light = f"{'costs' if stops > 0.0 else 'gives'} {stops_words(abs(stops))}"
        # What is gained and what is paid stand against each other, or they do not.
        word = "but" if (gain.value > 0.0) == (stops > 0.0) or not gain.clear else "and"
        same = in_full(answer, other.pick.tried.setting.study) == in_full(answer, answer.study)
        mine = is_own(answer, other.pick.rung)
        yours = " (yours)" if same else " (your power)" if mine else ""
        sentence = f"{in_short(answer, other.pick)}{yours} {does} {word} {light}."
        said.append(sentence[0].upper() + sentence[1:])
    return said


def _free(answer: PowerAnswer, best: Confirmed) -> list[str]:
    worth = f"{write_number(100 * answer.worth)} in 100"
    if answer.worth == 0.0:
        return ["Light was taken to cost nothing: the setting with the most keepers is the best."]
    said = f"A stop of light was taken to be worth {worth} keepers (--worth says otherwise)"
    most = best_of(answer.rungs, answer.means, worth=0.0, way=answer.way)
    if most is None or in_short(answer, most) == in_short(answer, best.pick):
        return [f"{said}; were light free, the choice would be the same."]
    rate = share_words(float(most.tried.hits.shares(answer.way).mean()))
    return [f"{said}; were light free, {in_short(answer, most)} would keep the most, {rate}."]


def _own_exposure(answer: PowerAnswer) -> list[str]:
    if answer.relative or abs(answer.off) < 1.0 / 6.0:
        return []
    side = "over" if answer.off > 0.0 else "under"
    return [
        f"By its guide number your own setting is {abs(answer.off):.1f} stops {side} a right"
        " exposure."
    ]


def _kind(answer: PowerAnswer) -> list[str]:
    brightest, darkest = answer.rungs[0], answer.rungs[-1]
    if darkest.tenth <= brightest.tenth or len(answer.rungs) == 1:
        if len(answer.rungs) == 1:
            return [
                "This flash has one power: distance, aperture and ISO are all that can be chosen."
            ]
        return []
    return [
        "In this flash lower power is longer, not shorter: t0.1 goes from"
        f" {write_value(brightest.tenth, 's', digits=3)} at"
        f" {name_power(brightest.power)} to {write_value(darkest.tenth, 's', digits=3)} at"
        f" {name_power(darkest.power)}. Use as much power as aperture, ISO and distance can take."
    ]


def _delay(answer: PowerAnswer, rung: Rung) -> list[str]:
    low, high = answer.study.window("keeper.age")
    if abs(rung.shift) < MOVES * (high - low):
        return []
    later = "later" if rung.shift > 0.0 else "earlier"
    return [
        f"The middle of the light comes {write_value(abs(rung.shift), 's', digits=2)} {later} than"
        f" at your power: set the delay to {write_value(rung.delay, 's', digits=6)}, or trim anew."
    ]


def _means(answer: PowerAnswer, best: Confirmed) -> list[str]:
    """Say the best setting of each other means."""
    said = []
    for means, pick in answer.by_means.items():
        if means == best.pick.tried.setting.means:
            continue
        rate = share_words(float(pick.tried.hits.shares(answer.way).mean()))
        said.append(f"by {BY[means]} {in_short(answer, pick)} ({rate})")
    told = [f"Exposure kept right otherwise: {', '.join(said)}."] if said else []
    lacking = [means for means in answer.means if means not in answer.by_means]
    for ends, reach in (("no power is exposed right", False), (SPOILT, True)):
        names = [BY[means] for means in lacking if reaches(answer, means) is reach]
        if names:
            told.append(f"By {' or by '.join(names)} alone {ends}.")
    return [" ".join(told)] if told else []


def _several(answer: PowerAnswer, best: Confirmed) -> list[str]:
    if not answer.several:
        return []
    first = answer.several[0]
    gain = first.gain[answer.way]
    change = f"{100 * gain.value:+.1f} keepers in 100" if gain.clear else f"a change {UNCLEAR}"
    return [
        f"{first.count} flashes at {name_power(first.power)} give the same light, each"
        f" {write_value(first.tenth, 's', digits=2)} long instead of"
        f" {write_value(best.pick.rung.tenth, 's', digits=2)}, and about"
        f" {write_value(first.stagger, 's', digits=2)} apart: {change} {WHICH[answer.way]}."
    ]


def _dark(answer: PowerAnswer) -> list[str]:
    cadence = answer.study.number("session.cadence")
    dark = [rung for rung in answer.rungs if rung.recycle > cadence]
    if not dark:
        return []
    last = dark[-1]
    which = name_power(last.power)
    which = which if len(dark) == 1 else f"{which} and above"
    return [
        f"At {which} the flash does not recharge within a frame every"
        f" {write_value(cadence, 's')}: those frames stay dark."
    ]


def _relative(answer: PowerAnswer) -> list[str]:
    if not answer.relative:
        return []
    own = "your own settings are taken to be exposed right"
    if abs(answer.off) >= 1.0 / 6.0:
        side = "over" if answer.off > 0.0 else "under"
        own = f"your own settings are taken to be {abs(answer.off):.1f} stops {side} (flash.energy)"
    return [
        f"The study gives no guide number: {own}, and everything else is relative to them. Give"
        " flash.guide_number and flash.distance for apertures and distances from scratch."
    ]


def _none(answer: PowerAnswer) -> list[str]:
    """Say why nothing is recommended: no right exposure, or frames lost to other things."""
    tried = [tried for rung in answer.rungs for tried in rung.tried.values()]
    right = [getattr(one.hits, answer.way) for one in tried if one.setting.reached]
    if right:
        reason = REASONS[int(sum(frames[:, :KEEPER].sum(axis=0) for frames in right).argmax())]
        cure = REMEDIES.get(reason)
        cause = f"{reason}. Mend that first: {cure}" if cure else f"{reason}, {UNMENDED}"
        trimmed = most_keepers(answer.rungs, answer.means, "as_trimmed") >= HOPELESS
        other = ", and --trimmed judges by frames after trimming" if trimmed else ""
        return [
            f"Hardly a frame is a keeper {WHICH[answer.way]} at any power: most are lost as"
            f" {cause}{other}."
        ]
    near = min((one.setting for one in tried), key=lambda setting: abs(setting.off))
    value = write_means(answer, near.means, near.value)
    power = name_power(near.study.number("flash.power"))
    side = "over" if near.off > 0.0 else "under"
    return [
        "No power of this flash gives a right exposure within the limits of lens, camera and"
        f" distance: the nearest, {power} with {value}, is {write_off(abs(near.off))[1:]} stops"
        f" {side}."
    ]


def held(answer: PowerAnswer) -> tuple[str, ...]:
    """Return how it was computed, and what was held fixed.

    Parameters
    ----------
    answer
        The answer.
    """
    layout, fresh = answer.layout, answer.fresh
    said = [
        f"Search: seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots, the same"
        f" draws for every setting; confirmed with seed {fresh.seed} and {fresh.setups} set-ups."
        f" Judged by keepers {WHICH[answer.way]}."
    ]
    for means, (low, high) in answer.ends.items():
        if math.isfinite(high):
            ends = " to ".join(write_means(answer, means, end) for end in (low, high))
            said.append(f"{BY[means]} from {ends}.".capitalize() if means != "iso" else f"{ends}.")
    return tuple(said)


def marks(answer: PowerAnswer, rung: Rung) -> str:
    """Return what marks a power: best, yours, or nothing."""
    named = [
        word
        for word, true in (("best", is_best(answer, rung)), ("yours", is_own(answer, rung)))
        if true
    ]
    return ", ".join(named)
