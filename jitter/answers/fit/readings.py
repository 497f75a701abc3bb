"""Repeated readings of a value of the study: rulers, thermometers, timers."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from jitter.answers.fit.components import Components, separate, type_a
from jitter.answers.fit.found import Finding, Number, by_setup, counted, kept, settled
from jitter.answers.fit.subjects import Subject, settled_at, subject
from jitter.quantities import Kind
from jitter.records.faults import Place
from jitter.records.measurements import Reading
from jitter.study.rewriting import NewValue
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_value

COARSE = (
    "all readings are alike: they are too coarse to show how far it strays, which stays open;"
    " read it more finely"
)


def fit_readings(
    study: Study,
    readings: Sequence[Reading],
    *,
    reading: float,
    untouched: bool,
    source: str,
    place: Place,
) -> Finding:
    """Turn readings of a value into its nominal and spreads.

    Parameters
    ----------
    study
        The rig.
    readings
        All of one value.
    reading
        Standard deviation of the error of a single reading, 0 where it is not known.
    untouched
        Whether the rig stays as it was measured, so that what is not known of a set-up is the
        uncertainty of its mean.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    what = readings[0].what
    target = subject(study, what)
    for one in readings:
        if not target.lower <= one.value <= target.upper:
            wrong = f"{write_value(one.value, target.unit)} is out of range for {what}"
            ends = [write_value(end, target.unit) for end in (target.lower, target.upper)]
            place(one.line, "value", wrong, f"a value lies from {ends[0]} to {ends[1]}")
            return Finding(what, len(readings), 1)
    groups = by_setup(readings, [one.value for one in readings])
    target = settled_at(target, type_a(np.concatenate(groups)).estimate.value)
    found = separate(groups, known_shot=reading**2, assumed_shot=reading**2 + target.shot**2)
    numbers, parts, notes = _mean(target, found)
    told = (
        _setup(target, found, reading=reading, untouched=untouched),
        _shot(target, found, reading=reading),
    )
    for more, part, said in told:
        numbers += more
        parts |= part
        notes += said
    basis = f"{counted(found.count, 'reading')} in {source}"
    if found.setups > 1:
        basis = f"{counted(found.count, 'reading')} in {found.setups} set-ups, {source}"
    values = (NewValue(what, parts, basis, target.instead),) if parts else ()
    return Finding(what, found.count, found.setups, tuple(numbers), values, tuple(notes))


Told = tuple[list[Number], dict[str, str], list[str]]


def _mean(target: Subject, found: Components) -> Told:
    fixed = target.quantity.kind is Kind.ERROR
    mean = found.mean
    number = Number(
        "mean",
        target.unit,
        mean.estimate,
        uncertainty=mean.uncertainty,
        old=target.nominal,
        place="" if fixed else f"{target.key}, nominal",
    )
    if fixed:
        note = "its mean is 0 by definition and is not changed; mend the aim instead"
        return [number], {}, [note]
    notes = [] if found.count > 1 else ["a single reading says nothing of how far it strays"]
    return [number], {"nominal": target.value(mean.estimate.value)}, notes


def _setup(target: Subject, found: Components, *, reading: float, untouched: bool) -> Told:
    name, key = "sd from set-up to set-up", f"{target.key}, setup"
    if not target.quantity.strays:
        return [], {}, []
    value = found.mean.estimate.value
    if found.setup is not None:
        size = settled(found.setup, target.setup, freedom=found.setups - 1)
        number = Number(
            name,
            target.unit,
            found.setup,
            old=target.setup,
            place=key if size is not None else "",
            spread=True,
        )
        parts = {} if size is None else {"setup": target.spread(size, "setup", value)}
        return [number], parts, kept(found.setup, size, "set-up to set-up")
    known = found.mean.uncertainty
    if not math.isfinite(known):
        return [], {}, []
    known = max(known, reading / math.sqrt(found.count))
    if known > 0.0 and (untouched or known > target.setup > 0.0):
        why = "as the rig stays untouched" if untouched else "since the study's is smaller"
        told = write_difference(known, target.unit)
        note = f"its set-up spread is the uncertainty of the mean, {told}, {why}"
        return [], {"setup": target.spread(known, "setup", value)}, [note]
    if untouched:
        return [], {}, []
    note = (
        "read in one set-up only: that does not tell how the next one comes out, and the study's"
        " set-up spread stays. If you leave the rig as it is, ask with --untouched"
    )
    return [], {}, [note]


def _shot(target: Subject, found: Components, *, reading: float) -> Told:
    if found.shot is None:
        return [], {}, []
    coarse = [COARSE] if found.within is not None and found.within.value == 0.0 else []
    value = found.mean.estimate.value
    if target.shot == 0.0 or not target.quantity.strays:
        total = Number("sd of a reading", target.unit, found.shot, spread=True)
        note = "the study says that it does not stray from shot to shot: this is the reading's"
        return [total], {}, coarse or ([note] if found.count > 1 else [])
    freedom = found.within.freedom if found.within is not None else 0
    size = None if coarse else settled(found.shot, target.shot, freedom=freedom)
    number = Number(
        "sd from shot to shot",
        target.unit,
        found.shot,
        old=target.shot,
        place=f"{target.key}, shot" if size is not None else "",
        spread=True,
    )
    notes = coarse or kept(found.shot, size, "shot to shot")
    if not reading and not coarse:
        notes = [*notes, "the scatter holds the error of reading it, which was not stated"]
    parts = {} if size is None else {"shot": target.spread(size, "shot", value)}
    return [number], parts, notes
