"""The meeting of drop and jet against a root finder, and the sheet against its closed forms."""

from __future__ import annotations

from typing import Any

import numpy as np

from jitter.stages import meeting, sheet
from jitter.stages.fall import fall_distance, fall_speed
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.rig import shot, work

INTERVALS = ("70 ms", "85 ms", "99 ms", "120 ms", "150 ms")
BESIDE = ((0.0005, 0.0), (0.0, 0.001), (0.002, 0.0015))


def _one(events: dict[str, Any], name: str) -> float:
    return float(np.asarray(events[name]).item())


def exact_meeting(events: dict[str, Any]) -> tuple[float, float]:
    """Return when the second drop of a shot meets the jet [s], and the closing speed [m/s].

    By bisection on the gap between the drop's lower edge and the tip, from the jet's emergence,
    when the drop is above it, to the drop's landing.

    Parameters
    ----------
    events
        Of a shot in which they meet.
    """
    emerges, peaks = _one(events, "jet_emerges"), _one(events, "jet_peaks")
    top, release = _one(events, "jet_top"), _one(events, "second_release")
    edge = _one(events, "valve_nozzle_height") - 0.5 * _one(events, "second_diameter")
    edge -= _one(events, "surface")
    falling, rise = events["second_fall"], peaks - emerges

    def gap(moment: float) -> float:
        fallen = float(fall_distance(falling, np.array([[moment - release]])).item())
        return edge - fallen - top * (1.0 - ((moment - peaks) / rise) ** 2)

    low, high = max(emerges, release), _one(events, "second_landing")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if gap(middle) > 0.0 else (low, middle)
    speed = float(fall_speed(falling, np.array([[low - release]])).item())
    return low, speed - 2.0 * top * (low - peaks) / rise**2


def meeting_checks() -> tuple[Check, ...]:
    """Return the checks of the meeting."""
    moments, speeds, places = [], [], []
    for interval in INTERVALS:
        events = shot(f"valve.interval={interval}")
        exact, closing = exact_meeting(events)
        what = f"valve.interval {interval}"
        moments.append((what, _one(events, "meeting_time"), exact))
        speeds.append((what, _one(events, "closing_speed"), closing))
    for across, along in BESIDE:
        scatter = np.zeros((2, 2, 1, 1))
        scatter[1, 0], scatter[1, 1] = across, along
        made = work(meeting.STAGE, valve_scatter=scatter)
        both = 4.5e-3 + 1.4 * 4.5e-3
        places.append(
            (
                f"{1e3 * across:g} and {1e3 * along:g} mm beside",
                float(made.off_centre.item()),
                2.0 * float(np.hypot(across, along)) / both,
            )
        )
    return (
        *many(
            moments,
            stage="meeting",
            series="moment of the meeting",
            unit="s",
            claim=Claim(1e-6, "one step of Newton's, 1 µs", relative=False),
            source="bisection on the gap between drop and tip",
            known=Known.CLOSED_FORM,
        ),
        *many(
            speeds,
            stage="meeting",
            series="closing speed",
            unit="m/s",
            claim=Claim(2e-3, "0.1 ms of free fall and rise", relative=False),
            source="speeds of drop and tip at that moment",
            known=Known.CLOSED_FORM,
        ),
        *many(
            places,
            stage="meeting",
            series="off-centre B",
            claim=EXACT,
            source="B = 2 b/(D₂ + 1.4 D₁)",
            known=Known.CLOSED_FORM,
        ),
    )


def sheet_checks() -> tuple[Check, ...]:
    """Return the checks of the sheet."""
    events = shot()
    size, closing = _one(events, "second_diameter"), _one(events, "closing_speed")
    density, tension = _one(events, "density"), _one(events, "surface_tension")
    pace = float(np.sqrt(density * size**3 / (6.0 * tension)))
    weber = density * closing**2 * size / tension

    def at(share: float) -> Any:
        moment = events["meeting_time"] + share * pace
        return work(sheet.STAGE, light_time=moment)

    largest = at(2.0 / (3.0 * np.sqrt(3.0)))
    early, late = (
        float(at(2.0 / (3.0 * np.sqrt(3.0)) + step).sheet_radius.item()) for step in (-0.02, 0.02)
    )
    top = float(largest.sheet_radius.item())
    step = 1e-4
    before, after = (float(at(0.2 + shift).sheet_radius.item()) for shift in (-step, step))
    return (
        *many(
            [
                (
                    "growth at a = 2/(3√3)",
                    2.0 * top / size - 1.0,
                    8.0 / (27.0 * np.sqrt(3.0)) * float(np.sqrt(weber)),
                ),
                ("largest there (1: yes)", float(top > max(early, late)), 1.0),
                ("radius at a = 2/√3 over the drop's", _radius(at(1.1547006)) / (0.5 * size), 1.0),
                (
                    "rim speed as it starts over U",
                    float(at(0.0).rim_speed.item()) / closing,
                    0.5 * float(np.sqrt(6.0)),
                ),
            ],
            stage="sheet",
            series="turning points of the sheet",
            claim=EXACT,
            source="(R - R₀)/R₀ = √We a (1 - c a)², c = √3/2: its zeros and those of its slope",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [
                (
                    "a = 0.2",
                    float(at(0.2).rim_speed.item()),
                    abs(after - before) / (2.0 * step * pace),
                )
            ],
            stage="sheet",
            series="speed of the rim",
            unit="m/s",
            claim=Claim(1e-6, "a difference quotient's own error"),
            source="difference quotient of the radius",
            known=Known.CLOSED_FORM,
        ),
    )


def _radius(made: Any) -> float:
    return float(made.sheet_radius.item())
