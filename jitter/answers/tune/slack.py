"""Around the best settings: how far each may go, and the map of delay against interval."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from jitter.answers.hits import WAYS, Hits, count_hits, difference
from jitter.answers.tune.delays import DELAY, delay_curve
from jitter.answers.tune.limits import HEIGHT, INTERVAL
from jitter.answers.tune.plateau import PlateauMap, Slack, draw_map, find_end
from jitter.answers.tune.search import STEPS, Bench, curves, delay_step, fewer, has_part, start_of
from jitter.answers.variants import with_values
from jitter.answers.workers import work_through
from jitter.quantities import Quantity
from jitter.study.study import Study

MAP = (15, 33)
"""Intervals and delays of the map."""
WINDOWS = 5.0
"""The slack of the delay is sought over so many widths of the window."""
VALLEY = 0.015
"""The map shows so much of the interval either way at the least, where the jet lets it [s]."""


def find_slack(bench: Bench, best: Study) -> dict[str, dict[str, Slack]]:
    """Return how far each setting may go while the others stay, by setting and both ways.

    Parameters
    ----------
    bench
        Draws and limits.
    best
        The rig with its best settings.
    """
    width = best.window("keeper.age")[1] - best.window("keeper.age")[0]
    step = {**STEPS, DELAY: delay_step(best.window("keeper.age"))}
    ends: dict[str, tuple[float, float]] = {}
    for key in (HEIGHT, INTERVAL, DELAY):
        declared = best.entries[key].declaration if has_part(best, key) else None
        if not isinstance(declared, Quantity):
            continue
        low, high = best.number(key) - WINDOWS * width, best.number(key) + WINDOWS * width
        if key == INTERVAL and bench.limits.interval is not None:
            low, high = bench.limits.interval
        elif key == HEIGHT:
            low, high = bench.limits.height or (best.number(key),) * 2
        at = best.number(key)
        ends[key] = (max(min(low, at), declared.lower), min(max(high, at), declared.upper))
    whole = count_hits(best, bench.chain, bench.layout, workers=1)

    def work(key: str) -> dict[str, Slack]:
        fired: dict[float, Hits] = {}

        def loss(value: float, way: str) -> float:
            if value not in fired:
                variant = with_values(best, {key: value})
                fired[value] = count_hits(variant, bench.chain, bench.layout, workers=1)
                bench.tick()
            return difference(whole, fired[value], way).value

        def slack(way: str) -> Slack:
            low, high = (
                find_end(
                    lambda value: loss(value, way),
                    centre=best.number(key),
                    step=step[key],
                    limit=end,
                )
                for end in ends[key]
            )
            return Slack(low, high)

        return {way: slack(way) for way in WAYS}

    return dict(zip(ends, work_through(work, list(ends), workers=bench.workers), strict=True))


def map_plateau(
    bench: Bench, study: Study, best: Study, slack: dict[str, dict[str, Slack]]
) -> PlateauMap:
    """Return the map about the best settings, the user's on it where they are near.

    Parameters
    ----------
    bench
        Draws and limits; a part of the set-ups serves.
    study
        The rig as it is set.
    best
        The rig with its best settings.
    slack
        Of each of them.
    """
    bench = replace(bench, layout=fewer(bench.layout))
    at, delay = best.number(INTERVAL), best.number(DELAY)
    as_set, as_trimmed = slack[INTERVAL]["as_set"], slack[INTERVAL]["as_trimmed"]
    low, high = (
        at + sign * 1.3 * max(abs(one.value - at), min(abs(two.value - at), VALLEY), 0.002)
        for sign, one, two in (
            (-1.0, as_set.low, as_trimmed.low),
            (1.0, as_set.high, as_trimmed.high),
        )
    )
    own, own_delay = study.number(INTERVAL), study.number(DELAY)
    width = best.window("keeper.age")[1] - best.window("keeper.age")[0]
    near = abs(own - at) <= 2.0 * VALLEY and abs(own_delay - delay) <= 2.0 * width + VALLEY
    shown = near and start_of(study) == start_of(best)
    if shown:
        low, high = min(low, own - 0.001), max(high, own + 0.001)
    low = max(low, 0.001)
    # As the interval changes, the best delay may go with it, and the map goes along.
    ends = [
        delay_curve(with_values(best, {INTERVAL: end}), bench.chain, bench.layout).delay
        for end in (low, high)
    ]

    def middle(interval: float) -> float:
        return float(np.interp(interval, (low, at, high), (ends[0], delay, ends[1])))

    ruler = slack[DELAY]["as_set"]
    room = [max(1.5 * abs(end.value - delay), 0.6 * width) for end in (ruler.low, ruler.high)]
    if shown:
        off = own_delay - middle(own)
        room = [max(room[0], 1.1 * -off), max(room[1], 1.1 * off)]
    offsets = np.linspace(-room[0], room[1], MAP[1])
    intervals = [float(each) for each in np.linspace(low, high, MAP[0])]
    bands = [middle(each) + offsets for each in intervals]
    # No delay is negative.
    bands = [np.linspace(max(band[0], 0.0), band[-1], MAP[1]) for band in bands]
    found = [
        delay_curve(
            with_values(best, {INTERVAL: each}),
            bench.chain,
            bench.layout,
            delays=[float(one) for one in band],
        )
        for each, band in zip(intervals, bands, strict=True)
    ]
    (whole,) = curves(bench, [best], (delay,))
    return draw_map(found, intervals, whole.shares("as_set"))
