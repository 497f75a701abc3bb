"""Exposure by flash against photometry: adding up, light in lux seconds, a window's size."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.stages import exposure, regime
from jitter.units.table import SPEEDS
from jitter.validation.checks import Check, Claim, Known, many
from jitter.validation.rig import work

INCIDENT = 250.0
"""The constant of ISO 2720 for a flat receptor [lx s]."""


def exposed(
    *,
    guide: float,
    distance: float = 1.0,
    aperture: float = 1.0,
    iso: float = 100.0,
    power: float = 1.0,
    flashes: float | None = None,
    loss: float = 0.0,
) -> float:
    """Return what the stage makes of a flash, 1 being a right exposure.

    Its root is the right aperture number where the aperture is left at 1, and the right distance
    in metres where the distance is.

    Parameters
    ----------
    guide, distance
        [m].
    aperture
        Working aperture.
    iso, power, flashes, loss
        See `jitter.stages.exposure.exposure`.
    """
    one = np.ones((1, 1))
    made: Any = work(
        exposure.STAGE,
        flash_guide_number=guide * one,
        flash_distance=distance * one,
        flash_loss=loss * one,
        flash_power=power * one,
        flash_energy=one,
        flash_count=flashes,
        camera_iso=iso,
        working_aperture=aperture * one,
    )
    return float(made.exposure.item())


def window_share(distance: float, width: float) -> float:
    """Return the light of a glowing round window over that of its whole light from its middle.

    By quadrature over rings: each gives cos⁴ of the angle under which it is seen.

    Parameters
    ----------
    distance, width
        From the window's middle, straight ahead; of the window [m].
    """
    nodes, weights = np.polynomial.legendre.leggauss(40)
    radius = 0.25 * width * (1.0 + nodes)
    rings = 0.25 * width * weights * 2.0 * np.pi * radius
    slant = distance**2 / (distance**2 + radius**2)
    return float((rings * slant**2).sum() / (0.25 * np.pi * width**2))


def _apex() -> tuple[Check, ...]:
    """Return the checks by adding up steps: Gv + Sv - Av - Dv and what power and loss take."""
    rows = []
    for guide, sensitive, aperture, distance, power, loss, flashes in (
        (10, 5, 6, 2, 0, 0.0, 1),
        (10, 6, 7, -3, -6, 0.0, 1),
        (9, 9, 8, -3, -7, 2.0, 1),
        (10, 6, 6, 0, -5, 1.0, 4),
    ):
        stops = guide + (sensitive - 5) - aperture - distance + power - loss + np.log2(flashes)
        ours = exposed(
            guide=2.0 ** (guide / 2),
            distance=2.0 ** (distance / 2),
            aperture=2.0 ** (aperture / 2),
            iso=100.0 * 2.0 ** (sensitive - 5),
            power=2.0**power,
            flashes=float(flashes),
            loss=loss,
        )
        what = f"Gv {guide}, Sv {sensitive}, Av {aperture}, Dv {distance}, power {power}"
        rows.append((f"{what}, loss {loss:g}, {flashes} fl.", float(np.log2(ours)), float(stops)))
    return many(
        rows,
        stage="exposure",
        series="exposure by adding up (APEX)",
        unit="stop",
        claim=Claim(1e-9, "the same rule in powers of two", relative=False),
        source=(
            "ASA PH2.5-1960: Av = log₂ N², Sv = 5 at ISO 100, as told by Kerr 2007, APEX; Gv and"
            " Dv = log₂ of guide number and distance squared, in metres, by analogy"
        ),
        known=Known.SECOND_HAND,
    )


def _on_one_scale() -> tuple[Check, ...]:
    """Return the checks of flash light against the room's light, which has its own stage."""
    rows = []
    for lux_seconds, distance, number, iso in (
        (1000.0, 1.0, 16.0, 100.0),
        (640.0, 0.3, 18.2, 200.0),
        (16000.0, 4.0, 5.6, 400.0),
    ):
        guide = np.sqrt(lux_seconds * 100.0 / INCIDENT)
        flash = exposed(guide=guide, distance=distance, aperture=number, iso=iso)
        room: Any = work(
            regime.STAGE,
            camera_ambient=lux_seconds / distance**2,
            camera_iso=iso,
            camera_shutter_open=np.ones((1, 1)),
            working_aperture=number * np.ones((1, 1)),
        )
        what = f"guide number {guide:.3g} m, {distance:g} m, f/{number:g}, ISO {iso:g}"
        rows.append((what, float(np.log2(flash)), float(room.ghost_stops.item())))
    return many(
        rows,
        stage="exposure",
        series="flash light and the room's light on one scale",
        unit="stop",
        claim=Claim(1e-9, "the same light", relative=False),
        source="GN = √(Q S/250) for Q lx s at 1 m: H = Q/d² = 250 N²/S, ISO 2720's incident light",
        known=Known.CLOSED_FORM,
        note=(
            "So a guide number of 20 m is 1000 lx s at 1 m. For meters with a dome the constant is"
            " 320 to 540 (from memory): a third to 1.1 stops more light."
        ),
    )


def exposure_checks() -> tuple[Check, ...]:
    """Return the checks of the exposure by photometry."""
    width = 0.07
    falls = [
        (
            f"from {far:g} widths to {near:g}",
            exposed(guide=10.0, distance=near * width) / exposed(guide=10.0, distance=far * width),
            window_share(near * width, width)
            / near**2
            / (window_share(far * width, width) / far**2),
        )
        for near, far in ((50, 100), (20, 100), (10, 100), (5, 100))
    ]
    return (
        *_apex(),
        *_on_one_scale(),
        *many(
            falls,
            stage="exposure",
            series="light of a glowing window with the square of the distance",
            claim=Claim(0.0101, "the stage: from some five widths on; there 1 %"),
            source=(
                "quadrature over a round window; that it is 1 % at five widths: Illuminating"
                " Engineering Society, definitions, 9.1.1 (undated)"
            ),
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                (f"ISO {mark:g}", mark, 100.0 * 10.0 ** ((place - SPEEDS.index(100.0)) / 10.0))
                for place, mark in enumerate(SPEEDS)
            ],
            stage="exposure",
            series="speed settings marked on cameras",
            claim=Claim(2.0 ** (1 / 6) - 1.0, "a sixth of a stop, or two marks might swap"),
            source="100 × 10^(k/10), the series R10 of ISO 3:1973 (from memory)",
            known=Known.CLOSED_FORM,
        ),
    )
