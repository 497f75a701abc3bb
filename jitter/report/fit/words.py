"""What `jitter fit` says in words: numbers with their intervals, and the sentences that open it."""

from __future__ import annotations

import math

from jitter.answers.compare.drivers import Driver
from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Number, counted
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.report.compare.words import WAY_WORDS, name_of
from jitter.report.words import NONE_TOLD, UNCLEAR
from jitter.units.writing import Scale, scale_of, write_number, write_percent, write_value

OPEN = "open"
UNSURE = 5
"""Digits of a number of which nothing tells how sure it is."""
ZERO_CELSIUS = 273.15


def written(number: Number, value: float) -> str:
    """Write a value of a number's unit, to the second digit of how sure the number is.

    Examples
    --------
    >>> from jitter.answers.intervals import Estimate
    >>> height = Number("mean", "m", Estimate(0.4834625, 0.4832, 0.4837), uncertainty=0.000113)
    >>> written(height, height.estimate.value), uncertainty_of(height), interval_of(height)
    ('483.46 mm', '0.11 mm', '483.20 to 483.70 mm')
    """
    if not math.isfinite(value):
        return OPEN
    scale, sure = _scale(number), _sure(number)
    if number.unit == "K" and not number.spread:
        value, scale = value - ZERO_CELSIUS, scale._replace(name="°C")
    if sure is None:
        return scale.written(value, digits=3 if number.spread else UNSURE)
    return scale.rounded(value, sure=sure)


def _scale(number: Number) -> Scale:
    """Return the unit of all that is told of a number."""
    told = (number.estimate.value, number.estimate.high, number.old)
    sizes = (one for one in told if one is not None and one and math.isfinite(one))
    return scale_of(next(sizes, 0.0), number.unit)


def _sure(number: Number) -> float | None:
    """Return how far off a number may be; None where nothing tells."""
    half = 0.5 * (number.estimate.high - number.estimate.low)
    known = (number.uncertainty, half)
    return next((one for one in known if one is not None and 0.0 < one < math.inf), None)


def interval_of(number: Number) -> str:
    """Write the interval of a number, an end that is open being said so."""
    low, high = number.estimate.low, number.estimate.high
    if not math.isfinite(high):
        return OPEN if not math.isfinite(low) or low == 0.0 else f"{written(number, low)} and more"
    last = written(number, high)
    if number.spread and low == 0.0:
        return f"up to {last}"
    return f"{written(number, low).partition(' ')[0]} to {last}"


def uncertainty_of(number: Number) -> str:
    """Write a mean's standard uncertainty; empty for spreads."""
    if number.uncertainty is None:
        return ""
    if not math.isfinite(number.uncertainty):
        return OPEN
    if number.uncertainty == 0.0:
        return _scale(number).written(0.0)
    return _scale(number).rounded(number.uncertainty, sure=number.uncertainty)


def old_of(number: Number) -> str:
    """Write what the study says in a number's place, in the unit of what was measured."""
    if number.old is None:
        return "–"
    if number.unit == "K" and not number.spread:
        return write_value(number.old, number.unit)
    return _scale(number).written(number.old, digits=3 if number.spread else 4)


def _decimals(estimate: Estimate) -> int:
    """Return the decimals of a difference in 100 frames: none finer than its interval bears."""
    half = 50.0 * (estimate.high - estimate.low)
    return 1 if half >= 0.1 else 2 if half >= 0.01 else 3


def change_of(estimate: Estimate) -> str:
    """Say a difference in keepers of 100 frames.

    Parameters
    ----------
    estimate
        Of the difference, as a share.

    Examples
    --------
    >>> change_of(Estimate(0.00049, 0.0003, 0.0007))
    '+0.05'
    >>> change_of(Estimate(0.1, -0.1, 0.3))
    '≈ 0'
    """
    return f"{100.0 * estimate.value:+.{_decimals(estimate)}f}" if estimate.clear else NONE_TOLD


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
        many = change_of(change).lstrip("+-")
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
        f" {change_of(alone)} keepers in 100 frames ({change_interval(alone)})"
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
