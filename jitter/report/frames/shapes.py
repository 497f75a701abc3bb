"""The outlines of what stands in a frame: paths in metres, as the camera sees them."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

from jitter.answers.scenes import Column, Drop, Sheet
from jitter.arrays import Array

LOOK_DOWN = 0.2
"""The camera looks down a little: a depth is drawn as this share of it in height. By eye."""
MIRRORED = 0.35
"""Height of what the surface mirrors over its own. By eye."""
FOOT, NECK = 1.5, 0.55
"""Half widths of the jet at the surface and below its head, in radii of the head. By eye."""
SHADE = 0.45
"""Where the jet's shade begins, of the way from its middle line to its outline. By eye."""
ROUND = 0.5523
"""Reach of the handles with which a cubic curve draws a quarter of a circle."""
RIBS = (35.0, 65.0, 90.0, 115.0, 145.0)
"""Where along the nearer half of the rim lines run up the film [°]. By eye."""


def ellipse(x: float, z: float, wide: float, tall: float) -> Path:
    """Return an ellipse by its middle and half axes [m]."""
    return Path.unit_circle().transformed(Affine2D().scale(wide, tall).translate(x, z))


def drop_path(drop: Drop, *, later: float = 0.0) -> Path:
    """Return a drop's outline, so much later than the middle of the light [s]."""
    return ellipse(drop.x, drop.height - later * drop.speed, drop.radius, drop.radius)


def column_path(column: Column, *, later: float = 0.0, headless: bool = False) -> Path:
    """Return the outline of the jet: a foot, a neck and a round head.

    Parameters
    ----------
    column
        The jet.
    later
        Than the middle of the light [s].
    headless
        Whether the drop has taken its head.
    """
    head = column.radius
    height = max(column.height + later * column.speed, 0.01 * head)
    foot = FOOT * head
    # The neck forms as the jet grows.
    grown = min(max(height / head - 2.0, 0.0) / 4.0, 1.0)
    neck = head * (1.0 - (1.0 - NECK) * grown)
    if headless:
        neck, top = min(neck, NECK * head), max(height - NECK * head, 0.5 * height)
        half = [
            *((foot, 0.0), (neck, 0.1 * top), (neck, 0.4 * top), (neck, top)),
            *((neck, 0.5 * (top + height)), (ROUND * neck, height), (0.0, height)),
        ]
    elif height < 3.0 * head:
        half = [(foot, 0.0), (0.7 * foot, 0.5 * height), (head, height), (0.0, height)]
    else:
        low, middle, reach = height - 2.2 * head, height - head, ROUND * head
        half = [
            *((foot, 0.0), (0.8 * head, 0.1 * low), (neck, 0.4 * low), (neck, low)),
            *((neck, low + 0.5 * head), (head, middle - reach), (head, middle)),
            *((head, middle + reach), (reach, height), (0.0, height)),
        ]
    widths, heights = np.array(half).T
    middles = column.foot + (column.x - column.foot) * heights / height
    left = np.column_stack([middles - widths, heights])
    right = np.column_stack([middles + widths, heights])[::-1]
    # The liquid's surface around its foot, nearer to the camera.
    low = -1.3 * LOOK_DOWN * foot
    round_ = np.array([[column.foot + foot, low], [column.foot - foot, low], left[0], left[0]])
    curves = [Path.CURVE4] * (2 * (len(half) - 1) + 3)
    return Path(np.concatenate([left, right[1:], round_]), [Path.MOVETO, *curves, Path.CLOSEPOLY])


def shaded_path(column: Column, *, later: float = 0.0, headless: bool = False) -> Path:
    """Return the part of the jet to the right that lies in the shade, as `column_path`.

    A band along its outline, without the foot that comes nearer to the camera.
    """
    outline = column_path(column, later=later, headless=headless)
    points = np.asarray(outline.vertices)[:-4]
    # The right half is the later one, from the tip to the foot.
    right = points[len(points) // 2 :]
    middle = column.foot + (column.x - column.foot) * right[:, 1] / max(right[0, 1], 1e-9)
    inner = np.column_stack([middle + SHADE * (right[:, 0] - middle), right[:, 1]])[::-1]
    curves = [Path.CURVE4] * (len(right) - 1)
    return Path(
        np.concatenate([right, inner, right[:1]]),
        [Path.MOVETO, *curves, Path.LINETO, *curves, Path.CLOSEPOLY],
    )


def mirrored(path: Path) -> Path:
    """Return a path as the surface mirrors it, seen from a little above."""
    return path.transformed(Affine2D().scale(1.0, -MIRRORED))


def rest_path(sheet: Sheet) -> Path:
    """Return the outline of what is left of a drop upon its sheet."""
    radius = sheet.drop
    middle = sheet.height + sheet.rest - radius
    # The sheet cuts the drop's circle here; it is whole as they touch.
    cut = math.degrees(math.asin(min(max((radius - sheet.rest) / radius, -1.0), 1.0)))
    arc = Path.arc(cut, 180.0 - cut)
    return arc.transformed(Affine2D().scale(radius).translate(sheet.x, middle))


def rim_frame(sheet: Sheet, *, later: float = 0.0) -> Affine2D:
    """Return what takes the unit circle to the rim in the picture.

    0° is its end to the right, 90° the point nearest to the camera.

    Parameters
    ----------
    sheet
        The sheet; it stands square to the line that joined jet and drop at the meeting.
    later
        Than the middle of the light [s].
    """
    across, along = sheet.lean
    upright = math.sqrt(max(1.0 - across**2 - along**2, 0.0))
    normal = np.array([across, along, upright])
    right = np.array([upright, 0.0, -across]) / max(math.hypot(upright, across), 1e-9)
    near = np.cross(normal, right)
    if near[1] < 0.0:
        near = -near
    radius = max(sheet.radius + later * sheet.speed, 0.0)
    drawn = np.eye(3)
    for place, way in enumerate((right, near)):
        drawn[0, place] = radius * way[0]
        drawn[1, place] = radius * (way[2] - LOOK_DOWN * way[1])
    drawn[:2, 2] = sheet.x, sheet.height - sheet.sag
    return Affine2D(drawn)


def rim_path(sheet: Sheet, *, first: float, last: float, later: float = 0.0) -> Path:
    """Return the rim between two angles of `rim_frame` [°]."""
    return Path.arc(first, last).transformed(rim_frame(sheet, later=later))


def film_path(sheet: Sheet, *, later: float = 0.0) -> Path:
    """Return the outline of the film: from its middle down to the ends of the rim, along it."""
    near = np.asarray(rim_path(sheet, first=0.0, last=180.0, later=later).vertices)
    middle = np.array([sheet.x, sheet.height])
    left, right = _draped(middle, near[-1])[::-1], _draped(middle, near[0])
    points = np.concatenate([left, right[1:], near[1:], near[-1:]])
    curves = [Path.CURVE4] * (len(points) - 2)
    return Path(points, [Path.MOVETO, *curves, Path.CLOSEPOLY])


def ribs_path(sheet: Sheet, *, later: float = 0.0) -> Path:
    """Return lines that run from the middle of the film to the nearer half of its rim."""
    angles = np.radians(RIBS)
    ends = rim_frame(sheet, later=later).transform(
        np.column_stack([np.cos(angles), np.sin(angles)])
    )
    middle = np.array([sheet.x, sheet.height])
    lines = []
    for end in ends:
        # They begin a little off the middle, where the film has room for them.
        start = middle + (0.25, 0.03) * (end - middle)
        lines.append(_draped(start, end))
    return Path(np.concatenate(lines), [Path.MOVETO, *[Path.CURVE4] * 3] * len(lines))


def _draped(middle: Array, end: Array) -> Array:
    """Return a cubic curve (4, 2) that leaves the middle level and hangs down to its end."""
    across, down = end - middle
    steps = [[0.0, 0.0], [0.65 * across, 0.0], [0.95 * across, 0.35 * down], [across, down]]
    return np.asarray(middle + np.array(steps))


def beads(sheet: Sheet) -> Array:
    """Return where the rim gathers into beads, (n, 2) [m].

    They lie 9 radii of the rim apart, as the capillary instability of a thread makes them.

    References
    ----------
    Rayleigh 1878, Proc. London Math. Soc. 10, 4 (from memory).
    """
    count = max(int(2.0 * math.pi * sheet.radius / (9.0 * sheet.rim)), 3)
    angles = 2.0 * math.pi * (np.arange(count) + 0.5) / count
    return np.asarray(rim_frame(sheet).transform(np.column_stack([np.cos(angles), np.sin(angles)])))
