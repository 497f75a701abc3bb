"""A scene, drawn as the camera would see it: light on a dark ground."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from jitter.answers.scenes import Scene, Sheet
from jitter.report.frames import shapes
from jitter.report.frames.brush import Brush, mixed
from jitter.report.frames.view import View, whole

GROUND, GLOW, LIQUID, SHORE = "#15222b", "#2c4a5b", "#1d4457", "#86b4c6"
FIRST, SECOND, GLINT = "#b5d8e6", "#f2b277", "#ffffff"
"""Of the dish and the first drop, and of the second drop and its sheet; told apart by lightness in
the film and the rim as well."""

SHOWN = 0.03
"""The largest blur of a keeper is drawn as wide as this share of the view, if it is smaller."""
GLOWS = 10
"""Steps of the light behind."""
DISH = 0.04
"""Half the width of the dish, if the frame shows so much of it [m]. By eye."""
STEPS = 5
"""Images that make up a long smear."""
DENSE = 0.95
"""Of what lies under all images of a smear, so much is covered."""
LEAST = 0.012
"""Smears and discs under this share of the view are not drawn: nobody would see them."""
SHADED = 0.35
"""How dense the shadow is on the jet."""
BULGE = 1.9
"""Radius of a bead over that of the thread of which it takes 9 radii: closed form, equal volume."""
BEADED = 0.55
"""Share of a sheet's life after which its rim is drawn as beads. By eye."""


def magnified(scene: Scene, view: View) -> float:
    """Return how many times as large as it is blur is drawn, 1 or more.

    Parameters
    ----------
    scene
        What is drawn.
    view
        The part of it that is shown.
    """
    return max(SHOWN * view.width / scene.tolerated, 1.0)


def draw_scene(axes: Axes, scene: Scene, *, view: View | None = None) -> None:
    """Draw a scene into axes that are as wide to their height as the view.

    Lengths are true to scale, in metres: the fall line at 0, the surface below jet and fall line at
    0. Motion is drawn as images one after the other, several flashes as an image each, what is out
    of focus with soft edges, all three `magnified`; exposure as brightness.

    Parameters
    ----------
    axes
        Of a figure whose size is settled.
    scene
        What to draw.
    view
        The part to show; the whole field where None.
    """
    seen = whole(scene) if view is None else view
    axes.set(xlim=(seen.left, seen.right), ylim=(seen.bottom, seen.top))
    axes.set_axis_off()
    figure = axes.get_figure(root=True)
    wide = 72.0 * axes.get_position().width * (figure.get_figwidth() if figure is not None else 1.0)
    larger = magnified(scene, seen)
    # A frame that is too soft anywhere is drawn as soft as it is there.
    soft = larger * (scene.softest if scene.softest > scene.tolerated else scene.softness)
    brush = Brush(
        axes,
        exposure=scene.exposure,
        points=wide / seen.width,
        soft=soft if soft > LEAST * seen.width else 0.0,
    )
    axes.add_artist(
        Rectangle((seen.left, seen.bottom), seen.width, seen.height, color=brush.shade(GROUND))
    )
    if scene.exposure > 0.0:
        _draw_ground(brush, scene)
        # Steps much shorter than a point's disc would not show.
        least = max(LEAST * seen.width, 0.5 * brush.soft)
        times = _images(scene, larger=larger, least=least)
        _draw_far_sheet(brush, scene, times)
        _draw_column(brush, scene, times)
        _draw_drops(brush, scene, times)
        _draw_near_sheet(brush, scene, times)


def _images(scene: Scene, *, larger: float, least: float) -> tuple[float, ...]:
    """Return the moments of the images that make up the frame, from its middle [s]."""
    speeds = [drop.speed for drop in scene.drops]
    speeds += [scene.sheet.speed] if scene.sheet is not None else []
    speeds += [abs(scene.column.speed)] if scene.column is not None else []
    fastest = larger * max(speeds, default=0.0)
    pulses = np.array([0.0])
    if fastest * scene.stagger > least:
        pulses = larger * scene.stagger * np.array([-0.5, 0.5])
    length = fastest * scene.duration
    if length > least:
        steps = np.linspace(-0.5, 0.5, min(2 + int(length / least), STEPS))
        pulses = (pulses[:, None] + larger * scene.duration * steps).ravel()
    return tuple(float(time) for time in pulses)


def _share(times: tuple[float, ...]) -> float:
    """Return how dense each of several images is that lie over each other."""
    return float(1.0 - (1.0 - DENSE) ** (1.0 / len(times))) if len(times) > 1 else 1.0


def _draw_ground(brush: Brush, scene: Scene) -> None:
    """Draw the light behind, the dish and what is in its surface."""
    for step in range(GLOWS):
        share = 1.0 - step / GLOWS
        glow = shapes.ellipse(
            0.0, 0.35 * scene.height, 0.5 * share * scene.width, 0.6 * share * scene.height
        )
        brush.fill(glow, mixed(GROUND, GLOW, (step + 1) / GLOWS), sharp=True)
    dish = min(0.44 * scene.width, DISH)
    brush.fill(
        shapes.ellipse(0.0, 0.0, dish, shapes.LOOK_DOWN * dish), LIQUID, edge=SHORE, sharp=True
    )
    if scene.crater > 0.0:
        for wide, colour, alpha in ((1.0, FIRST, 0.55), (0.86, GROUND, 0.9)):
            hole = shapes.ellipse(
                0.0, 0.0, wide * scene.crater, wide * shapes.LOOK_DOWN * scene.crater
            )
            brush.fill(hole, colour, alpha=alpha)


def _draw_column(brush: Brush, scene: Scene, times: tuple[float, ...]) -> None:
    column = scene.column
    if column is None:
        return
    for wide in (2.6, 4.4):
        ring = wide * column.radius
        rings = shapes.ellipse(column.foot, 0.0, ring, shapes.LOOK_DOWN * ring)
        brush.line(rings, SHORE, width=0.0, alpha=0.6)
    moments = times if column.speed != 0.0 else (0.0,)
    share = _share(moments)
    for later in moments:
        body = shapes.column_path(column, later=later, headless=scene.sheet is not None)
        brush.fill(body, FIRST, alpha=0.9 * share, edge=GLINT)
        brush.fill(shapes.mirrored(body), FIRST, alpha=0.2 * share, sharp=True)
        if brush.soft == 0.0:
            # What makes it look round: dark on the side away from the light.
            side = shapes.shaded_path(column, later=later, headless=scene.sheet is not None)
            brush.fill(side, LIQUID, alpha=SHADED * share, sharp=True)
    if scene.sheet is None:
        radius = min(column.radius, 0.5 * column.height)
        _glint(brush, column.x, column.height - radius, radius, moments, -column.speed)


def _draw_drops(brush: Brush, scene: Scene, times: tuple[float, ...]) -> None:
    share = _share(times)
    for drop in scene.drops:
        colour = SECOND if drop.second else FIRST
        for later in times:
            brush.fill(shapes.drop_path(drop, later=later), colour, alpha=share, edge=GLINT)
        _glint(brush, drop.x, drop.height, drop.radius, times, drop.speed)


def _glint(
    brush: Brush, x: float, z: float, radius: float, times: Iterable[float], speed: float
) -> None:
    """Draw the flash mirrored in a drop."""
    for later in times:
        spot = shapes.ellipse(
            x - 0.35 * radius, z + 0.35 * radius - later * speed, 0.2 * radius, 0.26 * radius
        )
        brush.fill(spot, GLINT, alpha=0.9)


def _film(sheet: Sheet) -> float:
    """Return how dense the film is drawn: it thins out with the sheet's life."""
    return 0.3 + 0.4 * (1.0 - sheet.life)


def _draw_far_sheet(brush: Brush, scene: Scene, times: tuple[float, ...]) -> None:
    """Draw what of the sheet is behind the jet."""
    sheet = scene.sheet
    if sheet is None:
        return
    share = _share(times)
    for later in times:
        far = shapes.rim_path(sheet, first=180.0, last=360.0, later=later)
        brush.line(far, SECOND, width=2.0 * sheet.rim, alpha=0.8 * share)
        if sheet.life < 1.0:
            ring = shapes.rim_path(sheet, first=0.0, last=360.0, later=later)
            brush.fill(ring, SECOND, alpha=0.9 * _film(sheet) * share)


def _draw_near_sheet(brush: Brush, scene: Scene, times: tuple[float, ...]) -> None:
    """Draw the film over the jet, and the nearer half of the rim."""
    sheet = scene.sheet
    if sheet is None:
        return
    share = _share(times)
    film = _film(sheet)
    for later in times:
        if sheet.life < 1.0:
            brush.fill(
                shapes.film_path(sheet, later=later), SECOND, alpha=film * share, edge=SECOND
            )
            brush.line(shapes.ribs_path(sheet, later=later), GLINT, width=0.0, alpha=0.5 * share)
        near = shapes.rim_path(sheet, first=0.0, last=180.0, later=later)
        brush.line(near, SECOND, width=2.0 * sheet.rim, alpha=share)
    if sheet.life >= BEADED and len(times) == 1:
        x, z = shapes.beads(sheet).T
        brush.dots(x, z, SECOND, radius=BULGE * sheet.rim)
    if sheet.rest > 0.0:
        brush.fill(shapes.rest_path(sheet), SECOND, edge=GLINT)
        if sheet.rest > sheet.drop:
            middle = sheet.height + sheet.rest - sheet.drop
            _glint(brush, sheet.x, middle, sheet.drop, (0.0,), 0.0)
