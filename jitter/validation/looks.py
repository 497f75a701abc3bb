"""What a frame shows against closed forms: heights, widths, the frame's edge, and counts."""

from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN, look, sheet
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import fall_distance
from jitter.stages.look import COLUMN, DARK, KEPT, LATE, LOPSIDED
from jitter.stages.verdict import REASONS
from jitter.trial import fire, open_road, single
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.meetings import INTERVALS, exact_meeting
from jitter.validation.rig import rig, shot, work

ERRORS = 4.5
"""Bounds of counted shares are so many standard errors."""
SETUPS, SHOTS = 64, 1024
SHORT = (0.001, 0.002, 0.004)
DRAG = 0.25
"""Of a drop's weight the air takes less than this share on the default rig."""

_series = partial(many, stage="look", known=Known.CLOSED_FORM)


def look_checks() -> tuple[Check, ...]:
    """Return the checks of the look of a frame."""
    return (*_heights(), *_meetings(), *_widths(), *_ends(), *_edges(), *_counts())


def _seen(moment: float, **changes: Any) -> Any:
    """Return what the default rig's frame shows if the light falls at a moment [s]."""
    light = np.array([[moment]])
    age = light - shot()["meeting_time"]
    return work(look.STAGE, light_time=light, age=age, **changes)


def _heights() -> tuple[Check, ...]:
    events = shot()
    meeting, closing = single(events, "meeting_time"), single(events, "closing_speed")
    landing, impact = single(events, "first_landing"), single(events, "impact_speed")
    peaks, top = single(events, "jet_peaks"), single(events, "jet_top")
    half_life = peaks - single(events, "jet_emerges")
    bend = 0.5 * GRAVITY - top / half_life**2
    gaps, drops, tips = [], [], []
    for short in SHORT:
        what = f"{1e3 * short:g} ms before"
        gap, drop = _seen(meeting - short).gap, _seen(landing - short).drop_height
        gaps.append((what, gap.item(), closing * short - bend * short**2))
        drops.append((what, drop.item(), impact * short - 0.5 * GRAVITY * short**2))
    for share, rise in ((0.9, 0.19), (0.75, 0.4375), (0.5, 0.75)):
        tip = _seen(peaks - share * half_life).tip_height.item()
        tips.append((f"{share:g} of half its life before its top", tip, rise * top))
    slowed = Claim(
        0.5 * DRAG * GRAVITY * max(SHORT) ** 2,
        f"the air takes less than {DRAG:.0%} of the weight",
        relative=False,
    )
    return (
        *_series(
            drops,
            series="height of the first drop before it lands",
            unit="m",
            claim=slowed,
            source="free fall backwards from the landing, U t - g t²/2",
        ),
        *_series(
            tips,
            series="height of the jet's tip",
            unit="m",
            claim=EXACT,
            source="parabola of the tip, H (1 - u²)",
        ),
        *_series(
            gaps,
            series="gap between drop and jet before they meet",
            unit="m",
            claim=slowed,
            source="two parabolas backwards from the meeting, U t - (g/2 - H/h²) t²",
        ),
    )


def _meetings() -> tuple[Check, ...]:
    rows = []
    for interval in INTERVALS:
        events = shot(f"valve.interval={interval}", f"timer.delay={_delay(interval)}")
        moment, _ = exact_meeting(events)
        elapsed = np.array([[moment]]) - events["second_release"]
        fallen = fall_distance(events["second_fall"], elapsed).item()
        edge = single(events, "valve_nozzle_height") - 0.5 * single(events, "second_diameter")
        low = edge - single(events, "surface") - fallen
        rows.append((f"valve.interval {interval}", single(events, "meeting_height"), low))
    return _series(
        rows,
        series="height of the meeting",
        unit="m",
        claim=Claim(5e-6, "1 µs at the closing speed", relative=False),
        source="the drop's lower edge at the moment found by bisection",
    )


def _delay(interval: str) -> str:
    """Return a delay at which drop and jet of the default rig have met."""
    return f"{float(interval.removesuffix(' ms')) + 200.0:g} ms"


def _widths() -> tuple[Check, ...]:
    events = shot()
    size, weber = single(events, "second_diameter"), single(events, "sheet_weber")
    pace = np.sqrt(events["density"] * size**3 / (6.0 * events["surface_tension"]))

    def width(share: float) -> float:
        light = events["meeting_time"] + share * pace
        spread = work(sheet.STAGE, light_time=light)
        radius = {"light_time": light, "age": spread.age, "sheet_radius": spread.sheet_radius}
        return float(work(look.STAGE, **radius).sheet_width.item())

    widest = size * (1.0 + 8.0 / (27.0 * np.sqrt(3.0)) * float(np.sqrt(weber)))
    return _series(
        [
            ("at its widest, a = 2/(3√3)", width(2.0 / (3.0 * np.sqrt(3.0))), widest),
            # A hair before the end, after which there is none.
            ("drawn back, a = 2/√3", width((1.0 - 1e-9) * 2.0 / np.sqrt(3.0)), size),
        ],
        series="width of the sheet",
        unit="m",
        claim=EXACT,
        source="D (1 + √We a (1 - c a)²), c = √3/2, at the top and the end of the curve",
    )


def _ends() -> tuple[Check, ...]:
    events = shot()
    meeting = single(events, "meeting_time")
    inertia = single(events, "density") / (6.0 * single(events, "surface_tension"))
    pace = float(np.sqrt(inertia * single(events, "second_diameter") ** 3))
    late = np.array([[REASONS.index("late")]], dtype=np.uint8)

    def last(word: int, first: float) -> float:
        """Return the last moment of frames so called, by bisection from one of them on [s]."""
        low, high = first, first + 1.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            called = _seen(middle, reason=late).look.item() == word
            low, high = (middle, high) if called else (low, middle)
        return low

    over = last(LATE, meeting + 0.01)
    peaks = single(events, "jet_peaks")
    rise = peaks - single(events, "jet_emerges")
    return _series(
        [
            ("no umbrella any more, after the meeting", over - meeting, 2.0 / np.sqrt(3.0) * pace),
            ("no column any more, after its top", last(COLUMN, over + 1e-6) - peaks, rise),
        ],
        series="how long late frames go by a name",
        unit="s",
        claim=EXACT,
        source="2/√3 √(ρ D³/(6 σ)), when the sheet's radius is the drop's again; the tip falls for"
        " as long as it rose",
    )


def _edges() -> tuple[Check, ...]:
    moment = single(shot(), "meeting_time") - 0.002
    drop, size = _seen(moment).drop_height.item(), single(shot(), "magnification")

    def least(place: float) -> float:
        """Return the least height of a sensor that shows the drop, by bisection [m]."""
        low, high = 1e-3, 0.3
        for _ in range(60):
            middle = 0.5 * (low + high)
            frame = {"camera_frame_height": middle, "camera_surface_place": place}
            hidden = np.isnan(_seen(moment, **frame).drop_height.item())
            low, high = (middle, high) if hidden else (low, middle)
        return high

    return _series(
        [
            (f"surface at {place:.0%} of the height", least(place), size * drop / (1.0 - place))
            for place in (0.0, 0.15, 0.4)
        ],
        series="least frame that shows a drop",
        unit="m",
        claim=EXACT,
        source="m z/(1 - q): the drop's height, drawn so large, above the surface's place",
    )


def _looks(*settings: str) -> Array:
    """Return what the frames of the default rig without set-up errors are called (s, n)."""
    study = rig(*settings, setup_errors=False)
    road = open_road(study, CHAIN, wanted=("look",))
    made = fire(road, Block(Layout(study.seed, SETUPS, SHOTS), 0, SETUPS, 0, SHOTS))
    return np.broadcast_to(made.as_set["look"], (SETUPS, SHOTS))


def _counts() -> tuple[Check, ...]:
    dark = _looks("sensor.miss_chance=3 %", "flash.dark_chance=5 %")
    # Every frame is of a sheet, whose age does not matter, of drops of one size.
    aside = _looks(
        "timer.start=second drop",
        "sensor.miss_chance=0 %",
        "flash.dark_chance=0 %",
        "valve.first_volume.shot=none",
        "valve.second_volume.shot=none",
        "keeper.age=['0 ms', '50 ms']",
    )
    variance = 2.0 * 0.4e-3**2 + 0.3e-3**2
    kept, passed = (
        float(np.exp(-((limit * 5.4e-3) ** 2) / (2.0 * variance))) for limit in (0.25, 1.0)
    )
    doubt = Claim(
        ERRORS * float(np.sqrt(0.25 / (SETUPS * SHOTS))),
        f"{ERRORS:g} standard errors of the simulation",
        relative=False,
    )
    return (
        *_series(
            [("no start or no flash", np.mean(dark == DARK), 1.0 - 0.97 * 0.95)],
            series="share of dark frames",
            claim=doubt,
            source="1 - (1 - p_m) (1 - p_f): either chance alone leaves a frame dark",
        ),
        *_series(
            [
                ("lopsided", np.mean(aside == LOPSIDED), kept - passed),
                ("keeper", np.mean(aside == KEPT), 1.0 - kept),
            ],
            series="share of frames by their look",
            claim=doubt,
            source="Rayleigh's law, exp(-b²/(2 s²)) with s² = 2 (0.4 mm)² + (0.3 mm)²",
        ),
    )
