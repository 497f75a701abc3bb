"""The search for settings: the sensor's height, then interval and delay, for each start signal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.effort import Rated
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import DELAY, Delays, at_delays
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START, clamped, makes_sense
from jitter.answers.tune.mapped import Mapped, Stretch, lay_map
from jitter.answers.tune.plateau import choose, losses, rounded_to, slight
from jitter.answers.tune.settings import STEPS, delay_step, has_part, own_setting, start_of
from jitter.answers.variants import with_values
from jitter.study.study import Nominal, Study

COARSE, FINE, HEIGHTS = 11, 15, 7
"""Intervals tried at first and once more, and heights."""


@dataclass(frozen=True)
class Tuned:
    """A rig with its best settings for one start signal.

    Attributes
    ----------
    study
        The rig so set.
    rated
        Its hit rate in the search, by the way it is judged.
    mapped
        The map on which interval and delay were chosen, if they were chosen together.
    """

    study: Study
    rated: Rated
    mapped: Mapped | None = None


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
    rough = bench.fewer()
    starts = bench.limits.starts if START in bench.free else (None,)
    rigs = [study if start is None else _started(bench, study, start) for start in starts]
    near = [_approach(rough, study, rig) for rig in rigs]
    found = [
        _with_delay(rough, study, _with_interval(rough, study, rig, stretch))
        for rig, stretch in near
    ]
    lost = losses([tuned.rated for tuned in found], bench.way)

    def rank(place: int) -> tuple[bool, float]:
        same = start_of(rigs[place]) == start_of(study)
        return not (same and slight(lost[place])), lost[place].value

    first, *others = sorted(range(len(rigs)), key=rank)
    return _settle(bench, study, *near[first]), *(found[place] for place in others)


def search_again(bench: Bench, study: Study, start: Nominal) -> Tuned:
    """Return the best settings with a start signal that is settled.

    Parameters
    ----------
    bench
        How, and what may still be changed.
    study
        The rig.
    start
        The signal; None in a rig without the choice.
    """
    rig = study if start is None else _started(bench, study, str(start))
    return _settle(bench, study, *_approach(bench.fewer(), study, rig))


def _started(bench: Bench, study: Study, start: str) -> Study:
    """Return a study with another start signal, its sensor where one can stand."""
    values: dict[str, Nominal] = {} if start == start_of(study) else {START: start}
    if bench.limits.height is not None and HEIGHT in bench.free and start != "valve":
        values[HEIGHT] = clamped(study.number(HEIGHT), bench.limits.height)
    return with_values(study, values)


def _approach(bench: Bench, own: Study, study: Study) -> tuple[Study, Stretch]:
    """Return a rig with about the best interval, its sensor's height chosen, and what to map."""
    ends, stretch = bench.limits.interval, None
    if ends is not None and INTERVAL in bench.free:
        inside = np.linspace(*ends, COARSE + 2)[1:-1].tolist()
        tried = _possible(bench, own, study, INTERVAL, inside)
        lost = losses(_judged(bench, study, INTERVAL, tried), bench.way)
        place = int(np.argmin([loss.value for loss in lost]))
        study = with_values(study, {INTERVAL: tried[place]})
        near = [each for each, loss in zip(tried, lost, strict=True) if slight(loss)]
        room = 1.5 * (inside[1] - inside[0])
        stretch = clamped(min(near) - room, ends), clamped(max(near) + room, ends)
    if bench.limits.height is not None and HEIGHT in bench.free and has_part(study, HEIGHT):
        heights = np.linspace(*bench.limits.height, HEIGHTS).tolist()
        tried = _possible(bench, own, study, HEIGHT, heights)
        rated = _judged(bench, study, HEIGHT, tried)
        study = _chosen(bench, own, study, HEIGHT, tried, rated)
    return study, stretch


def _with_interval(bench: Bench, own: Study, study: Study, stretch: Stretch) -> Study:
    """Return a rig with its interval chosen, each tried at the delays that suit it."""
    if stretch is None:
        return study
    tried = _possible(bench, own, study, INTERVAL, np.linspace(*stretch, FINE).tolist())
    return _chosen(bench, own, study, INTERVAL, tried, _judged(bench, study, INTERVAL, tried))


def _settle(bench: Bench, own: Study, study: Study, stretch: Stretch) -> Tuned:
    """Return a rig with interval and delay chosen together on the map, and the delay once more."""
    if stretch is None or DELAY not in bench.free:
        return _with_delay(bench, own, _with_interval(bench, own, study, stretch))
    mapped = lay_map(bench.fewer(), own, study, stretch)
    judged = zip(mapped.intervals, mapped.grid.judged(bench.way), strict=True)
    low, high = bench.limits.interval or stretch
    inside = [(each, one) for each, one in judged if low <= each <= high]
    tried, rated = zip(*inside, strict=True)
    tuned = _with_delay(bench, own, _chosen(bench, own, study, INTERVAL, tried, rated), mapped)
    setting = _number(own_setting(own, INTERVAL))
    if setting is None or setting not in tried:
        return tuned
    # The map rests on few points: whether to move the interval at all is judged by all of them.
    kept = _with_delay(bench, own, with_values(study, {INTERVAL: setting}), mapped)
    best, other = bench.rates(tuned.study, [tuned.study, kept.study], (bench.way,))
    return kept if slight(best.above(other, bench.way)) else tuned


def _with_delay(bench: Bench, own: Study, study: Study, mapped: Mapped | None = None) -> Tuned:
    """Return a rig with its delay chosen."""
    if DELAY in bench.free:
        setting, step = own_setting(own, DELAY), delay_step(study.window("keeper.age"))
        (centre,) = at_delays(bench, [study]).best
        tried = _fine_delays(study, centre, setting, step)
        (row,) = at_delays(bench, [study], np.array([tried])).as_set
        delay = choose(tried, losses(row, "as_set"), own=_number(setting), step=step)
        study = with_values(study, {DELAY: delay})
    (rated,) = bench.rates(study, [study], (bench.way,))
    return Tuned(study, rated, mapped)


def _number(setting: Nominal) -> float | None:
    return float(setting) if isinstance(setting, int | float) else None


def _possible(
    bench: Bench, own: Study, study: Study, key: str, values: Iterable[float]
) -> list[float]:
    """Return the settings that can be set and make sense, rising, the user's among them."""
    values = list(values)
    tried = {rounded_to(each, STEPS[key]) for each in values}
    setting = _number(own_setting(own, key))
    if setting is not None and min(values) <= setting <= max(values):
        tried.add(setting)
    possible = [
        each for each in sorted(tried) if makes_sense(with_values(study, {key: each}), bench.chain)
    ]
    return possible or [study.number(key)]


def _judged(bench: Bench, study: Study, key: str, tried: Sequence[float]) -> Sequence[Rated]:
    """Return the hit rate with each setting at the delay that suits it, or at the one kept."""
    studies = [with_values(study, {key: each}) for each in tried]
    return _at_their_best(bench, studies).judged(bench.way)


def _at_their_best(bench: Bench, studies: Sequence[Study]) -> Delays:
    if DELAY in bench.free:
        return at_delays(bench, studies)
    kept = np.array([[study.number(DELAY)] for study in studies])
    return at_delays(bench, studies, kept)


def _chosen(
    bench: Bench,
    own: Study,
    study: Study,
    key: str,
    tried: Sequence[float],
    rated: Sequence[Rated],
) -> Study:
    setting = _number(own_setting(own, key))
    chosen = choose(tried, losses(rated, bench.way), own=setting, step=STEPS[key])
    return with_values(study, {key: chosen})


def _fine_delays(study: Study, centre: float, own: Nominal, step: float) -> list[float]:
    low, high = study.window("keeper.age")
    count = round(0.5 * (high - low) / step)
    tried = {rounded_to(centre + place * step, step) for place in range(-count, count + 1)}
    setting = _number(own)
    if setting is not None and abs(setting - centre) <= 0.5 * (high - low):
        tried.add(setting)
    return sorted(each for each in tried if each >= 0.0) or [0.0]
