"""From how late single drops are to the spreads of the valve's latency and release speed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from jitter.answers.fit.components import mean_square, separate
from jitter.answers.fit.found import Number, kept, settled
from jitter.answers.fit.frames import RELEASE, SingleDrop
from jitter.answers.fit.pivots import likely_variances, spread_of
from jitter.answers.fit.shares import Series, pooled, told_apart
from jitter.answers.fit.subjects import Subject, subject
from jitter.answers.intervals import Estimate
from jitter.arrays import Array
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_value

CLEAR = 2.0
"""A mean that is off by more than so many standard uncertainties moves the latency."""
TOGETHER = (
    "heights at such places do not tell whether latency or release speed makes it: both take their"
    " share as the study has it. Long series close to the nozzle and far from it would tell"
)
COARSE = "all heights are alike: they are too coarse to show how far the drop strays"


@dataclass
class Told:
    """What is found while frames are gone through.

    Attributes
    ----------
    numbers, notes
        Of the finding.
    parts
        What the study shall say of latency and release speed, in TOML.
    """

    numbers: list[Number]
    notes: list[str] = field(default_factory=list)
    parts: dict[str, dict[str, str]] = field(default_factory=lambda: {key: {} for key in RELEASE})


@dataclass(frozen=True)
class Shown:
    """Readings of drops photographed alike."""

    drop: SingleDrop
    groups: list[Array]
    reading: float

    @property
    def known(self) -> float:
        """The variance from shot to shot that is not the valve's [s2]."""
        return self.drop.rest.shot**2 + self.reading**2

    @property
    def series(self) -> Series | None:
        """What it says of spreads from shot to shot; None without two readings in a set-up."""
        squares = mean_square(self.groups, [np.ones(len(group)) for group in self.groups])
        slopes = self.drop.slopes
        squared = (slopes[RELEASE[0]] ** 2, slopes[RELEASE[1]] ** 2)
        return None if squares is None else Series(squares, self.known, squared)

    @property
    def count(self) -> int:
        """Readings."""
        return sum(len(group) for group in self.groups)


def _expected(drop: SingleDrop, subjects: Sequence[Subject], level: str) -> float:
    """Return how far the study says that latency and release speed make the lateness stray [s]."""
    sizes = [getattr(one, level) for one in subjects]
    return math.hypot(*(drop.slopes[key] * size for key, size in zip(RELEASE, sizes, strict=True)))


def scatter(study: Study, shown: Shown) -> Number:
    """Return how far the lateness of frames alike strays, with everything that is in it."""
    found, drop = separate(shown.groups), shown.drop
    name = f"lateness {write_value(drop.delay, 's')} after the {drop.start}"
    if found.shot is None:
        return Number(name, "s", found.mean.estimate, uncertainty=found.mean.uncertainty)
    old = math.hypot(drop.rest.shot, _expected(drop, _subjects(study), "shot"))
    return Number(f"{name}, sd from shot to shot", "s", found.shot, old=old, spread=True)


def _subjects(study: Study) -> tuple[Subject, Subject]:
    return subject(study, RELEASE[0]), subject(study, RELEASE[1])


def shot_of_valve(study: Study, valve: Sequence[Shown], beam: Sequence[Shown], told: Told) -> None:
    """Tell how far the valve strays from shot to shot.

    The mean square of the lateness with the valve's start, less what is known otherwise; where
    there are frames started by the beam, less what these hold beyond that, which is the reading's
    and goes with the inverse square of the drop's speed.

    Parameters
    ----------
    study
        The rig.
    valve, beam
        Frames by start.
    told
        Takes what is found.
    """
    series = [one.series for one in valve]
    starts = [one for one in series if one is not None]
    if not starts:
        told.notes.append("one frame of a set-up says nothing of the spread from shot to shot")
        return
    others = [one.series for one in beam]
    crossed = [one for one in others if one is not None]
    subjects = _subjects(study)
    # Reading errors that nobody stated would pass for release speed close to the nozzle.
    several = len(starts) > 1 and valve[0].reading > 0.0
    apart = told_apart(starts) if several else None
    if apart is not None:
        for key, target, estimate in zip(RELEASE, subjects, apart, strict=True):
            size = settled(estimate, target.shot)
            _write(told, target, key, "shot", estimate, size)
        told.notes.append("frames at several places tell latency and release speed apart")
        return
    first = pooled(starts)
    if first.squares.value == 0.0:
        told.notes.append(COARSE)
        return
    square, known, slopes = first.squares.value, first.known, first.slopes
    squares, freedoms, scale = [square], [first.squares.freedom], 0.0
    if crossed:
        second = pooled(crossed)
        scale = (_speed(beam) / _speed(valve)) ** 2
        squares.append(second.squares.value)
        freedoms.append(second.squares.freedom)
        square -= scale * second.squares.value
        known -= scale * second.known
        slopes = (slopes[0], max(slopes[1] - scale * second.slopes[1], 0.0))
    likely = likely_variances(squares, freedoms)
    left = likely[0] - known - (scale * likely[1] if crossed else 0.0)
    estimate = spread_of(square - known, left)
    if estimate.high == 0.0:
        estimate = Estimate(0.0, 0.0, math.sqrt(float(np.quantile(likely[0], 0.975))))
    _together(told, subjects, estimate, slopes, "shot", first.squares.freedom)


def takes_off(beam: Sequence[Shown]) -> bool:
    """Return whether frames started by the beam show any scatter, to be taken off the valve's."""
    return any(one.series is not None and one.series.squares.value > 0.0 for one in beam)


def _speed(shown: Sequence[Shown]) -> float:
    return float(
        np.average([one.drop.speed for one in shown], weights=[one.count for one in shown])
    )


def _together(
    told: Told,
    subjects: tuple[Subject, Subject],
    estimate: Estimate,
    slopes: tuple[float, float],
    level: str,
    freedom: int,
) -> None:
    """Share a spread of the lateness out as the study has it."""
    sizes = [getattr(target, level) for target in subjects]
    old = math.sqrt(sum(slope * size**2 for slope, size in zip(slopes, sizes, strict=True)))
    size = settled(estimate, old, freedom=freedom)
    between = "shot to shot" if level == "shot" else "set-up to set-up"
    name = f"lateness that the valve makes, sd from {between}"
    told.numbers.append(Number(name, "s", estimate, old=old, spread=True))
    told.notes += kept(estimate, size, between)
    if size is None:
        return
    if old == 0.0:
        _write(told, subjects[0], RELEASE[0], level, estimate, size)
        told.notes.append("the study gives neither a spread, so that the latency takes it all")
        return
    for key, target, own in zip(RELEASE, subjects, sizes, strict=True):
        if own > 0.0:
            factor = own / old
            scaled = Estimate(
                factor * estimate.value, factor * estimate.low, factor * estimate.high
            )
            _write(told, target, key, level, scaled, factor * size)
    if min(sizes) > 0.0 and TOGETHER not in told.notes:
        told.notes.append(TOGETHER)


def _write(
    told: Told, target: Subject, key: str, level: str, estimate: Estimate, size: float | None
) -> None:
    between = "shot to shot" if level == "shot" else "set-up to set-up"
    told.numbers.append(
        Number(
            f"{key}, sd from {between}",
            target.unit,
            estimate,
            old=getattr(target, level),
            place=f"{key}, {level}" if size is not None else "",
            spread=True,
        )
    )
    if size is not None:
        told.parts[key][level] = target.spread(size, level, target.nominal)


def setup_of_valve(study: Study, shown: Shown, told: Told) -> None:
    """Tell where the valve stands on average, and how far it strays from set-up to set-up.

    Parameters
    ----------
    study
        The rig.
    shown
        The frames of most set-ups, started by the valve.
    told
        Takes what is found.
    """
    drop, subjects = shown.drop, _subjects(study)
    squared = (drop.slopes[RELEASE[0]] ** 2, drop.slopes[RELEASE[1]] ** 2)
    expected = sum(slope * target.shot**2 for slope, target in zip(squared, subjects, strict=True))
    found = separate(
        shown.groups,
        known_setup=drop.rest.setup**2,
        assumed_shot=shown.known + expected,
    )
    if found.setup is not None:
        _together(told, subjects, found.setup, squared, "setup", found.setups - 1)
    mean, target = found.mean, subjects[0]
    alone = drop.rest.setup if found.setups == 1 else 0.0
    doubt = math.hypot(mean.uncertainty, alone)
    late = mean.estimate.value
    slope = drop.slopes[RELEASE[0]]
    number = Number("mean lateness", "s", mean.estimate, uncertainty=mean.uncertainty, old=0.0)
    if math.isinf(doubt):
        told.numbers.append(number)
        told.notes.append(
            "how sure the mean lateness is cannot be told from so little: the latency's value stays"
        )
        return
    new = (target.nominal or 0.0) + late / slope
    if abs(late) <= CLEAR * doubt or not target.lower <= new <= target.upper:
        told.numbers.append(number)
        agrees = abs(late) <= CLEAR * doubt
        told.notes.append(
            f"the mean lateness, {write_difference(late, 's')}, agrees with the study within its"
            f" uncertainty of {write_difference(doubt, 's')}: the latency's value stays"
            if agrees
            else "the mean lateness would lead to an impossible latency and is not written"
        )
        return
    told.numbers += [
        number,
        Number(
            f"{RELEASE[0]}, value",
            "s",
            Estimate(new, new - 2.0 * doubt, new + 2.0 * doubt),
            uncertainty=doubt,
            old=target.nominal,
            place=f"{RELEASE[0]}, nominal",
        ),
    ]
    told.parts[RELEASE[0]]["nominal"] = target.value(new)
    told.notes.append(
        "the mean lateness is put into the latency's value; a wrong height of the nozzle or release"
        " speed would show in the same way"
    )
