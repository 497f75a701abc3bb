"""How long a flash's light lasts: levels, several flashes, other units, a glint's streak."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from jitter.arrays import Array
from jitter.stages import flash
from jitter.stages.pulse import (
    DECAY,
    SWITCH_OFF,
    Pulse,
    full_discharge,
    quenched,
    voltage_controlled,
)
from jitter.stages.streak import duration_from_streak
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.flashes import POWERS
from jitter.validation.rig import work

# Another small flash's table as its manual prints it: one over t0.5 [1/s], by `POWERS`.
OTHER = (1042.0, 1136.0, 2857.0, 5714.0, 10000.0, 18182.0, 25000.0, 40000.0)

MAGNIFICATION, SPEED = 0.4, 2.4
GLINT = 0.375
"""Length of a glint over that of the streak's t0.1; 18 µm and 48 µm, say."""


def _cut(power: float) -> float:
    """Return after how many decay times a pulse of that share of the light is cut."""
    return -float(np.log1p(-power)) if power < 1.0 else 40.0


def _above(light: Callable[[float], float], level: float, last: float) -> float:
    """Return how long a falling light stays above a share of its peak."""
    if light(last) >= level:
        return last
    return float(brentq(lambda time: light(time) - level, 0.0, last, xtol=1e-15))


def _levels() -> tuple[Check, ...]:
    """Return the checks of t0.5 and t0.1 on drawn pulses."""
    rows = []
    for power in (1.0, 0.95, 0.7, 0.25, 1 / 64):
        made = quenched(np.array(power))
        for name, level, ours in (("t0.5", 0.5, made.half), ("t0.1", 0.1, made.tenth)):
            drawn = _above(lambda time: float(np.exp(-time)), level, _cut(power))
            rows.append((f"{name}, power {power:.4g}", float(ours), SWITCH_OFF + DECAY * drawn))
    # (1 + t/T)^-3 gives half its light up to T; so long is its middle by quadrature in 1/(1 + t).
    nodes, weights = np.polynomial.legendre.leggauss(8)
    share = 0.5 * (1.0 + nodes)
    middle = float((weights * (1.0 - share)).sum() / (weights * share).sum())
    dimmed = voltage_controlled(np.array(1.0), np.array(1e-3))
    clock = 1e-3 / _above(lambda time: (1.0 + time) ** -3, 0.5, 40.0)
    plain = full_discharge(np.array(1e-3))
    tail = np.polynomial.laguerre.laggauss(8)
    return (
        *many(
            rows,
            stage="flash",
            series="t0.5 and t0.1 of a quenched pulse",
            unit="s",
            claim=EXACT,
            source="where a cut e^(-t/τ) falls below the level, by root finding; plus 13.22 µs",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                ("voltage-controlled", float(dimmed.centroid), clock * middle),
                (
                    "full discharge",
                    float(plain.centroid),
                    1e-3
                    / _above(lambda time: float(np.exp(-time)), 0.5, 40.0)
                    * float((tail[0] * tail[1]).sum()),
                ),
            ],
            stage="flash",
            series="centroid of pulses that die away, t0.5 of 1 ms",
            unit="s",
            claim=EXACT,
            source="quadrature of t (1 + t/T)⁻³ and of t e^(-t/τ) over all time",
            known=Known.CLOSED_FORM,
        ),
    )


def _other_units() -> tuple[Check, ...]:
    """Return the checks against what others print of durations."""
    plain: Pulse = full_discharge(np.array(1e-3))
    return (
        *many(
            [
                (
                    f"power 1/{round(1.0 / power)}",
                    float(quenched(np.array(power)).half),
                    1.0 / told,
                )
                for power, told in zip(POWERS, OTHER, strict=True)
            ],
            stage="flash",
            series="duration t0.5 of another small quenched flash",
            unit="s",
            claim=Claim(0.35, "the spread of flash.duration_scale between units"),
            source="Photography Stack Exchange, question 17678 (undated), from a manual, p. H17",
            known=Known.SECOND_HAND,
            note="The curve was not fitted to this unit, but it is one of the same maker's.",
        ),
        *many(
            [("full discharge of 1 ms", float(plain.tenth), 3.0 * 1e-3)],
            stage="flash",
            series="t0.1 by the studio rule, three times t0.5",
            unit="s",
            claim=Claim(0.15, "'approximately', and other makers say up to"),
            source="a flash maker's explanation of 12 March 2007, its name left out",
            known=Known.PUBLISHED,
        ),
    )


def _several() -> tuple[Check, ...]:
    """Return the checks of the centroid of several flashes."""
    nodes, weights = np.polynomial.legendre.leggauss(40)
    cut = _cut(1 / 64)
    times = 0.5 * DECAY * cut * (1.0 + nodes)
    light = weights * np.exp(-times / DECAY)
    alone = float(work(flash.STAGE).flash_time.item())
    rows = []
    for count, apart in ((2, 30e-6), (3, 100e-6), (5, 1e-3)):
        made = work(flash.STAGE, flash_count=float(count), flash_stagger=np.array([[apart]]))
        starts = np.linspace(0.0, apart, count)[:, None]
        middle = float((light * (times + starts)).sum() / (count * light.sum()))
        shift = middle - float((light * times).sum() / light.sum())
        rows.append(
            (
                f"{count} flashes over {1e6 * apart:g} µs",
                float(made.flash_time.item()) - alone,
                shift,
            )
        )
    return many(
        rows,
        stage="flash",
        series="centroid of several flashes, after one's",
        unit="s",
        claim=EXACT,
        source="quadrature of equal pulses, evenly spread from the first to the last",
        known=Known.CLOSED_FORM,
        note="The stage puts half the light first and half last: the middle is the same.",
    )


def _reading(cut: float, level: float, glint: float) -> float:
    """Return the length of a streak where its brightness is above a level, in decay times.

    The glint is a bar of even brightness; it passes every place while the pulse burns.
    """
    given = -np.expm1(-cut)

    def light(place: float) -> float:
        until, since = (min(max(end, 0.0), cut) for end in (place, place - glint))
        return float((np.exp(-since) - np.exp(-until)) / given)

    # Brightest where the glint's far end is just reached, or where the light goes out.
    peak = min(glint, cut)
    wanted = level * light(peak)
    before = brentq(lambda place: light(place) - wanted, 0.0, peak, xtol=1e-15)
    after = brentq(lambda place: light(place) - wanted, peak, cut + glint, xtol=1e-15)
    return float(after - before)


def _streaks() -> tuple[Check, ...]:
    """Return the checks of a duration told from a streak that is drawn for it."""

    def told(length: float, glint: float) -> float:
        scale = MAGNIFICATION * SPEED * DECAY

        def size(decays: float) -> Array:
            return np.array(scale * decays)

        made = duration_from_streak(
            streak_length=size(length),
            glint_length=size(glint),
            magnification=np.array(MAGNIFICATION),
            speed=np.array(SPEED),
        )
        return float(made)

    tenths, halves = [], []
    for power in (1.0, 0.25, 1 / 64):
        cut = _cut(power)
        tenth, half = min(cut, np.log(10.0)), min(cut, np.log(2.0))
        glint = GLINT * tenth
        what = f"power {power:.4g}"
        tenths.append((what, told(_reading(cut, 0.1, glint), glint), DECAY * tenth))
        if power < 0.5:
            halves.append((what, told(_reading(cut, 0.5, glint), 0.0), DECAY * half))
    source = "brightness of a bar drawn along while a cut exponential burns, by root finding"
    return (
        *many(
            tenths,
            stage="flash",
            series="t0.1 told from a streak, a glint 3/8 as long taken off",
            unit="s",
            claim=Claim(0.25 * GLINT, "the streak's dim ends, up to a quarter of the glint"),
            source=source,
            known=Known.CLOSED_FORM,
            note="A streak many times as long as its glint is told better.",
        ),
        *many(
            halves,
            stage="flash",
            series="t0.5 told from a streak, nothing taken off",
            unit="s",
            claim=Claim(0.05, "what the light falls by before it is cut"),
            source=source,
            known=Known.CLOSED_FORM,
            note=(
                "At a half the dim ends are as long as the glint: taking it off too would tell"
                " 38 to 41 % too little."
            ),
        ),
    )


def duration_checks() -> tuple[Check, ...]:
    """Return the checks of durations."""
    return (*_levels(), *_other_units(), *_several(), *_streaks())
