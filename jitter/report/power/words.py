"""What `jitter power` found, in plain sentences."""

from __future__ import annotations

import math

from jitter.answers.power.answer import Confirmed, PowerAnswer
from jitter.answers.power.rungs import Rung
from jitter.report.power.advice import advice, in_hundred, is_paid, worth_words
from jitter.report.power.settings import (
    BY,
    WHICH,
    in_short,
    is_best,
    is_own,
    name_power,
    reaches,
    write_means,
)
from jitter.report.words import UNCLEAR
from jitter.units.writing import write_value

MOVES = 0.01
"""A light that moves by less of the window of ages is not worth a sentence."""
AIM_FIRST = "Until then no light helps: powers are judged, and drawn, by frames after trimming."
SPOILT = "hardly a frame is a keeper at any power"


def findings(answer: PowerAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first.

    Parameters
    ----------
    answer
        The answer.
    """
    aim = (answer.unaimed, AIM_FIRST) if answer.unaimed else ()
    first = (*aim, *advice(answer))
    if answer.best is None:
        return (*first, *_own_exposure(answer), *_kind(answer), *_relative(answer))
    return (
        *first,
        *_own_exposure(answer),
        *_kind(answer),
        *_delay(answer, answer.best.pick.rung),
        *_means(answer, answer.best),
        *_several(answer, answer.best),
        *_dark(answer),
        *_relative(answer),
    )


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
    anew = "trim anew"
    if not answer.unaimed:
        anew = f"set the delay to {write_value(rung.delay, 's', digits=6)}, or {anew}"
    return [
        f"The middle of the light comes {write_value(abs(rung.shift), 's', digits=2)} {later} than"
        f" at your power: {anew}."
    ]


def _means(answer: PowerAnswer, best: Confirmed) -> list[str]:
    """Say the best setting of each other means."""
    said = []
    for means, pick in answer.by_means.items():
        if means == best.pick.tried.setting.means:
            continue
        rate = in_hundred(float(pick.tried.hits.shares(answer.way).mean()))
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
        f" Judged by keepers {WHICH[answer.way]}. Shares are those of the search, gains"
        " and losses those on the fresh draws."
    ]
    for means, (low, high) in answer.ends.items():
        if math.isfinite(high):
            ends = " to ".join(write_means(answer, means, end) for end in (low, high))
            said.append(f"{BY[means]} from {ends}.".capitalize() if means != "iso" else f"{ends}.")
    return tuple(said)


def marks(answer: PowerAnswer, rung: Rung) -> str:
    """Return what marks a power: best or first, yours, or nothing."""
    named = [
        word
        for word, true in (
            (first_word(answer), is_best(answer, rung)),
            ("yours", is_own(answer, rung)),
        )
        if true
    ]
    return ", ".join(named)


def first_word(answer: PowerAnswer) -> str:
    """Return what marks the recommended setting: first, where it is so for its light alone."""
    return "first" if is_paid(answer) else "best"


def first_note(answer: PowerAnswer) -> str:
    """Say what first means; empty where the recommended setting is the best."""
    if not is_paid(answer):
        return ""
    return f"first: put first, a stop of light counted as worth {worth_words(answer)} (--worth)"
