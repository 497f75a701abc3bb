"""A toy rig whose best delay and slack are known in closed form.

Its age is delay - MEETING + e, e normal with a set-up part and a shot part of mean 0; a frame is a
keeper where the age lies in the window. With W half the window and s the deviation of e, a delay
that is x off the best one gives Φ((W - x)/s) - Φ((-W - x)/s), and the best brings the mean age to
the window's middle: delay = middle + MEETING.
"""

from __future__ import annotations

import math
from typing import NamedTuple
from unittest.mock import patch

from scipy.optimize import brentq
from scipy.special import ndtr

from jitter.answers.tune.answer import TuneAnswer, answer_tune
from jitter.answers.tune.plateau import SLIGHT
from jitter.arrays import Array
from jitter.quantities import Kind, sd
from jitter.stage import Chain, Stage
from jitter.stages import trimming
from jitter.study.study import Entry, Study, default_entry
from tests.toy import JUDGE, MS, toy_quantity

MEETING = 300.0 * MS
WINDOW = (2.0 * MS, 10.0 * MS)
HALF = 0.5 * (WINDOW[1] - WINDOW[0])
BEST = MEETING + 0.5 * (WINDOW[0] + WINDOW[1])
SETUP_SD, SHOT_SD = 1.5 * MS, 2.0 * MS
DEVIATION = math.hypot(SETUP_SD, SHOT_SD)


class Age(NamedTuple):
    """The age of the toy."""

    age: Array


def age(*, timer_delay: Array, toy_a: Array, toy_b: Array, delay_correction: Array) -> Age:
    """Return how long after the meeting the light comes."""
    return Age(age=timer_delay + delay_correction - MEETING + toy_a + toy_b)


TIMER = Stage(
    name="timer",
    declares=(
        toy_quantity("delay", key="timer.delay", nominal=0.29, lower=0.0, kind=Kind.MEASURE),
        toy_quantity("a", setup=sd(SETUP_SD)),
        toy_quantity("b", shot=sd(SHOT_SD)),
    ),
    work=age,
)
CHAIN = Chain(stages=(TIMER, JUDGE), trimming=trimming.STAGE)


def rig(delay: float, *, seed: int = 3) -> Study:
    """Return the toy with a delay [s]."""
    entries = {key: default_entry(declared, {}) for key, declared in CHAIN.declarations.items()}
    entries["timer.delay"] = Entry(CHAIN.declarations["timer.delay"], delay)
    entries["keeper.age"] = Entry(CHAIN.declarations["keeper.age"], WINDOW)
    return Study("Toy", seed, entries)


def tuned(study: Study, **parts: object) -> TuneAnswer:
    """Return the answer about a toy; it is given no warnings, having no flash."""
    with patch("jitter.answers.tune.answer.find_warnings", return_value=()):
        return answer_tune(study, CHAIN, **parts)  # type: ignore[arg-type]


def rate(delay: float) -> float:
    """Return the hit rate as set by ruler, in closed form."""
    off = delay - BEST
    return float(ndtr((HALF - off) / DEVIATION) - ndtr((-HALF - off) / DEVIATION))


def slack_end(delay: float, direction: float) -> float:
    """Return where the closed form loses a frame in a hundred against a delay [s]."""

    def excess(off: float) -> float:
        return rate(delay) - rate(delay + direction * off) - SLIGHT

    # Beyond the top of the curve, where moving on gains at first.
    beyond = max(0.0, direction * (BEST - delay))
    found: float = brentq(excess, beyond, beyond + HALF, xtol=1e-9)
    return delay + direction * found
