"""Scenes: what stands before the camera at the moment of the light, as geometry to be drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from jitter.stage import Events
from jitter.stages.fall import fall_state
from jitter.stages.look import BARELY_LIT
from jitter.trial import single


@dataclass(frozen=True)
class Drop:
    """A drop in the air.

    Attributes
    ----------
    x
        Of its centre, to the right of the fall line [m].
    height
        Of its centre above the surface [m].
    radius
        [m]
    speed
        Downwards [m/s].
    second
        Whether it is the second drop.
    """

    x: float
    height: float
    radius: float
    speed: float
    second: bool


@dataclass(frozen=True)
class Column:
    """The jet.

    Attributes
    ----------
    foot
        Where it stands, to the right of the fall line [m].
    x
        Of its tip [m].
    height
        Of its tip above the surface; of the meeting, where there is a sheet [m].
    radius
        Of its head [m].
    speed
        Of its tip, upwards; 0 where there is a sheet [m/s].
    """

    foot: float
    x: float
    height: float
    radius: float
    speed: float


@dataclass(frozen=True)
class Sheet:
    """The liquid umbrella.

    Attributes
    ----------
    x
        Of its middle, to the right of the fall line [m].
    height
        Of its middle above the surface: where drop and jet met [m].
    radius
        Of its rim [m].
    sag
        Height of its middle over its rim [m].
    lean
        How far the line from jet to drop leant at the meeting, to the right and towards the camera:
        sines of angles; the sheet stands square to it.
    drop
        Radius of the drop that made it [m].
    rest
        Height of what is left of that drop, above the sheet [m].
    thickness
        Mean thickness of the film [m].
    rim
        Radius of the bead along its rim [m].
    life
        Share of its life that is over, from 0 at the meeting to 1 where it is gone.
    speed
        Of the rim, either way [m/s].
    """

    x: float
    height: float
    radius: float
    sag: float
    lean: tuple[float, float]
    drop: float
    rest: float
    thickness: float
    rim: float
    life: float
    speed: float


@dataclass(frozen=True)
class Scene:
    """A frame as geometry; lengths are those of the plane of focus.

    Attributes
    ----------
    look
        Index into `jitter.stages.look.LOOKS`.
    lit
        Whether there is light enough to see anything.
    width, height
        Of the field, whose middle is the fall line [m].
    below
        How much of the height lies below the surface [m].
    drops
        In the air and in the frame.
    column
        None where no jet stands.
    sheet
        None before the meeting, and when it is gone.
    crater
        Radius of the open crater, at its largest; 0 where there is none [m].
    duration
        Of the light, t0.1 [s].
    stagger
        From the first of several flashes to the last; 0 for one [s].
    softness, softest
        Discs into which points are drawn that do not move: in the sheet's middle, and at the end of
        the depth that must be sharp [m].
    tolerated
        Largest blur of a keeper [m].
    exposure
        1 is right, 2 one stop over; 0 without light.
    age
        Of the sheet, negative before the meeting; NaN where there is none [s].
    """

    look: int
    lit: bool
    width: float
    height: float
    below: float
    drops: tuple[Drop, ...]
    column: Column | None
    sheet: Sheet | None
    crater: float
    duration: float
    stagger: float
    softness: float
    softest: float
    tolerated: float
    exposure: float
    age: float


def scene(events: Events, where: tuple[int, int]) -> Scene:
    """Return what the camera sees in one shot.

    The column stands still under the sheet, and when the sheet is gone it is where the jet would be
    without the meeting: what the meeting does to the jet is neglected. The sheet's plane sinks with
    the mean speed of drop and jet, as two equal streams that strike each other make it do, once the
    drop is used up; its middle stays where they met. A part of the drop's liquid that grows with
    the sheet's life is in the rim. Drops are round; drops torn off are neglected.

    Parameters
    ----------
    events
        Of a block of shots, of every stage towards the look.
    where
        Set-up and shot.

    References
    ----------
    Sheet: closed form, with the split of the energy named in `jitter.stages.sheet`; the rim's share
    is an assumption.
    """
    shot = one_shot(events, where)

    def of(name: str) -> float:
        return single(shot, name)

    size, when = of("magnification"), of("light_time")
    width = of("camera_frame_width") / size
    tall = shot["camera_frame_height"]
    height = width / 1.5 if tall is None else float(tall) / size
    share = of("camera_surface_place")
    dark = math.isnan(when)
    exposure = 0.0 if dark else of("exposure")
    met = not dark and of("age") >= 0.0
    spread = met and of("age") <= of("sheet_life")
    open_crater = not dark and of("first_landing") < when < of("jet_emerges")
    return Scene(
        look=int(of("look")),
        lit=exposure >= BARELY_LIT,
        width=width,
        height=height,
        below=share * height,
        drops=() if dark else _drops(shot, upper=(1.0 - share) * height, met=met),
        column=None if dark else _column(shot, spread=spread),
        sheet=_sheet(shot) if spread else None,
        crater=of("energy_length") if open_crater else 0.0,
        duration=of("flash_duration"),
        stagger=of("flash_gap"),
        softness=math.hypot(of("defocus_blur"), of("diffraction_blur")) / size,
        softest=of("depth_blur") / size,
        tolerated=of("keeper_blur") / size,
        exposure=exposure,
        age=of("age"),
    )


def one_shot(events: Events, where: tuple[int, int]) -> Events:
    """Return the events of one shot of a block, their last two axes (1, 1).

    Parameters
    ----------
    events
        Of the block.
    where
        Set-up and shot.
    """
    return {name: _cut(value, where) for name, value in events.items()}


def _cut(value: Any, where: tuple[int, int]) -> Any:
    if isinstance(value, np.ndarray) and value.ndim >= 2:
        # What a set-up fixes, or the study, has one column or row for all.
        row, column = (
            min(place, end - 1) for place, end in zip(where, value.shape[-2:], strict=True)
        )
        return value[..., row : row + 1, column : column + 1]
    if hasattr(value, "_fields"):
        return type(value)(*(_cut(part, where) for part in value))
    if isinstance(value, tuple) and any(isinstance(part, np.ndarray) for part in value):
        return tuple(_cut(part, where) for part in value)
    return value


def _drops(shot: Events, *, upper: float, met: bool) -> tuple[Drop, ...]:
    when, nozzle = single(shot, "light_time"), single(shot, "valve_nozzle_height")
    found = []
    for place, which in enumerate(("first", "second")):
        release = single(shot, f"{which}_release")
        falls = release < when < single(shot, f"{which}_landing")
        if not falls or (met and which == "second"):
            continue
        distance, speed = fall_state(shot[f"{which}_fall"], np.full((1, 1), when - release))
        fallen, radius = float(distance.item()), 0.5 * single(shot, f"{which}_diameter")
        height = nozzle - single(shot, "surface") - fallen
        if height - radius < upper:
            # On the way a drop is off in proportion to the distance fallen.
            x = float(shot["valve_scatter"][place, 0].item()) * fallen / nozzle
            found.append(Drop(x, height, radius, float(speed.item()), which == "second"))
    return tuple(found)


def _column(shot: Events, *, spread: bool) -> Column | None:
    when, emerges = single(shot, "light_time"), single(shot, "jet_emerges")
    if not spread and not emerges <= when <= single(shot, "jet_gone"):
        return None
    height, speed = _tip(shot, single(shot, "meeting_time") if spread else when)
    foot = float(shot["valve_scatter"][0, 0].item())
    return Column(
        foot=foot,
        x=foot + float(shot["jet_lean"][0].item()),
        height=height,
        radius=0.5 * single(shot, "jet_head_ratio") * single(shot, "first_diameter"),
        speed=0.0 if spread else speed,
    )


def _sheet(shot: Events) -> Sheet:
    age, radius = single(shot, "age"), single(shot, "sheet_radius")
    size, closing = single(shot, "second_diameter"), single(shot, "closing_speed")
    height, rising = _tip(shot, single(shot, "meeting_time"))
    # Either stream goes into the sheet at half the closing speed.
    sinks, used = 0.5 * closing - rising, size / (0.5 * closing)
    life = age / single(shot, "sheet_life")
    scatter, jet_lean = shot["valve_scatter"], shot["jet_lean"]
    widths = size + single(shot, "jet_head_ratio") * single(shot, "first_diameter")
    apart = scatter[1] - scatter[0] - jet_lean
    lean = 2.0 * apart.reshape(2) / widths
    return Sheet(
        x=float(scatter[1, 0].item()),
        height=height,
        radius=radius,
        sag=min(max(sinks * (age - used), 0.0), height),
        lean=(float(lean[0]), float(lean[1])),
        drop=0.5 * size,
        rest=max(size - 0.5 * closing * age, 0.0),
        thickness=(1.0 - life) * size**3 / (6.0 * radius**2),
        rim=math.sqrt(life * size**3 / (12.0 * math.pi * radius)),
        life=life,
        speed=single(shot, "rim_speed"),
    )


def _tip(shot: Events, when: float) -> tuple[float, float]:
    """Return the height of the jet's tip over the surface [m] and its speed upwards [m/s]."""
    peaks, top = single(shot, "jet_peaks"), single(shot, "jet_top")
    half_life = peaks - single(shot, "jet_emerges")
    share = (when - peaks) / half_life
    return top * (1.0 - share**2), -2.0 * top * share / half_life
