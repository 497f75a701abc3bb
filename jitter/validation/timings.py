"""Release, sensor, landing, timer and shutter against the laws of free fall and plain sums."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.stages import beam, landing, shutter, timer, valve
from jitter.stages.drag import GRAVITY
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.falling import fall_of
from jitter.validation.rig import work

MICROSECOND = Claim(1e-6, "the bound of the fitted fall times, 1 µs", relative=False)
NOZZLE, BEAM = 0.610, 0.483
DIAMETER = 4.5e-3


def _flat(*numbers: float) -> Array:
    return np.array([numbers])


def _item(value: Any) -> float:
    return float(np.asarray(value).item())


def release_checks() -> tuple[Check, ...]:
    """Return the checks of the release."""
    plain = work(
        valve.STAGE,
        valve_latency=np.array([[[0.008]], [[0.009]]]),
        valve_interval=_flat(0.100),
        timer_clock_error=_flat(0.005),
    )
    opened = work(
        valve.STAGE,
        valve_latency=np.array([[[0.003]], [[0.003]]]),
        valve_interval=_flat(0.100),
        valve_first_opening=_flat(0.020),
        valve_second_opening=_flat(0.025),
    )
    return many(
        [
            ("first drop, 8 ms after its command", _item(plain.first_release), 0.008),
            (
                "second, 9 ms after 100 ms of a clock 0.5 % slow",
                _item(plain.second_release),
                0.100 * 1.005 + 0.009,
            ),
            ("first, open for 20 ms, let go 3 ms later", _item(opened.first_release), 0.023),
            ("second, open for 25 ms", _item(opened.second_release), 0.100 + 0.028),
        ],
        stage="release",
        series="moments of release",
        unit="s",
        claim=EXACT,
        source="command + open time + latency, the interval on the timer's own clock",
        known=Known.CLOSED_FORM,
    )


def _fallen(distance: float, speed: float = 0.0) -> float:
    """Return the time of a free fall without air [s]."""
    return float((np.sqrt(speed**2 + 2.0 * GRAVITY * distance) - speed) / GRAVITY)


def beam_checks() -> tuple[Check, ...]:
    """Return the checks of the sensor."""
    rows = []
    for millimetres in (0.0, 1.0, 2.0):
        made = work(
            beam.STAGE,
            sensor_height=_flat(BEAM),
            sensor_offset=_flat(1e-3 * millimetres),
            sensor_response=_flat(20e-6),
            valve_nozzle_height=_flat(NOZZLE),
            valve_scatter=np.zeros((2, 2, 1, 1)),
            first_diameter=_flat(DIAMETER),
            first_fall=fall_of(4.5, thin=True),
            first_release=_flat(0.008),
        )
        edge = np.sqrt((0.5 * DIAMETER) ** 2 - (1e-3 * millimetres) ** 2)
        rows.append(
            (
                f"beam {millimetres:g} mm beside the fall line",
                _item(made.start_time),
                0.008 + _fallen(NOZZLE - BEAM - edge) + 20e-6,
            )
        )
    # Lowering the beam by δ shifts the crossing by δ/v, v being the speed at the edge's crossing.
    heights = (BEAM - 0.0005, BEAM + 0.0005)
    high, low = (
        _item(work(beam.STAGE, sensor_height=_flat(height)).start_time) for height in heights
    )
    shift = high - low
    return (
        *many(
            rows,
            stage="sensor",
            series="crossing of the beam without air",
            unit="s",
            claim=MICROSECOND,
            source="h = g t²/2 to the edge's chord, √(R² - x²) above the beam",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("per millimetre, 127 mm below the nozzle", shift, 1e-3 / 1.5639)],
            stage="sensor",
            series="shift of the crossing by a lower beam",
            unit="s",
            uncertainty="1 % by the drop's radius and release speed",
            claim=Claim(0.04, "the drop's edge is higher and its release faster than there"),
            source="1 mm/v with v = 1.5639 m/s, from a second program's fall from rest",
            known=Known.PROGRAM,
            note="What a ruler's millimetre does to the light: 0.63 ms.",
        ),
    )


def landing_checks() -> tuple[Check, ...]:
    """Return the checks of the landing."""
    made = work(
        landing.STAGE,
        pool_level=_flat(0.0),
        valve_nozzle_height=_flat(NOZZLE),
        first_diameter=_flat(DIAMETER),
        second_diameter=_flat(DIAMETER),
        first_fall=fall_of(4.5, thin=True),
        second_fall=fall_of(4.5, 0.05, thin=True),
        first_release=_flat(0.008),
        second_release=_flat(0.107),
    )
    way = NOZZLE - 0.5 * DIAMETER
    filled = work(
        landing.STAGE,
        pool_level=_flat(0.0),
        pool_level_drift=None,
        pool_width=0.20,
        first_dose_nominal=47.7e-9,
        second_dose_nominal=47.7e-9,
        frame_number=_flat(100.0),
    )
    return (
        *many(
            [
                ("first drop, from rest", _item(made.first_landing), 0.008 + _fallen(way)),
                (
                    "second drop, released at 0.05 m/s",
                    _item(made.second_landing),
                    0.107 + _fallen(way, 0.05),
                ),
            ],
            stage="landing",
            series="moments of landing without air",
            unit="s",
            claim=MICROSECOND,
            source="h = v₀ t + g t²/2 for the drop's lower edge",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                (
                    "the 200 drops of 100 frames in a dish 200 mm wide",
                    _item(filled.surface),
                    100.0 * 2.0 * 47.7e-9 / (0.25 * np.pi * 0.20**2),
                )
            ],
            stage="landing",
            series="rise of the surface",
            unit="m",
            claim=EXACT,
            source="volume over area",
            known=Known.CLOSED_FORM,
        ),
    )


def timer_checks() -> tuple[Check, ...]:
    """Return the checks of the timer."""
    made = work(
        timer.STAGE,
        start_time=_flat(0.165),
        timer_delay=_flat(0.294),
        delay_correction=_flat(-0.002),
        timer_step=_flat(2e-6),
        timer_clock_error=_flat(0.005),
    )
    return many(
        [
            (
                "292 ms of a clock 0.5 % slow, and half a step of 4 µs",
                _item(made.flash_command),
                0.165 + 0.292 * 1.005 + 2e-6,
            )
        ],
        stage="timer",
        series="flash command",
        unit="s",
        claim=EXACT,
        source="start + delay × (1 + clock error) + wait for the clock's step",
        known=Known.CLOSED_FORM,
        note="A ceramic resonator, 0.5 % off, shifts this light by 1.5 ms: trimming takes it out.",
    )


def shutter_checks() -> tuple[Check, ...]:
    """Return the checks of the shutter."""
    moments = np.array([[-0.501, -0.499, 0.999, 1.001]])
    made = work(
        shutter.STAGE,
        flash_time=moments,
        unlit=np.zeros((1, 4), dtype=bool),
        camera_shutter_opens_before=_flat(0.5),
        camera_shutter_open=_flat(1.5),
    )
    labels = ("1 ms before it opens", "1 ms after", "1 ms before it closes", "1 ms after it closed")
    dark = (1.0, 0.0, 0.0, 1.0)
    return many(
        [
            (label, float(shut), expected)
            for label, shut, expected in zip(labels, made.no_light[0], dark, strict=True)
        ],
        stage="shutter",
        series="frames without light (1: dark)",
        claim=Claim(1e-9, "yes or no", relative=False),
        source="the shutter is open from 0.5 s before the first command for 1.5 s",
        known=Known.CLOSED_FORM,
    )
