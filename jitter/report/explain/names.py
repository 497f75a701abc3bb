"""Suspects, parts and lengths in words."""

from __future__ import annotations

import math

from jitter.answers.explain.blame import Blamed
from jitter.answers.explain.checking import Expected
from jitter.answers.explain.next_test import NextTest, Outcome
from jitter.answers.explain.suspects import CHANCE, OFF, Suspect
from jitter.errors import plain
from jitter.quantities import Quantity
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_number, write_percent

LUCK = "as described, just luck"
UNKNOWN = "something not in the model"
LONGEST = 30
"""Letters; longer names of set-ups are cut in the middle."""


def shown_share(probability: float) -> str:
    """Write a probability in whole per cent; only what is certain is said to be.

    Examples
    --------
    >>> shown_share(0.42), shown_share(0.002), shown_share(0.998)
    ('42 %', '<1 %', '>99 %')
    """
    if probability < 0.01:
        return "<1 %"
    return ">99 %" if probability > 0.99 else write_percent(probability, digits=0)


def shown_setup(name: str) -> str:
    """Write the name of a set-up, a user's text, so that it is safe to print.

    Examples
    --------
    >>> shown_setup("evening"), shown_setup("")
    ('evening', '(no name)')
    """
    return plain(" ".join(name.split()), LONGEST) or "(no name)"


def shown_range(one: Expected) -> str:
    """Write how many frames of a look nine logs in ten of a rig have.

    Examples
    --------
    >>> shown_range(Expected(2, 5, 0.0, 1.0, 3.0, 0.01)), shown_range(Expected(2, 1, 0, 0, 0, 0.01))
    ('0 to 3', 'none')
    """
    low, high = f"{one.low:.0f}", f"{one.high:.0f}"
    if low == high:
        return "none" if low == "0" else low
    return f"{low} to {high}"


def name_suspect(suspect: Suspect) -> str:
    """Say what a suspect is: the quantity, and what may be wrong with it."""
    how = {OFF: "is off", CHANCE: "strikes more often"}.get(suspect.how, "strays more")
    return f"{suspect.key} {how}"


def explain_suspect(study: Study, blamed: Blamed) -> str:
    """Say in a sentence what a suspect would mean.

    Parameters
    ----------
    study
        The rig.
    blamed
        A suspect with what the log says of it.
    """
    suspect = blamed.suspect
    declared = study.entries[suspect.key].declaration
    meaning = declared.meaning
    if suspect.how == CHANCE:
        now = shown_number(100.0 * study.number(suspect.key))
        often = _sized(blamed, 100.0, " %")
        return f"{meaning}: about {often}, not the {now} % of the study"
    if suspect.how != OFF:
        times = _sized(blamed)
        return f"{meaning}: strays {times} times as far from shot to shot as the study says"
    if not isinstance(declared, Quantity) or math.isnan(blamed.offset):
        return f"{meaning}: not where the study has it"
    off = write_difference(abs(blamed.offset), declared.unit, digits=2)
    sure = write_difference(blamed.spread, declared.unit, digits=2)
    side = "more" if blamed.offset > 0.0 else "less"
    if abs(blamed.offset) < blamed.spread:
        return f"{meaning}: off, which way cannot be told (± {sure})"
    return f"{meaning}: about {off} {side} than the study says (± {sure})"


def shown_number(value: float) -> str:
    """Write a number that is known only roughly.

    Examples
    --------
    >>> shown_number(3.14159), shown_number(18.3)
    ('3.1', '18')
    """
    return f"{value:.2g}"


def _sized(blamed: Blamed, factor: float = 1.0, unit: str = "") -> str:
    size = blamed.size
    if size is None:
        return "more"
    low, middle, high = (shown_number(factor * one) for one in (size.low, size.value, size.high))
    return f"{middle}{unit} ({low} to {high}{unit})"


def shown_outcome(test: NextTest, outcome: Outcome) -> str:
    """Write what a series of frames would show under one suspect; see `outcome_key`.

    Parameters
    ----------
    test
        The series.
    outcome
        What it shows.
    """
    if math.isnan(outcome.mean):
        return f"{test.series.what} mostly out of the frame"
    if test.series.what == "looks":
        kept = [test.frames * share for share in (outcome.mean, outcome.low, outcome.high)]
        word = "keeper" if f"{kept[0]:.0f}" == "1" else "keepers"
        return f"{kept[0]:.0f} {word} ({kept[1]:.0f} to {kept[2]:.0f})"
    low, mean, high = (
        write_number(1e3 * end, 3) for end in (outcome.low, outcome.mean, outcome.high)
    )
    spread = write_difference(outcome.spread, "m", digits=2)
    return f"{test.series.what} {mean} mm ({low} to {high}), sd {spread}"


def outcome_key(test: NextTest) -> str:
    """Say what the numbers of an outcome are.

    Parameters
    ----------
    test
        The series.
    """
    said = "in brackets: nine set-ups in ten"
    return said if test.series.what == "looks" else f"{said}; sd: from frame to frame"
