"""Streaks of a falling drop's glint: how long the flash's light lasts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.fit.components import Components, Mean, separate
from jitter.answers.fit.found import Finding, Number, counted, settled
from jitter.answers.fit.frames import single_drop
from jitter.answers.fit.subjects import subject, write_toml
from jitter.answers.intervals import Estimate
from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.records.faults import Place
from jitter.records.measurements import STREAK, Reading
from jitter.stage import Chain
from jitter.stages.flash import TABLED
from jitter.stages.streak import duration_from_streak
from jitter.study.rewriting import NewValue
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_number, write_power, write_value

SCALE, TABLE, POWER = "flash.duration_scale", "flash.tenth_durations", "flash.power"
BESIDE = ("flash.half_durations", "flash.full_duration")
LIMITS = (1e-7, 1.0)
"""Durations that a table takes [s]."""


@dataclass(frozen=True)
class Lasting:
    """The light at one power.

    Attributes
    ----------
    power
        Share of the full energy.
    mean
        Of its duration t0.1 [s].
    expected
        The study's [s].
    """

    power: float
    mean: Mean
    expected: float


def fit_streaks(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    reading: float,
    source: str,
    place: Place,
) -> Finding:
    """Turn streaks into a table of durations, or into the scale of the flash's own curve.

    Two powers or more, between which the study's own lies, make a table; otherwise the scale
    follows, so that the curve of the flash's kind passes through the mean.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        Of streaks.
    reading
        Standard deviation of reading a streak on the sensor [m], 0 where it is not known.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    setups = len({one.setup for one in readings})
    durations = _durations(study, chain, readings, place)
    if durations is None:
        return Finding(STREAK, len(readings), setups)
    powers = sorted({one.power for one in readings if one.power is not None})
    lasting = []
    for power in powers:
        own = durations[[one.power == power for one in readings]]
        found = separate([own])
        lasting.append(Lasting(power, found.mean, _expected(study, chain, power)))
    inside = powers[0] <= study.number(POWER) <= powers[-1]
    tabled = len(powers) > 1 and inside
    numbers = [_told(one, tabled=tabled) for one in lasting]
    notes = [] if all(one.glint is not None for one in readings) else [_GLINT]
    basis = f"{counted(len(readings), 'streak')} in {source}"
    # About a table, each power has a level of its own; about the curve they have one together.
    middles = {one.power: one.mean.estimate.value if tabled else one.expected for one in lasting}
    shares = durations / np.array([middles[one.power or 1.0] for one in readings])
    groups = _alike(readings, shares, tabled=tabled)
    known = 0.0
    if reading > 0.0:
        known = float(np.mean((reading * shares / _lengths(study, readings)) ** 2))
    found = separate(groups, known_shot=known)
    old = study.number(SCALE)
    if tabled:
        values = [_table(lasting, old, basis)]
        new = old
        notes.append("the table stands in the place of the curve of the flash's kind")
    else:
        new = old * found.mean.estimate.value
        values = [NewValue(SCALE, {"nominal": write_toml(new, "1")}, basis)]
        if len(powers) > 1:
            notes.append(
                f"the study's power, {write_power(study.number(POWER))}, lies outside those"
                " measured: the scale of its curve follows, not a table"
            )
        numbers.append(_scaled(SCALE, found.mean, old))
    more, parts = _spread(study, found, new, _doubt(found, groups, tabled=tabled), reading > 0.0)
    numbers += more
    if found.within is not None and found.within.value == 0.0:
        notes.append(_COARSE)
    elif found.within is not None and not reading:
        notes.append(_UNSTATED)
    if parts:
        values = _joined(values, NewValue(SCALE, parts, basis))
    return Finding(STREAK, len(readings), setups, tuple(numbers), tuple(values), tuple(notes))


_GLINT = (
    "no glint at rest is given for some streaks, and none is taken off: the light comes out longer"
    " than it is"
)
_COARSE = "all streaks are alike: they are too coarse to show how far the light strays"
_UNSTATED = (
    "the scatter is mostly that of reading streaks, which was not stated, and is not written: state"
    " it with --reading 'streak=sd …' to have it taken off"
)


def _durations(
    study: Study, chain: Chain, readings: Sequence[Reading], place: Place
) -> Array | None:
    # Any light will do: only the fall of the first drop is asked for.
    drop = single_drop(study, chain, start="valve", delay=study.number("valve.latency"))
    magnification = single(nominal_shot(study, chain), "magnification")
    lengths, good = _lengths(study, readings), True
    found = np.zeros(len(readings))
    for at, (one, length) in enumerate(zip(readings, lengths, strict=True)):
        if one.place is None or not drop.falls_to(one.place):
            wrong = "the drop is not between the surface and the nozzle"
            place(one.line, "place", wrong, "write its height over the surface")
            good = False
            continue
        duration = duration_from_streak(
            streak_length=np.array(length),
            glint_length=np.array(_scale(study, one) * (one.glint or 0.0)),
            magnification=np.array(magnification),
            speed=np.array(drop.speed_at(one.place)),
        )
        found[at] = float(duration)
        if not LIMITS[0] <= found[at] <= LIMITS[1]:
            wrong = f"it would be a light of {write_value(found[at], 's')}"
            place(one.line, "value", wrong, "check the unit of streak and glint")
            good = False
    return found if good else None


def _scale(study: Study, reading: Reading) -> float:
    return study.number("camera.pixel") if reading.pixels else 1.0


def _lengths(study: Study, readings: Sequence[Reading]) -> Array:
    """Return the lengths of the streaks on the camera's sensor, (n,) [m]."""
    return np.array([_scale(study, one) * one.value for one in readings])


def _expected(study: Study, chain: Chain, power: float) -> float:
    shot = nominal_shot(with_values(study, {POWER: power}), chain)
    return single(shot, "flash_duration")


def _told(lasting: Lasting, *, tabled: bool) -> Number:
    name = f"t0.1 at {write_power(lasting.power)}"
    mean, place = lasting.mean, f"{TABLE}, nominal" if tabled else ""
    return Number(
        name,
        "s",
        mean.estimate,
        uncertainty=mean.uncertainty,
        old=lasting.expected,
        place=place,
    )


def _scaled(key: str, mean: Mean, old: float) -> Number:
    value, ends = old * mean.estimate.value, (mean.estimate.low, mean.estimate.high)
    return Number(
        key,
        "1",
        Estimate(value, old * ends[0], old * ends[1]),
        uncertainty=old * mean.uncertainty,
        old=old,
        place=f"{key}, nominal",
    )


def _table(lasting: Sequence[Lasting], scale: float, basis: str) -> NewValue:
    pairs = [
        f'["{write_power(one.power)}", {write_toml(one.mean.estimate.value / scale, "s")}]'
        for one in lasting
    ]
    return NewValue(TABLE, {"nominal": f"[{', '.join(pairs)}]"}, basis, BESIDE)


def _alike(readings: Sequence[Reading], shares: Array, *, tabled: bool) -> list[Array]:
    """Return shares by set-up, and about a table by power too."""
    groups: dict[tuple[str, float | None], list[float]] = {}
    for one, share in zip(readings, shares, strict=True):
        groups.setdefault((one.setup, one.power if tabled else None), []).append(float(share))
    return [np.array(group) for group in groups.values()]


def _doubt(found: Components, groups: Sequence[Array], *, tabled: bool) -> float:
    """Return how sure the curve's scale is, or the table at its least sure power, as a share."""
    if not tabled:
        return found.mean.uncertainty / found.mean.estimate.value
    if found.within is None or found.within.value == 0.0:
        return math.inf
    return math.sqrt(found.within.value / min(len(group) for group in groups))


def _spread(
    study: Study, found: Components, nominal: float, known: float, stated: bool
) -> tuple[list[Number], dict[str, str]]:
    """Return how far the duration strays, as the study shall say it."""
    target, shot = subject(study, SCALE), found.shot
    # As well as a table of one's own holds, or as well as the mean is known.
    doubt = max(TABLED.size, known) if math.isfinite(known) else TABLED.size
    parts = {"setup": f'"lognormal sd {write_number(doubt)}"'}
    if shot is None or found.within is None:
        return [], parts
    share = nominal / found.mean.estimate.value
    own = Estimate(share * shot.value, share * shot.low, share * shot.high)
    finite = stated and math.isfinite(shot.high)
    size = settled(own, target.shot, freedom=found.within.freedom) if finite else None
    if size is not None:
        parts["shot"] = target.spread(size, "shot", nominal)
    place = f"{SCALE}, shot" if size is not None else ""
    name = f"{SCALE}, sd from shot to shot"
    return [Number(name, "1", own, old=target.shot, place=place, spread=True)], parts


def _joined(values: list[NewValue], more: NewValue) -> list[NewValue]:
    """Return new values with the parts of one more."""
    for at, one in enumerate(values):
        if one.key == more.key:
            joined = NewValue(one.key, {**one.parts, **more.parts}, one.basis, one.instead)
            return [*values[:at], joined, *values[at + 1 :]]
    return [*values, more]
