"""Heights of single drops at a fixed delay: how far the valve lets them go early or late."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from jitter.answers.fit.found import Finding, by_setup, counted
from jitter.answers.fit.frames import single_drop
from jitter.answers.fit.lateness import (
    Shown,
    Told,
    scatter,
    setup_of_valve,
    shot_of_valve,
    takes_off,
)
from jitter.records.faults import Place
from jitter.records.measurements import DROP_HEIGHT, Reading
from jitter.stage import Chain
from jitter.study.rewriting import NewValue
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_value

VALVE, BEAM = "valve", "first drop"
LANDED, ASTRAY = 0.005, 0.05
"""So long after the landing there is no drop, and so late or early none is believed [s]."""
BEAM_ALONE = (
    "started by the beam alone, frames say how well beam, timer and flash repeat and nothing of the"
    " valve, so no value is changed: photograph the drop started by the valve too"
)
COARSE_BEAM = (
    "frames started by the beam are too few, or their heights too coarse, to take that error off"
)


def fit_heights(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    reading: float,
    source: str,
    place: Place,
) -> Finding:
    """Turn heights of single drops into the spreads of latency and release speed.

    A drop's height becomes its lateness by the law of its fall. What the study says of the surface,
    the timer and the flash is taken off; frames started by the beam, which the valve's lateness
    does not touch, take off what else there is, reading them included.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        Of single drops.
    reading
        Standard deviation of reading a height [m], 0 where it is not known.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    alike: dict[tuple[str, float], list[Reading]] = {}
    for one in readings:
        alike.setdefault((one.start, one.delay or 0.0), []).append(one)
    shown: list[Shown] = []
    for (start, delay), some in alike.items():
        made = _show(study, chain, some, start=start, delay=delay, reading=reading, place=place)
        shown += [made] if made is not None else []
    setups = len({one.setup for one in readings})
    if len(shown) < len(alike):
        return Finding(DROP_HEIGHT, len(readings), setups)
    valve = [one for one in shown if one.drop.start == VALVE]
    beam = [one for one in shown if one.drop.start == BEAM]
    basis = f"{counted(len(readings), 'frame')} of a single drop in {source}"
    told = Told([scatter(study, one) for one in shown])
    if valve:
        shot_of_valve(study, valve, beam, told)
        main = max(valve, key=lambda one: (len(one.groups), one.count))
        setup_of_valve(study, main, told)
        spread = any(one.series is not None for one in valve)
        if spread and not reading and not takes_off(beam):
            told.notes.append("the spread holds the error of reading the heights, not stated")
            told.notes += [COARSE_BEAM] if beam else []
    else:
        told.notes.append(BEAM_ALONE)
    values = tuple(NewValue(key, part, basis) for key, part in told.parts.items() if part)
    return Finding(
        DROP_HEIGHT, len(readings), setups, tuple(told.numbers), values, tuple(told.notes)
    )


def _show(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    start: str,
    delay: float,
    reading: float,
    place: Place,
) -> Shown | None:
    line = readings[0].line
    if start not in (VALVE, BEAM):
        right = "write valve or first drop"
        place(line, "start", f"a single drop is not started by the {start}", right)
        return None
    if start == BEAM and not _has_beam(study):
        wrong = "the study's beam is not between nozzle and surface"
        place(line, "start", wrong, "mend sensor.height in the study")
        return None
    drop = single_drop(study, chain, start=start, delay=delay)
    when = f"{write_value(delay, 's')} after the {start}"
    if drop.elapsed <= 0.0:
        wrong = f"{when} the drop of this study still hangs at the nozzle"
        place(line, "delay", wrong, "check the delay, the start and the study's valve.latency")
        return None
    if drop.elapsed > drop.landing + LANDED:
        early = write_difference(drop.elapsed - drop.landing, "s")
        wrong = f"{when} the drop of this study has landed {early} ago"
        place(line, "delay", wrong, "check the delay, what started it, and the study")
        return None
    good = True
    for one in readings:
        if not drop.falls_to(one.value):
            wrong = f"{write_value(one.value, 'm')} is not between the surface and the nozzle"
            place(one.line, "value", wrong, "write the height of the drop's lower edge over it")
            good = False
    if not good:
        return None
    late = drop.lateness(np.array([one.value for one in readings]))
    for one, off in zip(readings, late, strict=True):
        if abs(off) > ASTRAY:
            wrong = (
                f"{write_value(one.value, 'm')} is {write_difference(abs(float(off)), 's')}"
                f" {'later' if off > 0.0 else 'earlier'} than the study's drop, which stands at"
                f" {write_value(drop.height, 'm')}"
            )
            place(one.line, "value", wrong, "check its unit, the delay and what started it")
            good = False
    if not good:
        return None
    return Shown(drop, by_setup(readings, [float(off) for off in late]), reading / drop.speed)


def _has_beam(study: Study) -> bool:
    low, high = study.number("pool.level"), study.number("valve.nozzle_height")
    return low < study.number("sensor.height") < high - 0.005
