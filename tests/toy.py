"""Toy chains whose answers are known in closed form, for the package's own answer code.

The timing error is e = a + b + c + d, each input normal with mean 0 at set-up and at shot level,
and a frame is a keeper where |e| < W. Its age is e plus the change of the delay by trimming.
Sizes are told in milliseconds, so that they stay inside the limits of the real trimming stage.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple
from unittest.mock import patch

import numpy as np
from scipy.special import ndtr, ndtri

from jitter.answers.run import RunAnswer, answer_run
from jitter.arrays import Array, Codes
from jitter.quantities import NONE, Basis, Kind, Mark, Quantity, Spread, Window, sd
from jitter.stage import Chain, Stage
from jitter.stages import trimming
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Entry, Study, default_entry

MS = 1e-3
EARLY, LATE = REASONS.index("early"), REASONS.index("late")
INPUTS = ("a", "b", "c", "d")


def toy_quantity(name: str, **parts: Any) -> Quantity:
    """Return the declaration of a toy input; an error of mean 0 unless told otherwise."""
    fixed: dict[str, Any] = {
        "key": f"toy.{name}",
        "meaning": f"toy input {name}",
        "symbol": name,
        "unit": "s",
        "nominal": 0.0,
        "kind": Kind.ERROR,
        "basis": Basis(Mark.ASSUMED, "a toy"),
    }
    return Quantity(**(fixed | parts))


class Sum(NamedTuple):
    """The age of the toy."""

    age: Array


def add_up(
    *,
    toy_a: Array,
    toy_b: Array,
    toy_c: Array,
    toy_d: Array,
    toy_idle: Array,
    delay_correction: Array,
) -> Sum:
    """Return the sum of the inputs; the idle one is read and changes nothing."""
    return Sum(age=toy_a + toy_b + toy_c + toy_d + 0.0 * toy_idle + delay_correction)


class Judged(NamedTuple):
    """The verdict of the toy."""

    reason: Codes


def judge(*, age: Array, keeper_age: tuple[float, float]) -> Judged:
    """Return early, late or keeper."""
    code = np.where(age < keeper_age[0], EARLY, np.where(age > keeper_age[1], LATE, KEEPER))
    return Judged(reason=code.astype(np.uint8))


ADD_UP = Stage(
    name="add up",
    declares=tuple(toy_quantity(name) for name in (*INPUTS, "idle")),
    work=add_up,
)
JUDGE = Stage(
    name="judge",
    declares=(
        Window(
            key="keeper.age",
            meaning="age wanted",
            symbol="W",
            unit="s",
            nominal=(-1.0, 1.0),
            basis=Basis(Mark.ASSUMED, "a toy"),
        ),
    ),
    work=judge,
)
TOY = Chain(stages=(ADD_UP, JUDGE), trimming=trimming.STAGE)


def toy_study(
    *,
    half_width: float,
    setup: Mapping[str, float] | None = None,
    shot: Mapping[str, float] | None = None,
    reading: float = 0.0,
    frames: int = 8,
    step: float = 0.0,
    seed: int = 5,
    chain: Chain = TOY,
) -> Study:
    """Return a study of the toy; every size in milliseconds.

    Parameters
    ----------
    half_width
        W: the keepers' ages lie from -W to W.
    setup, shot
        Standard deviation of each input at each level; no spread where silent.
    reading, frames, step
        Of the trimming.
    seed
        Of the streams.
    chain
        With `TOY`'s declarations and perhaps more.
    """
    entries = {key: default_entry(declared, {}) for key, declared in chain.declarations.items()}

    def put(key: str, nominal: Any, at_setup: Spread = NONE, at_shot: Spread = NONE) -> None:
        entries[key] = Entry(chain.declarations[key], nominal, at_setup, at_shot)

    for name in (*INPUTS, "idle"):
        at_setup, at_shot = (
            sd(MS * level[name]) if level and name in level else NONE for level in (setup, shot)
        )
        put(f"toy.{name}", 0.0, at_setup, at_shot)
    put("keeper.age", (-MS * half_width, MS * half_width))
    put("trim.frames", float(frames))
    put("trim.step", MS * step)
    put("trim.reading", 0.0, at_shot=sd(MS * reading) if reading else NONE)
    return Study("Toy", seed, entries)


def answer_toy(study: Study, **parts: Any) -> RunAnswer:
    """Return the answer to the main question; a toy is given no warnings, having no flash."""
    with patch("jitter.answers.run.find_warnings", return_value=()):
        return answer_run(study, TOY, **parts)


def hit_share(half_width: float, deviation: float) -> float:
    """Return P(|e| < W) = 2 Φ(W/sd) - 1 for e normal with mean 0."""
    return float(2.0 * ndtr(half_width / deviation) - 1.0)


def rate_quantile(share: float, *, between: float, within: float, half_width: float) -> float:
    """Return the quantile of the set-ups' hit rates where b ~ N(0, between²), e|b ~ N(b, within²).

    A set-up's rate falls with |b|, so its quantile is the rate at the upper quantile of |b|:
    P(|b| < x) = 2 Φ(x/between) - 1 = 1 - share.
    """
    shift = between * float(ndtri(1.0 - 0.5 * share))
    return float(ndtr((half_width - shift) / within) - ndtr((-half_width - shift) / within))


def deviation(*sizes: float) -> float:
    """Return the standard deviation of a sum of independent inputs."""
    return math.sqrt(math.fsum(size * size for size in sizes))
