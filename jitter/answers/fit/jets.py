"""Heights of the jet at several delays: how high it rises, and when it is at its top."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from jitter.answers.fit.components import Mean, Squares, between_setups, student, type_a
from jitter.answers.fit.found import Finding, Number, counted, kept, settled
from jitter.answers.fit.parabola import Parabola, parabola
from jitter.answers.fit.subjects import Subject, settled_at, subject
from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.records.faults import Place
from jitter.records.measurements import JET_HEIGHT, Reading
from jitter.stage import Chain
from jitter.study.rewriting import NewValue
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_difference, write_value

HEIGHT, TIME = "jet.height", "jet.time"
SCALES = {HEIGHT: "jet.height_scale", TIME: "jet.time_scale"}
FEWEST = 3
LEVELS = "set-up to set-up"
NO_JET = "no jet of the law's shape passes through these heights: check delays and starts"
TOO_FEW = "two delays and three readings at least make a parabola: photograph more of the jet"


def fit_jets(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    source: str,
    place: Place,
) -> Finding:
    """Turn heights of the jet against time into its height and the time of its top.

    Least squares of the parabola that the jet's law has, t counted from the landing of the study's
    first drop; that the landing itself strays from frame to frame is part of the scatter about it.
    Where each set-up has a parabola of its own, the tops of these are taken as readings of the
    set-ups, each as sure as its parabola, and separated by the analysis of variance.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        Of the jet.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    setups = list(dict.fromkeys(one.setup for one in readings))

    def say(note: str) -> Finding:
        return Finding(JET_HEIGHT, len(readings), len(setups), notes=(note,))

    times = _times(study, chain, readings, place)
    if times is None:
        return Finding(JET_HEIGHT, len(readings), len(setups))
    heights = np.array([one.value for one in readings])
    if not _enough(times):
        return say(TOO_FEW)
    together = parabola(times, heights)
    if together is None:
        return say(NO_JET)
    groups = [np.array([one.setup == setup for one in readings]) for setup in setups]
    apart = _apart(times, heights, groups)
    top = together.top if apart is None else np.mean([one.top for one in apart], axis=0)
    for key, value in zip((HEIGHT, TIME), top, strict=True):
        target = subject(study, key)
        if not target.lower <= value <= target.upper:
            return say(f"{key} would be {write_value(float(value), target.unit)}, which no jet has")
    basis = f"{counted(len(readings), 'frame')} of the jet in {source}"
    numbers: list[Number] = []
    values, notes = [], _notes(together, apart, times, len(setups))
    for axis, key in enumerate((HEIGHT, TIME)):
        target, old = subject(study, key), _study_value(study, chain, key)
        made = _of_one(target, old, together, axis)
        if apart is not None:
            made = _of_several(target, old, apart, axis)
        numbers += made[0]
        values.append(NewValue(key, made[1], basis, (SCALES[key],)))
        notes += made[2]
    return Finding(
        JET_HEIGHT, len(readings), len(setups), tuple(numbers), tuple(values), tuple(notes)
    )


def _enough(times: Array) -> bool:
    return len(times) >= FEWEST and len(np.unique(times)) > 1


def _apart(times: Array, heights: Array, groups: Sequence[Array]) -> list[Parabola] | None:
    """Return the parabola of each set-up; None with one, or where one of them has none."""
    if len(groups) < 2 or not all(_enough(times[group]) for group in groups):
        return None
    found = [parabola(times[group], heights[group]) for group in groups]
    known = [one for one in found if one is not None]
    # With no scatter at all, nothing says how sure their tops are.
    scatters = any(one.square > 0.0 for one in known)
    return known if scatters and len(known) == len(found) else None


def _notes(
    together: Parabola, apart: Sequence[Parabola] | None, times: Array, setups: int
) -> list[str]:
    noise = _noise(apart) if apart is not None else Squares(together.scatter**2, together.freedom)
    notes = [
        f"heights scatter about the parabola by {write_difference(math.sqrt(noise.value), 'm')};"
        " the jet's spread from shot to shot stays as the study has it",
    ]
    if together.square == 0.0:
        notes = ["all heights lie on the parabola: they are too coarse to show how sure its top is"]
    elif apart is None and setups > 1:
        notes.append(
            "set-ups are taken together, for not each has a parabola of its own: where their jets"
            " differ, height and time are less sure than is said here"
        )
    elif apart is None:
        notes.append(
            "the set-up spread that is written is the uncertainty of this one series: it does not"
            " tell how the jet of the next set-up comes out"
        )
    if np.ptp(times) < 0.25 * together.top[1]:
        notes.append("the delays lie close together, so that height and time are known poorly")
    return notes


Told = tuple[list[Number], dict[str, str], list[str]]


def _of_one(target: Subject, old: float, found: Parabola, axis: int) -> Told:
    """Return height or time of the top of one parabola."""
    value, doubt = float(found.top[axis]), float(found.doubts[axis])
    mean = student(value, doubt, found.freedom)
    number = _mean(target, old, mean)
    parts = {"nominal": target.value(value)}
    if doubt > 0.0:
        parts["setup"] = target.spread(doubt, "setup", value)
    return [number], parts, []


def _of_several(target: Subject, old: float, apart: Sequence[Parabola], axis: int) -> Told:
    """Return height or time of the tops of several set-ups, and how far it strays among them."""
    tops = np.array([one.top[axis] for one in apart])
    # A top is as sure as the mean of so many readings of it.
    sizes = np.array([1.0 / one.cofactors[axis, axis] for one in apart])
    mean = type_a(tops)
    spread = between_setups(tops, sizes, _noise(apart))
    target = settled_at(target, mean.estimate.value)
    size = settled(spread, target.setup, freedom=len(tops) - 1)
    value = mean.estimate.value
    numbers = [
        _mean(target, old, mean),
        Number(
            f"{target.key}, sd from {LEVELS}",
            target.unit,
            spread,
            old=target.setup,
            place=f"{target.key}, setup" if size is not None else "",
            spread=True,
        ),
    ]
    parts = {"nominal": target.value(value)}
    if size is not None:
        parts["setup"] = target.spread(size, "setup", value)
    return numbers, parts, [f"{target.key}: {one}" for one in kept(spread, size, LEVELS)]


def _noise(apart: Sequence[Parabola]) -> Squares:
    """Return the mean square about the parabolas of all set-ups [m2]."""
    freedom = sum(one.freedom for one in apart)
    return Squares(sum(one.square for one in apart) / freedom, freedom)


def _mean(target: Subject, old: float, mean: Mean) -> Number:
    return Number(
        target.key,
        target.unit,
        mean.estimate,
        uncertainty=mean.uncertainty,
        old=old,
        place=f"{target.key}, nominal",
    )


def _times(study: Study, chain: Chain, readings: Sequence[Reading], place: Place) -> Array | None:
    """Return when each frame was lit, counted from the first drop's landing (n,) [s]."""
    known: dict[tuple[str, float], float] = {}
    found, good = [], True
    for one in readings:
        how = (one.start, one.delay or 0.0)
        if how not in known:
            rig = with_values(study, {"timer.start": how[0], "timer.delay": how[1]})
            shot = nominal_shot(rig, chain)
            known[how] = single(shot, "flash_time") - single(shot, "first_landing")
        after = known[how]
        found.append(after)
        if math.isnan(after):
            wrong = "the beam of this study sees no drop"
            place(one.line, "start", wrong, "mend the study, or check what started it")
            good = False
        elif after <= 0.0:
            early = write_difference(-after, "s")
            wrong = f"the light falls {early} before the study's first drop lands"
            place(one.line, "delay", wrong, "check the delay and what started it")
            good = False
        if one.value < 0.0:
            wrong = f"{write_value(one.value, 'm')} is under the surface"
            place(one.line, "value", wrong, "write the height of the jet's tip over it")
            good = False
    return np.array(found) if good else None


def _study_value(study: Study, chain: Chain, key: str) -> float:
    """Return the height or the time of the top where nothing strays."""
    if study.entries[key].nominal is not None:
        return study.number(key)
    shot = nominal_shot(study, chain)
    if key == HEIGHT:
        return single(shot, "jet_top")
    return single(shot, "jet_peaks") - single(shot, "first_landing")
