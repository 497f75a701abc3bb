"""Around the best settings: how far each may go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jitter.answers.hits import WAYS
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL
from jitter.answers.tune.plateau import Slack, find_slack
from jitter.answers.tune.settings import STEPS, delay_step, has_part
from jitter.answers.variants import with_values
from jitter.answers.workers import work_through
from jitter.quantities import Quantity
from jitter.study.study import Study

WINDOWS = 5.0
"""The slack of the delay is sought over so many widths of the window."""


def every_slack(bench: Bench, best: Study) -> dict[str, dict[str, Slack]]:
    """Return how far each setting may go while the others stay, by setting and both ways.

    Parameters
    ----------
    bench
        Points and limits.
    best
        The rig with its best settings.
    """
    step = {**STEPS, DELAY: delay_step(best.window("keeper.age"))}
    ends = _ends(bench, best)
    alone = replace(bench, workers=1)

    def work(key: str) -> dict[str, Slack]:
        def slack(way: str) -> Slack:
            def losses(values: Sequence[float]) -> list[float]:
                tried = [best, *(with_values(best, {key: value}) for value in values)]
                whole, *others = alone.rates(best, tried, (way,))
                return [whole.above(other, way).value for other in others]

            return find_slack(losses, centre=best.number(key), step=step[key], limits=ends[key])

        return {way: slack(way) for way in WAYS}

    return dict(zip(ends, work_through(work, list(ends), workers=bench.workers), strict=True))


def _ends(bench: Bench, best: Study) -> dict[str, tuple[float, float]]:
    """Return as far as each setting that has a part can go."""
    low, high = best.window("keeper.age")
    reach = WINDOWS * (high - low)
    ends: dict[str, tuple[float, float]] = {}
    for key in (HEIGHT, INTERVAL, DELAY):
        declared = best.entries[key].declaration if has_part(best, key) else None
        if not isinstance(declared, Quantity):
            continue
        at = best.number(key)
        far = {
            HEIGHT: bench.limits.height or (at, at),
            INTERVAL: bench.limits.interval or (at - reach, at + reach),
            DELAY: (at - reach, at + reach),
        }[key]
        ends[key] = (max(min(far[0], at), declared.lower), min(max(far[1], at), declared.upper))
    return ends
