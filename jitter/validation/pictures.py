"""Blur against transfer functions and a thin lens."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.stages import camera
from jitter.stages.camera import DIFFRACTION_WEIGHT, MOTION_WEIGHT, PAIR_WEIGHT
from jitter.stages.pulse import DECAY, SWITCH_OFF, quenched, voltage_controlled
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.lenses import drawn
from jitter.validation.rig import work
from jitter.validation.transfers import (
    airy,
    aperture,
    cut_exponential,
    dimmed,
    disc,
    halved,
    pair,
    streak,
)

DISC = halved(disc, 1.2)
STREAK = halved(streak, 0.99)
DIGITS = Claim(2e-4, "the digits kept in the constant")
PRODUCT = Claim(0.08, "the documentation: within 8 % of the product of transfer functions")
TWICE = Claim(0.05, "the largest over all lengths, where both parts are alike")
LONGER = Claim(0.225, "the documentation: 0 to 22 %")
FOCAL, WORKING = 0.105, 13.0 * 1.4


def off_focus(metres: float) -> Array:
    """Return where the drops go if the second is so far towards the camera [m]."""
    scatter = np.zeros((2, 2, 1, 1))
    scatter[1, 1] = metres
    return scatter


def _sums() -> list[tuple[str, float, float]]:
    """Return root-sums of squares and the disc of the same MTF50 as the product of three."""

    def same(moved: float, defocus: float, diffraction: float) -> float:
        def product(frequency: float) -> float:
            both = streak(frequency * moved) * disc(frequency * defocus)
            return both * aperture(frequency * diffraction)

        # The first of the three to reach zero bounds the search.
        return DISC / halved(product, 0.999 * min(1.0 / moved, 1.2197 / defocus, 1.0 / diffraction))

    def summed(moved: float, defocus: float, diffraction: float) -> float:
        parts = (MOTION_WEIGHT * moved, defocus, DIFFRACTION_WEIGHT * diffraction)
        return float(np.linalg.norm(parts))

    return [
        (what, summed(*parts), same(*parts))
        for what, parts in (
            ("streak and disc alike", (1.0, 1.0, 0.05)),
            ("all three alike", (1.0, 1.0, 0.6)),
            ("streak twice the disc", (2.0, 1.0, 0.3)),
            ("disc twice the streak", (1.0, 2.0, 0.3)),
        )
    ]


def _pairs() -> list[tuple[str, float, float]]:
    """Return smears of two flashes, and the streak of the same MTF50 as the product [m]."""

    def same(length: float, gap: float) -> float:
        def product(frequency: float) -> float:
            return streak(frequency * length) * pair(frequency * gap)

        return MOTION_WEIGHT * STREAK / halved(product, 0.999 * min(1.0 / length, 0.5 / gap))

    rows = []
    for duration, gap in ((40e-6, 5e-6), (40e-6, 22e-6), (40e-6, 60e-6), (10e-6, 60e-6)):
        made: Any = work(
            camera.STAGE,
            rim_speed=np.array([[2.0]]),
            age=np.array([[0.004]]),
            magnification=np.array([[0.4]]),
            flash_duration=np.array([[duration]]),
            flash_gap=np.array([[gap]]),
        )
        what = f"{1e6 * duration:g} µs of light, {1e6 * gap:g} µs apart"
        # On the sensor an edge moves at 0.4 × 2 m/s.
        rows.append((what, float(made.motion_blur.item()), same(0.8 * duration, 0.8 * gap)))
    return rows


def _durations() -> list[tuple[str, float, float]]:
    """Return t0.1 of quenched pulses, and the even light of the same MTF50 [s]."""

    def even(cut: float) -> float:
        return STREAK / halved(lambda rate: cut_exponential(rate, cut), 1.2 / min(cut, 3.0))

    rows = []
    for power in (1.0, 0.9, 0.8, 0.5, 1 / 64):
        cut = -float(np.log1p(-power)) if power < 1.0 else 40.0
        made = quenched(np.array(power))
        rows.append((f"power {power:.4g}", float(made.tenth) - SWITCH_OFF, DECAY * even(cut)))
    return rows


def _thin_disc(shift: float) -> float:
    """Return the disc of a point nearer than the plane of focus, by a thin lens [m]."""
    distance, image = FOCAL * (1.0 + 1.0 / 0.4), FOCAL * 1.4
    nearer = 1.0 / (1.0 / FOCAL - 1.0 / (distance - shift))
    return abs(nearer - image) / nearer * FOCAL / 13.0


def _depths() -> tuple[Check, ...]:
    """Return the checks of what is out of focus."""

    def seen(**changes: Any) -> Any:
        return work(
            camera.STAGE,
            magnification=np.array([[0.4]]),
            working_aperture=np.array([[WORKING]]),
            camera_focus=np.zeros((1, 1)),
            **changes,
        )

    near = seen(valve_scatter=off_focus(0.001))
    wanted = seen(valve_scatter=off_focus(0.001), keeper_depth=0.005)
    alone = float(np.sqrt(wanted.depth_blur.item() ** 2 - wanted.diffraction_blur.item() ** 2))
    limit = 0.5 * float(drawn(magnification=0.4, aperture=13.0).depth_of_field.item())
    edge = float(seen(valve_scatter=off_focus(limit)).defocus_blur.item())
    first_order = "first order in the shift over the distance of 0.37 m"
    return (
        *many(
            [
                (
                    "1 mm off, 0.4 of life size, f/13, 105 mm",
                    float(near.defocus_blur.item()),
                    _thin_disc(0.001),
                )
            ],
            stage="picture",
            series="defocus",
            unit="m",
            claim=Claim(0.01, first_order),
            source="a thin lens, 1/f = 1/a + 1/b, in full",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("1 mm off and 5 mm to either side of it", alone, _thin_disc(0.006))],
            stage="picture",
            series="defocus at the end of the wanted depth",
            unit="m",
            claim=Claim(0.02, first_order),
            source="a thin lens, 1/f = 1/a + 1/b, in full, 6 mm off",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("0.4 of life size, f/13", edge, 30e-6)],
            stage="picture",
            series="defocus at the end of the depth of field",
            unit="m",
            claim=EXACT,
            source="the circle of confusion, 36 mm/1200, by its definition",
            known=Known.CLOSED_FORM,
        ),
    )


def picture_checks() -> tuple[Check, ...]:
    """Return the checks of the picture."""
    made: Any = work(
        camera.STAGE,
        magnification=np.array([[0.4]]),
        rim_speed=np.array([[2.0]]),
        age=np.array([[0.004]]),
        flash_duration=np.array([[40e-6]]),
    )
    lowered = voltage_controlled(np.array(1.0), np.array(1e-3))
    return (
        *many(
            [
                ("streak as a disc", MOTION_WEIGHT, DISC / STREAK),
                ("diffraction as a disc", DIFFRACTION_WEIGHT, DISC / halved(aperture, 0.99)),
                ("the same from Airy's pattern", DIFFRACTION_WEIGHT, DISC / halved(airy, 0.9)),
                ("pair of points as a streak", PAIR_WEIGHT, STREAK / halved(pair, 0.49)),
            ],
            stage="picture",
            series="blurs of equal MTF50",
            claim=DIGITS,
            source=(
                "sinc, 2 J₁(x)/x, (2/π)(arccos s - s √(1 - s²)), quadrature of (2 J₁(v)/v)² and"
                " |cos|, each at one half"
            ),
            known=Known.CLOSED_FORM,
        ),
        *many(
            _sums(),
            stage="picture",
            series="blur by the root of the sum of squares",
            claim=PRODUCT,
            source="disc of the same MTF50 as the product of the three",
            known=Known.CLOSED_FORM,
        ),
        *many(
            _pairs(),
            stage="picture",
            series="smear by two flashes",
            unit="m",
            claim=TWICE,
            source="streak of the same MTF50 as the product of sinc and |cos|, as a disc",
            known=Known.CLOSED_FORM,
        ),
        *many(
            _durations(),
            stage="picture",
            series="t0.1 as the length of a streak",
            unit="s",
            claim=LONGER,
            source="even light of the same MTF50 as an exponential, cut",
            known=Known.CLOSED_FORM,
            note="Only near full power does a quenched flash smear less than its t0.1 says.",
        ),
        *many(
            [
                (
                    "t0.5 of 1 ms",
                    float(lowered.tenth),
                    float(lowered.centroid) * STREAK / halved(dimmed, 3.0),
                )
            ],
            stage="picture",
            series="t0.1 of a voltage-controlled flash as the length of a streak",
            unit="s",
            claim=Claim(0.225, "no more than a quenched one errs the other way"),
            source="even light of the same MTF50 as (1 + t/T)⁻³, an exponential integral",
            known=Known.CLOSED_FORM,
            note="Here t0.1 tells too little: the long tail smears a fifth more.",
        ),
        *_depths(),
        *many(
            [("2 m/s for 40 µs at 0.4", float(made.motion_blur.item()), 32e-6 * MOTION_WEIGHT)],
            stage="picture",
            series="motion",
            unit="m",
            claim=EXACT,
            source="m v t0.1 as a disc",
            known=Known.CLOSED_FORM,
        ),
    )
