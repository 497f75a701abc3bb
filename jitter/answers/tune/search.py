"""The search for settings: interval, sensor height and delay for each start signal."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.tune.delays import DELAY, DelayCurve, delay_curve
from jitter.answers.tune.limits import (
    HEIGHT,
    INTERVAL,
    START,
    WHOLE_LIFE,
    Limits,
    clamped,
    makes_sense,
)
from jitter.answers.tune.plateau import choose, losses, rounded_to, slight
from jitter.answers.variants import with_values
from jitter.answers.workers import work_through
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.quantities import Quantity
from jitter.stage import Chain
from jitter.study.study import Nominal, Study

SETTINGS = (START, HEIGHT, INTERVAL, DELAY)
STEPS = {HEIGHT: 1e-3, INTERVAL: 1e-3}
"""What a photographer can set: whole millimetres and milliseconds [SI]."""
COARSE, FINE, HEIGHTS = 11, 15, 7
FEW = 4
"""All start signals are tried with a part of the set-ups, one in so many, and the best with all."""


@dataclass(frozen=True)
class Bench:
    """What every trial of a setting shares.

    Attributes
    ----------
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots: the same draws for all.
    way
        By which keepers settings are judged, as set or as trimmed.
    free
        The settings that may be changed.
    limits
        How far.
    workers
        Threads.
    tick
        Called after each trial.
    """

    chain: Chain
    layout: Layout
    way: str
    free: tuple[str, ...]
    limits: Limits
    workers: int | None
    tick: Callable[[], None]


@dataclass(frozen=True)
class Tuned:
    """A rig with its best settings for one start signal.

    Attributes
    ----------
    study
        The rig so set.
    shares : array (s,)
        Share of keepers of each set-up in the search.
    """

    study: Study
    shares: Array

    @property
    def rate(self) -> float:
        """The hit rate in the search."""
        return float(self.shares.mean())


def delay_step(window: tuple[float, float]) -> float:
    """Return the step in which a delay is sought: a millisecond, less for a narrow window [s].

    Examples
    --------
    >>> delay_step((0.002, 0.010)), delay_step((0.002, 0.003))
    (0.001, 0.0001)
    """
    fine = 10.0 ** math.floor(math.log10((window[1] - window[0]) / 4.0) + 1e-9)
    return float(f"{min(1e-3, fine):.12g}")


def own_setting(study: Study, key: str) -> Nominal:
    """Return a setting of the user's; None where it has no part in the rig."""
    if key not in study.entries:
        return None
    entry = study.entries[key]
    if not has_part(study, key) and "nominal" not in entry.given:
        return None
    return entry.nominal


def start_of(study: Study) -> Nominal:
    """Return a rig's start signal; None where it has no choice."""
    return study.entries[START].nominal if START in study.entries else None


def has_part(study: Study, key: str) -> bool:
    """Return whether a setting has a part in a rig: a sensor has none where the valve starts."""
    return key in study.entries and not (key == HEIGHT and start_of(study) == "valve")


def allowed(bench: Bench, study: Study) -> bool:
    """Return whether a rig keeps to the limits that the user set, of phase and of reach."""
    ends = {
        INTERVAL: bench.limits.interval if bench.limits.phase != WHOLE_LIFE else None,
        HEIGHT: bench.limits.height if bench.limits.reach_given else None,
    }
    return all(
        end is None or not has_part(study, key) or end[0] <= study.number(key) <= end[1]
        for key, end in ends.items()
    )


def search(bench: Bench, study: Study) -> tuple[Tuned, ...]:
    """Return the best settings, those of the recommended start signal first.

    The user's own start signal is recommended where it loses no more than slightly to the best.

    Parameters
    ----------
    bench
        How.
    study
        The rig.
    """
    part = fewer(bench.layout)
    rough = replace(bench, layout=part)
    starts = bench.limits.starts if START in bench.free else (None,)
    rigs = [study if start is None else _started(bench, study, start) for start in starts]
    found = []
    for rig in rigs:
        near, stretch = _approach(rough, study, rig)
        found.append((_settle(rough, study, near, stretch), near, stretch))
    lost = losses(np.array([tuned.shares for tuned, *_ in found]))

    def rank(place: int) -> tuple[bool, float]:
        same = start_of(rigs[place]) == start_of(study)
        return not (same and slight(lost[place])), lost[place].value

    first, *others = sorted(range(len(rigs)), key=rank)
    settled = _settle(bench, study, *found[first][1:])
    return settled, *(found[place][0] for place in others)


def fewer(layout: Layout) -> Layout:
    """Return the first set-ups of a layout, one in `FEW`, for what needs no more."""
    return replace(layout, setups=max(2, layout.setups // FEW))


def curves(
    bench: Bench, studies: Sequence[Study], delays: Sequence[float] | None = None
) -> list[DelayCurve]:
    """Return the delay curve of each study, at a kept delay only where it is kept."""
    if delays is None and DELAY not in bench.free:
        delays = (studies[0].number(DELAY),) if studies else ()

    def work(variant: Study) -> DelayCurve:
        return delay_curve(variant, bench.chain, bench.layout, delays=delays)

    def tick(_done: int, _total: int) -> None:
        bench.tick()

    return list(work_through(work, studies, workers=bench.workers, progress=tick))


def _started(bench: Bench, study: Study, start: str) -> Study:
    """Return a study with another start signal, its sensor where one can stand."""
    values: dict[str, Nominal] = {START: start}
    if bench.limits.height is not None and HEIGHT in bench.free and start != "valve":
        values[HEIGHT] = clamped(study.number(HEIGHT), bench.limits.height)
    return with_values(study, values)


Stretch = tuple[float, float] | None
"""From where to where the interval is worth a closer look."""


def _approach(bench: Bench, own: Study, study: Study) -> tuple[Study, Stretch]:
    """Return a rig with about the best interval, and with its sensor's height chosen for it."""
    ends, stretch = bench.limits.interval, None
    if ends is not None and INTERVAL in bench.free:
        inside = np.linspace(*ends, COARSE + 2)[1:-1]
        tried, shares = _shares(bench, study, INTERVAL, inside, own_setting(own, INTERVAL))
        study = with_values(study, {INTERVAL: tried[int(np.argmax(shares.mean(axis=1)))]})
        near = [each for each, loss in zip(tried, losses(shares), strict=True) if slight(loss)]
        room = float(inside[1] - inside[0])
        stretch = clamped(min(near) - room, ends), clamped(max(near) + room, ends)
    if bench.limits.height is not None and HEIGHT in bench.free and has_part(study, HEIGHT):
        heights = np.linspace(*bench.limits.height, HEIGHTS)
        study = _chosen(bench, study, HEIGHT, heights, own)
    return study, stretch


def _settle(bench: Bench, own: Study, study: Study, stretch: Stretch) -> Tuned:
    """Return a rig with its interval and then its delay chosen."""
    if stretch is not None:
        study = _chosen(bench, study, INTERVAL, np.linspace(*stretch, FINE), own)
    (curve,) = curves(bench, [study])
    if DELAY in bench.free:
        setting = own_setting(own, DELAY)
        (curve,) = curves(bench, [study], _fine_delays(study, curve.delay, setting))
        delay = choose(
            [float(each) for each in curve.delays],
            curve.as_set / curve.shots,
            own=_number(setting),
            step=delay_step(study.window("keeper.age")),
        )
        study = with_values(study, {DELAY: delay})
        (curve,) = curves(bench, [study], (delay,))
    return Tuned(study, curve.shares(bench.way))


def _number(setting: Nominal) -> float | None:
    return float(setting) if isinstance(setting, int | float) else None


def _shares(
    bench: Bench, study: Study, key: str, values: Array, own: Nominal
) -> tuple[list[float], Array]:
    """Return the settings that make sense, the user's among them, and their set-ups' shares."""
    tried = {rounded_to(float(each), STEPS[key]) for each in values}
    setting = _number(own)
    if setting is not None and min(values) <= setting <= max(values):
        tried.add(setting)
    possible = [
        each for each in sorted(tried) if makes_sense(with_values(study, {key: each}), bench.chain)
    ]
    possible = possible or [study.number(key)]
    found = curves(bench, [with_values(study, {key: each}) for each in possible])
    return possible, np.array([curve.shares(bench.way) for curve in found])


def _chosen(bench: Bench, study: Study, key: str, values: Array, own: Study) -> Study:
    setting = own_setting(own, key)
    tried, shares = _shares(bench, study, key, values, setting)
    chosen = choose(tried, shares, own=_number(setting), step=STEPS[key])
    return with_values(study, {key: chosen})


def _fine_delays(study: Study, centre: float, own: Nominal) -> list[float]:
    window, declared = study.window("keeper.age"), study.entries[DELAY].declaration
    step, width = delay_step(window), window[1] - window[0]
    least = declared.lower if isinstance(declared, Quantity) else 0.0
    count = round(0.5 * width / step)
    tried = {rounded_to(centre + place * step, step) for place in range(-count, count + 1)}
    setting = _number(own)
    if setting is not None and abs(setting - centre) <= 0.5 * width:
        tried.add(setting)
    return sorted(each for each in tried if each >= least) or [least]
