"""Drops weighed together: their size, and how far it strays from drop to drop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from jitter.answers.fit.components import Components, separate
from jitter.answers.fit.found import Finding, Number, by_setup, counted, kept, settled
from jitter.answers.fit.subjects import Subject, subject
from jitter.answers.intervals import Estimate
from jitter.quantities import Quantity
from jitter.records.faults import Place
from jitter.records.measurements import FIRST_WEIGHED, SECOND_WEIGHED, WEIGHED, Reading
from jitter.stage import Chain, walk
from jitter.study.rewriting import NewValue
from jitter.study.settle import nominal_arguments
from jitter.study.study import Study
from jitter.units.writing import write_value

DROPS = {
    WEIGHED: ("first", "second"),
    FIRST_WEIGHED: ("first",),
    SECOND_WEIGHED: ("second",),
}
THIRD = 1.0 / 3.0
ALIKE = 0.01
"""Drops closer than this share of their mass are alike."""
LARGEST_BOUNDS = (1e-8, 1e-3)
"""Masses of a drop that are believed [kg]: 0.01 mg to 1 g."""
POURED = (
    "the study gives the drops by their open time; the weighing is told beside it and changes"
    " nothing: give valve.flow from a longer catch, or the drops by their width"
)
APART = (
    "the study's two drops differ in size; a weighing of both changes neither: weigh each by"
    f" itself, as {FIRST_WEIGHED} and as {SECOND_WEIGHED}"
)


@dataclass(frozen=True)
class Sized:
    """How a study states a drop's size, and how that goes with the mass of one drop.

    Attributes
    ----------
    target
        The value.
    power
        Of the mass, with which it goes: 1, or 1/3 for a width.
    factor
        The value of a drop of 1 kg.
    """

    target: Subject
    power: float
    factor: float

    def value(self, mass: float) -> float:
        """Return the value for drops of a mass [kg]."""
        value: float = self.factor * max(mass, 0.0) ** self.power
        return value

    @property
    def mass(self) -> float:
        """The mass of a drop in the study [kg]."""
        mass: float = ((self.target.nominal or 0.0) / self.factor) ** (1.0 / self.power)
        return mass


def fit_weighings(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    written: frozenset[str],
    reading: float,
    untouched: bool,
    source: str,
    place: Place,
) -> Finding:
    """Turn weighings of drops into the size of a drop and its spreads.

    The scatter of weighings of N drops, times √N, is that of a single drop as long as drops are
    independent of each other.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        Of drops weighed together, all of one kind: of both drops, or of one of them by itself.
    written
        The keys that the study's file gives.
    reading
        Standard deviation of a weighing's error [kg], 0 where it is not known.
    untouched
        Whether the rig stays as it was measured.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    what, setups = readings[0].what, len({one.setup for one in readings})
    good = True
    for one in readings:
        each = one.value / (one.drops or 1.0)
        if not LARGEST_BOUNDS[0] <= each <= LARGEST_BOUNDS[1]:
            wrong = f"{write_value(one.value, 'kg')} for {one.drops:.0f} is no mass of drops"
            place(one.line, "value", wrong, "check its unit and the number of drops")
            good = False
    if not good:
        return Finding(what, len(readings), setups)
    drops = [one.drops or 1.0 for one in readings]
    groups = by_setup(
        readings, [one.value / many for one, many in zip(readings, drops, strict=True)]
    )
    weights = by_setup(readings, drops)
    found = separate(groups, weights=weights, known_shot=_balance(weights, reading))
    numbers = [
        Number("mass of a drop", "kg", found.mean.estimate, uncertainty=found.mean.uncertainty)
    ]
    if found.shot is not None:
        numbers.append(
            Number("mass of a drop, sd from shot to shot", "kg", found.shot, spread=True)
        )
    sized = [_sized(study, chain, which, written) for which in DROPS[what]]
    if any(one is None for one in sized):
        return Finding(what, found.count, setups, tuple(numbers), (), (POURED,))
    known = [one for one in sized if one is not None]
    if abs(known[0].mass - known[-1].mass) > ALIKE * known[0].mass:
        return Finding(what, found.count, setups, tuple(numbers), (), (APART,))
    notes = _notes(found, reading)
    values = []
    basis = f"{counted(found.count, 'weighing')}, {sum(drops):.0f} drops in all, in {source}"
    for drop in known:
        more, parts, said = _state(drop, found, untouched=untouched)
        numbers += more
        notes += [note for note in said if note not in notes]
        values.append(NewValue(drop.target.key, parts, basis))
    return Finding(what, found.count, setups, tuple(numbers), tuple(values), tuple(notes))


def _balance(weights: Sequence[np.ndarray[Any, np.dtype[np.float64]]], reading: float) -> float:
    """Return what the balance adds to the mean square of single drops [kg2]."""
    freedom = sum(len(one) - 1 for one in weights)
    if freedom == 0:
        return 0.0
    # Of the errors e_i, what is left about the weighted mean is Σ (e_i - N_i Σe/ΣN)²/N_i.
    over = sum(float(np.sum(1.0 / one)) - len(one) / float(np.sum(one)) for one in weights)
    return reading**2 * over / freedom


def _sized(study: Study, chain: Chain, which: str, written: frozenset[str]) -> Sized | None:
    volume, mass = f"valve.{which}_volume", f"valve.{which}_mass"
    if study.entries[f"valve.{which}_opening"].nominal is not None:
        return None
    if study.entries[mass].nominal is not None:
        return Sized(subject(study, mass), 1.0, study.number("valve.weighed_drops"))
    arguments = nominal_arguments(study.entries)
    density = float(np.asarray(walk(chain.towards(("density",)), arguments)["density"]).item())
    declared = study.entries[volume].declaration
    if volume in written or not isinstance(declared, Quantity):
        return Sized(subject(study, volume), 1.0, 1.0 / density)
    width = subject(study, declared.diameter_key)
    return Sized(width, THIRD, float(np.cbrt(6.0 / (math.pi * density))))


def _notes(found: Components, reading: float) -> list[str]:
    if found.shot is None:
        return ["one weighing says nothing of how far drops stray: weigh several times"]
    if found.within is not None and found.within.value == 0.0:
        return ["all weighings are alike: the balance is too coarse to show how far drops stray"]
    notes = ["the scatter from drop to drop takes drops to be independent of each other"]
    if not reading:
        notes.append("it holds the error of the balance, which was not stated")
    return notes


def _state(
    sized: Sized, found: Components, *, untouched: bool
) -> tuple[list[Number], dict[str, str], list[str]]:
    """Return the value and spreads of a drop as the study states its size."""
    target, mass = sized.target, found.mean.estimate.value
    value = sized.value(mass)
    slope = sized.power * value / mass
    ends = [
        sized.value(end) if math.isfinite(end) else end
        for end in (found.mean.estimate.low, found.mean.estimate.high)
    ]
    number = Number(
        f"{target.key}",
        target.unit,
        Estimate(value, ends[0], ends[1]),
        uncertainty=slope * found.mean.uncertainty,
        old=target.nominal,
        place=f"{target.key}, nominal",
    )
    numbers, parts, notes = [number], {"nominal": target.value(value)}, list[str]()
    for level, between, estimate in (
        ("setup", "set-up to set-up", found.setup),
        ("shot", "shot to shot", found.shot),
    ):
        old = getattr(target, level)
        known = slope * found.mean.uncertainty
        if level == "setup" and estimate is None and math.isfinite(known):
            if known > 0.0 and (untouched or known > old > 0.0):
                parts[level] = target.spread(known, level, value)
                notes.append("its set-up spread is the uncertainty of the mean")
            elif not untouched:
                notes.append("weighed in one set-up only: the study's set-up spread stays")
        if estimate is None:
            continue
        own = Estimate(slope * estimate.value, slope * estimate.low, slope * estimate.high)
        freedom = found.within.freedom if found.within is not None else 0
        if level == "setup":
            freedom = found.setups - 1
        size = settled(own, old, freedom=freedom)
        if size is not None:
            parts[level] = target.spread(size, level, value)
        place = f"{target.key}, {level}" if size is not None else ""
        name = f"{target.key}, sd from {between}"
        numbers.append(Number(name, target.unit, own, old=old, place=place, spread=True))
        if own.high < math.inf:
            notes += kept(own, size, between)
    return numbers, parts, notes
