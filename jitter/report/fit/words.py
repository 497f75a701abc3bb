"""What `jitter fit` says in words: numbers with their intervals, and the sentences that open it."""

from __future__ import annotations

import math

from jitter.answers.compare.drivers import Driver
from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Number, counted
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.report.compare.words import WAY_WORDS, name_of
from jitter.report.words import UNCLEAR
from jitter.units.writing import write_difference, write_number, write_percent, write_value

OPEN = "open"
UNSURE = 5
"""Digits of a number of which nothing tells how sure it is."""


def written(number: Number, value: float) -> str:
    """Write a value of a number's unit: no finer than a hundredth of its uncertainty shows.

    Examples
    --------
    >>> from jitter.answers.intervals import Estimate
    >>> height = Number("mean", "m", Estimate(0.4834625, 0.4832, 0.4837), uncertainty=0.000113)
    >>> written(height, height.estimate.value)
    '483.46 mm'
    """
    if not math.isfinite(value):
        return OPEN
    if number.spread:
        plain = number.unit == "1"
        return write_number(value) if plain else write_difference(value, number.unit)
    known = number.uncertainty
    digits = UNSURE
    if known is not None and math.isfinite(known) and known > 0.0:
        value, digits = round(value, 1 - math.floor(math.log10(known))), 6
    if number.unit == "1":
        return write_number(value, digits)
    return write_value(value, number.unit, digits=digits)


def interval_of(number: Number) -> str:
    """Write the interval of a number, an end that is open being said so."""
    low, high = number.estimate.low, number.estimate.high
    if not math.isfinite(high):
        return OPEN if not math.isfinite(low) or low == 0.0 else f"{written(number, low)} and more"
    last = written(number, high)
    if number.spread and low == 0.0:
        return f"up to {last}"
    first = written(number, low)
    alike = first.partition(" ")[2] == last.partition(" ")[2]
    return f"{first.partition(' ')[0] if alike else first} to {last}"


def uncertainty_of(number: Number) -> str:
    """Write a mean's standard uncertainty; empty for spreads."""
    if number.uncertainty is None:
        return ""
    if not math.isfinite(number.uncertainty):
        return OPEN
    if number.unit == "1":
        return write_number(number.uncertainty)
    return write_difference(number.uncertainty, number.unit)


def old_of(number: Number) -> str:
    """Write what the study says in a number's place."""
    if number.old is None:
        return "–"
    if number.unit == "1":
        return write_number(number.old, 4)
    if number.spread:
        return write_difference(number.old, number.unit)
    return write_value(number.old, number.unit)


def _decimals(estimate: Estimate) -> int:
    """Return the decimals of a difference in 100 frames: none finer than its interval bears."""
    half = 50.0 * (estimate.high - estimate.low)
    return 1 if half >= 0.1 else 2 if half >= 0.01 else 3


def change_of(estimate: Estimate, none: str) -> str:
    """Say a difference in keepers of 100 frames.

    Parameters
    ----------
    estimate
        Of the difference, as a share.
    none
        To say where it cannot be told from 0.

    Examples
    --------
    >>> change_of(Estimate(0.00049, 0.0003, 0.0007), "~0")
    '+0.05'
    >>> change_of(Estimate(0.1, -0.1, 0.3), "~0")
    '~0'
    """
    return f"{100.0 * estimate.value:+.{_decimals(estimate)}f}" if estimate.clear else none


def change_interval(estimate: Estimate) -> str:
    """Say the interval of a difference in keepers of 100 frames.

    Examples
    --------
    >>> change_interval(Estimate(0.00049, 0.0003, 0.00068))
    '+0.03 to +0.07'
    """
    ends = (100.0 * estimate.low, 100.0 * estimate.high)
    return " to ".join(f"{end:+.{_decimals(estimate)}f}" for end in ends)


def findings(answer: FitAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    readings = sum(finding.count for finding in answer.findings)
    values = [value for finding in answer.findings for value in finding.values]
    said = [f"{counted(readings, 'reading')} of {counted(len(answer.findings), 'kind')}"]
    said[0] += (
        f" give {counted(len(values), 'value')} of the study anew."
        if values
        else (" change no value of the study; what they say is told below.")
    )
    said += _strays(answer)
    if answer.comparison is None:
        if values:
            said.append("The new numbers are those that the study has already.")
        return tuple(said)
    (pair,) = answer.comparison.pairs
    before, after = answer.comparison.contenders
    for way in reversed(WAYS):
        change, words = pair.change[way], WAY_WORDS[way].capitalize()
        if not change.clear:
            said.append(
                f"{words}, what the new numbers change is {UNCLEAR}"
                f" ({change_interval(change)} keepers in 100 frames)."
            )
            continue
        more = "more" if change.value > 0.0 else "fewer"
        rates = [write_percent(one.hits.rates[way].value) for one in (after, before)]
        many = change_of(change, "").lstrip("+-")
        said.append(
            f"{words}, the new numbers mean {many} {more} keepers in 100 frames"
            f" ({change_interval(change)}): {rates[0]} instead of {rates[1]}."
        )
    said += _drove(answer)
    if before.aims["as_set"] and not after.aims["as_set"]:
        said.append(
            "With the new values even the shot in which nothing strays misses, as set by ruler:"
            " set the delay anew, jitter tune says how."
        )
    return tuple(said)


def _strays(answer: FitAnswer) -> list[str]:
    """Name the spread that is clearly not the study's and changes most."""
    found = {
        number.place: number
        for finding in answer.findings
        for number in finding.numbers
        if number.spread
        and number.place
        and number.old
        and number.estimate.value > 0.0
        and not number.estimate.low <= number.old <= number.estimate.high
    }
    changed = [
        f"{change.key}, {change.part}"
        for driver in ranked(answer)
        for change in driver.difference.changes
    ]
    most = next((found[place] for place in changed if place in found), None)
    if most is None:
        return []
    ratio = most.estimate.value / (most.old or 1.0)
    return [
        f"{most.name}: {written(most, most.estimate.value)} ({interval_of(most)}),"
        f" {write_number(ratio, 2)} times what the study says, {old_of(most)}."
    ]


def ranked(answer: FitAnswer) -> tuple[Driver, ...]:
    """Return the changes, the one that does most alone after trimming first."""
    drive = answer.comparison.drive if answer.comparison is not None else None
    if drive is None:
        return ()
    return tuple(sorted(drive.drivers, key=lambda one: -abs(one.alone["as_trimmed"].value)))


def _drove(answer: FitAnswer) -> list[str]:
    drivers = [one for one in ranked(answer) if one.alone["as_trimmed"].clear]
    if len(ranked(answer)) < 2:
        return []
    if not drivers:
        return [f"Alone, every single change is {UNCLEAR} after trimming."]
    alone = drivers[0].alone["as_trimmed"]
    return [
        f"Most of it comes from {name_of(drivers[0].difference)}: alone"
        f" {change_of(alone, UNCLEAR)} keepers in 100 frames ({change_interval(alone)})"
        " after trimming."
    ]


def made(answer: FitAnswer) -> str:
    """Say on what the answer rests."""
    if answer.comparison is None:
        return f"study {answer.study.digest}, measurements {answer.source}; intervals 95 %"
    layout, fitted = answer.comparison.layout, answer.fitted
    digest = fitted.digest if fitted is not None else ""
    return (
        f"seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots, the same draws for"
        f" both; study {answer.study.digest}, as measured {digest}; intervals 95 %"
    )
