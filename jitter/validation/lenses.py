"""Magnification, working aperture and depth of field of lenses, against rays."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.optimize import brentq

from jitter.arrays import Array
from jitter.stages import lens
from jitter.stages.lens import Lens
from jitter.units.table import APERTURES
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.rays import TwoLenses
from jitter.validation.rig import shot, work

FIELD = 0.12
FRAMES = {"full frame": 36e-3, "23.5 mm frame": 23.5e-3, "13.2 mm frame": 13.2e-3}
FOCALS = (35e-3, 50e-3, 100e-3, 200e-3)

# Front and rear focal length, front lens to stop, stop to rear lens [m].
BUILT = {
    "symmetrical": (0.100, 0.100, 0.010, 0.010),
    "telephoto": (0.060, -0.050, 0.015, 0.020),
    "retrofocus": (-0.120, 0.045, 0.030, 0.010),
}


def drawn(
    *,
    magnification: float,
    aperture: float = 8.0,
    focal: float | None = None,
    circle: float | None = None,
    pupil_ratio: float = 1.0,
    frame: float = 36e-3,
) -> Lens:
    """Return what the stage makes of a lens; lengths in metres.

    Parameters
    ----------
    magnification, aperture, focal, circle, pupil_ratio, frame
        See `jitter.stages.lens.lens`.
    """
    one = np.ones((1, 1))
    made: Lens = work(
        lens.STAGE,
        camera_magnification=magnification * one,
        camera_field_width=None,
        camera_frame_width=frame,
        camera_circle_of_confusion=circle,
        camera_focal_length=None if focal is None else focal * one,
        camera_aperture=aperture * one,
        camera_pupil_ratio=pupil_ratio * one,
    )
    return made


def item(value: Array) -> float:
    """Return the only number of an array."""
    return float(np.asarray(value).item())


def hyperfocal(focal: float, aperture: float, circle: float) -> float:
    """Return the shortest working distance at which the stage finds no end to the depth [m].

    Parameters
    ----------
    focal, aperture, circle
        Focal length [m], aperture number and circle of confusion [m].
    """
    low, high = 1e-6, 1.0
    for _ in range(100):
        middle = float(np.sqrt(low * high))
        made = drawn(magnification=middle, aperture=aperture, focal=focal, circle=circle)
        low, high = (middle, high) if np.isinf(made.depth_of_field) else (low, middle)
    return item(drawn(magnification=low, focal=focal).working_distance)


def _thin_distance(focal: float, magnification: float) -> float:
    """Return how far a thin lens draws at a magnification: b = m a in 1/f = 1/a + 1/b [m]."""

    def left(distance: float) -> float:
        return 1.0 / distance + 1.0 / (magnification * distance) - 1.0 / focal

    return float(brentq(left, focal, 1e3 * focal, xtol=1e-15))


def _thin_depth(focal: float, magnification: float, aperture: float, circle: float) -> float:
    """Return the depth of field of a thin lens, 1/f = 1/a + 1/b in full [m]."""
    distance = _thin_distance(focal, magnification)
    image = magnification * distance

    def excess(other: float) -> float:
        meets = 1.0 / (1.0 / focal - 1.0 / other)
        return abs(image - meets) / meets * focal / aperture - circle

    nearest = brentq(excess, 1.0001 * focal, distance, xtol=1e-15)
    return float(brentq(excess, distance, 1e6 * distance, xtol=1e-15) - nearest)


def _on_frames() -> tuple[Check, ...]:
    """Return the checks of whole shots of one field, by frame and focal length."""
    sizes, ways, depths = [], [], []
    for name, frame in FRAMES.items():
        for focal in FOCALS:
            events: Any = shot(
                f"camera.frame_width='{1e3 * frame:g} mm'",
                f"camera.field_width='{1e3 * FIELD:g} mm'",
                f"camera.focal_length='{1e3 * focal:g} mm'",
                "camera.aperture='f/8'",
            )
            what = f"{name}, {1e3 * focal:g} mm"
            size = frame / FIELD
            ways.append((what, item(events["working_distance"]), _thin_distance(focal, size)))
            depth = _thin_depth(focal, size, 8.0, frame / 1200.0)
            depths.append((what, item(events["depth_of_field"]), depth))
        sizes.append((name, item(events["magnification"]), size))
    return (
        *many(
            sizes,
            stage="lens",
            series="magnification from a field 12 cm wide",
            claim=EXACT,
            source="width of the frame over width of the field",
            known=Known.CLOSED_FORM,
        ),
        *many(
            ways,
            stage="lens",
            series="working distance for a field 12 cm wide",
            unit="m",
            claim=EXACT,
            source="b = m a in 1/f = 1/a + 1/b, by root finding",
            known=Known.CLOSED_FORM,
            note="From the front principal plane, which lies somewhere in the lens.",
        ),
        *many(
            depths,
            stage="lens",
            series="depth of field at f/8 for a field 12 cm wide",
            unit="m",
            claim=EXACT,
            source="near and far limit of a thin lens, 1/f = 1/a + 1/b in full, by root finding",
            known=Known.CLOSED_FORM,
            note=(
                "A smaller frame is sharp deeper at the same aperture number; which lens it is"
                " hardly counts."
            ),
        ),
    )


def _by_rays() -> tuple[Check, ...]:
    """Return the checks against rays traced through lenses whose pupils differ."""
    apertures, depths = [], []
    for name, (front, rear, before, after) in BUILT.items():
        for size in (0.1, 0.4, 2.0):
            traced = TwoLenses(front, rear, before, after, aperture=8.0, magnification=size)
            made = drawn(
                magnification=size,
                focal=traced.focal,
                circle=30e-6,
                pupil_ratio=traced.pupil_ratio,
            )
            what = f"{name}, P = {traced.pupil_ratio:.2f}, m = {size:g}"
            apertures.append((what, item(made.working_aperture), traced.working_aperture))
            depths.append((what, item(made.depth_of_field), traced.depth(30e-6)))
    source = "rays along the stop's edge through two thin lenses, by matrices"
    return (
        *many(
            apertures,
            stage="lens",
            series="working aperture at f/8 of lenses with unlike pupils",
            claim=EXACT,
            source=f"{source}: one over the width of the cone at the sensor",
            known=Known.CLOSED_FORM,
        ),
        *many(
            depths,
            stage="lens",
            series="depth of field at f/8 of lenses with unlike pupils",
            unit="m",
            claim=EXACT,
            source=f"{source}: where the disc on the sensor is 30 µm wide",
            known=Known.CLOSED_FORM,
        ),
    )


def lens_checks() -> tuple[Check, ...]:
    """Return the checks of the lens by rays."""
    return (
        *_on_frames(),
        *_by_rays(),
        *many(
            [
                (f"{1e3 * focal:g} mm", hyperfocal(focal, 8.0, 30e-6), focal + focal**2 / 240e-6)
                for focal in FOCALS
            ],
            stage="lens",
            series="hyperfocal distance at f/8",
            unit="m",
            claim=EXACT,
            source="f + f²/(N c): the disc of a point infinitely far is f m/N = c = 30 µm wide",
            known=Known.CLOSED_FORM,
            note="Ours is the shortest distance at which the stage finds no end to the depth.",
        ),
        *many(
            [
                (f"f/{mark:g}", mark, 2.0 ** (place / 6.0))
                for place, mark in enumerate(APERTURES)
                if mark >= 2.8
            ],
            stage="lens",
            series="aperture numbers marked on lenses",
            claim=Claim(2.0 ** (1 / 12) - 1.0, "a sixth of a stop, or two marks might swap"),
            source="2^(k/6), thirds of a stop from f/1 on",
            known=Known.CLOSED_FORM,
        ),
    )
