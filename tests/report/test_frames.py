"""Drawn frames: the geometry in the picture is that of the scene, and the picture is sound."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch

from jitter.answers.scenes import Column, Drop, Scene, Sheet
from jitter.report.frames import shapes
from jitter.report.frames.brush import Brush
from jitter.report.frames.drawn import FIRST, SECOND, SHOWN, STEPS, draw_scene, magnified
from jitter.report.frames.picture import Captured, picture, pictures
from jitter.report.frames.view import View, middle, whole
from jitter.stages.look import ABOVE, KEPT

DROP = Drop(x=0.001, height=0.040, radius=0.00225, speed=3.3, second=True)
COLUMN = Column(foot=-0.0004, x=0.0006, height=0.022, radius=0.0031, speed=0.4)
SHEET = Sheet(
    x=0.0008,
    height=0.022,
    radius=0.013,
    sag=0.006,
    lean=(0.1, -0.05),
    drop=0.00225,
    rest=0.0,
    thickness=6e-5,
    rim=3e-4,
    life=0.4,
    speed=0.8,
)
BEFORE = Scene(
    look=ABOVE,
    lit=True,
    width=0.09,
    height=0.06,
    below=0.009,
    drops=(DROP,),
    column=COLUMN,
    sheet=None,
    crater=0.0,
    duration=33e-6,
    stagger=0.0,
    softness=4e-5,
    softest=4e-5,
    tolerated=2.25e-4,
    exposure=1.0,
    age=-0.002,
)
AFTER = replace(
    BEFORE, look=KEPT, drops=(), column=replace(COLUMN, speed=0.0), sheet=SHEET, age=0.006
)
HOSTILE = '<script>alert("1")</script> & "'


def drawn(scene: Scene, view: View | None = None) -> Axes:
    figure = Figure(figsize=(3.0, 2.0))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    draw_scene(axes, scene, view=view)
    return axes


def filled(axes: Axes, colour: str) -> list[PathPatch]:
    """Return what is filled with a colour, in the order of drawing."""
    return [
        patch
        for patch in axes.patches
        if isinstance(patch, PathPatch)
        and patch.get_fill()
        and tuple(patch.get_facecolor()[:3]) == pytest.approx(to_rgb(colour), abs=0.003)
    ]


def test_the_drop_is_where_it_is() -> None:
    """closed form: a circle's extents."""
    axes = drawn(replace(BEFORE, duration=0.0))
    (patch,) = filled(axes, SECOND)
    box = patch.get_path().get_extents()
    assert (box.x0, box.x1) == pytest.approx((DROP.x - DROP.radius, DROP.x + DROP.radius))
    low = DROP.height - DROP.radius
    assert (box.y0, box.y1) == pytest.approx((low, low + 2.0 * DROP.radius))
    assert (*axes.get_xlim(), *axes.get_ylim()) == pytest.approx((-0.045, 0.045, -0.009, 0.051))


@pytest.mark.parametrize("height", [0.0005, 0.004, 0.009, 0.012, 0.022, 0.060])
@pytest.mark.parametrize("headless", [False, True])
def test_the_column_stands_on_the_surface_and_ends_at_its_tip(
    height: float, headless: bool
) -> None:
    column = replace(COLUMN, height=height)
    box = shapes.column_path(column, headless=headless).get_extents()
    assert box.y1 == pytest.approx(height)
    # Its foot is round: it comes nearer than the fall line, and is drawn lower.
    assert -1.5 * column.radius < box.y0 < 0.0
    top = np.asarray(shapes.column_path(column, headless=headless).vertices)
    tips = top[np.isclose(top[:, 1], height)]
    assert tips[:, 0].mean() == pytest.approx(column.x)


def test_the_column_has_its_head() -> None:
    """closed form: the head is as wide as a circle of its radius, one radius below the tip."""
    vertices = np.asarray(shapes.column_path(replace(COLUMN, foot=COLUMN.x)).vertices)
    level = vertices[np.isclose(vertices[:, 1], COLUMN.height - COLUMN.radius)]
    assert np.ptp(level[:, 0]) == pytest.approx(2.0 * COLUMN.radius)


@pytest.mark.parametrize("height", [0.004, 0.009, 0.022, 0.060])
@pytest.mark.parametrize("headless", [False, True])
def test_the_shade_lies_along_the_right_of_the_jet(height: float, headless: bool) -> None:
    """closed form: no wider than the outline, no nearer to its middle than a share of the way."""
    upright = replace(COLUMN, foot=0.0, x=0.0, height=height)
    outline = shapes.column_path(upright, headless=headless).get_extents()
    shade = np.asarray(shapes.shaded_path(upright, headless=headless).vertices)
    assert shade[:, 0].max() == pytest.approx(outline.x1, rel=1e-3)
    assert shade[:, 0].min() >= 0.0
    foot = shade[shade[:, 1] == 0.0][:, 0]
    assert foot.min() == pytest.approx(shapes.SHADE * foot.max())
    assert shade[:, 1].max() == pytest.approx(height)


def test_later_the_drop_is_lower_the_jet_higher_and_the_rim_wider() -> None:
    """closed form: speed times time."""
    later = 1e-3
    drop = shapes.drop_path(DROP, later=later).get_extents()
    assert 0.5 * (drop.y0 + drop.y1) == pytest.approx(DROP.height - DROP.speed * later)
    column = shapes.column_path(COLUMN, later=later).get_extents()
    assert column.y1 == pytest.approx(COLUMN.height + COLUMN.speed * later)
    upright = replace(SHEET, lean=(0.0, 0.0))
    rim = shapes.rim_path(upright, first=0.0, last=360.0, later=later).get_extents()
    assert rim.x1 - rim.x0 == pytest.approx(2.0 * (SHEET.radius + SHEET.speed * later))


def on_rim(sheet: Sheet, degrees: float) -> tuple[float, float]:
    angle = math.radians(degrees)
    x, z = shapes.rim_frame(sheet).transform((math.cos(angle), math.sin(angle)))
    return float(x), float(z)


def test_an_upright_rim_is_a_level_circle_seen_from_above() -> None:
    """closed form: a circle at the height of the meeting less its sag."""
    upright = replace(SHEET, lean=(0.0, 0.0))
    level = SHEET.height - SHEET.sag
    assert on_rim(upright, 0.0) == pytest.approx((SHEET.x + SHEET.radius, level))
    assert on_rim(upright, 180.0) == pytest.approx((SHEET.x - SHEET.radius, level))
    near = level - shapes.LOOK_DOWN * SHEET.radius
    assert on_rim(upright, 90.0) == pytest.approx((SHEET.x, near))


def test_a_sheet_struck_on_its_right_hangs_down_on_its_right() -> None:
    """closed form: a disc square to a line that leans by arcsin B: cosine across, sine down."""
    leaning = replace(SHEET, lean=(0.5, 0.0))
    x, z = on_rim(leaning, 0.0)
    assert x - SHEET.x == pytest.approx(SHEET.radius * math.sqrt(0.75))
    assert z - (SHEET.height - SHEET.sag) == pytest.approx(-0.5 * SHEET.radius)


def test_a_sheet_struck_towards_the_camera_opens_to_it() -> None:
    """closed form: its nearest point is lower by R (sin θ + k cos θ), k what depth is drawn as."""
    towards = replace(SHEET, lean=(0.0, 0.5))
    _, z = on_rim(towards, 90.0)
    down = SHEET.radius * (0.5 + shapes.LOOK_DOWN * math.sqrt(0.75))
    assert z == pytest.approx(SHEET.height - SHEET.sag - down)


def test_the_film_hangs_from_the_meeting_to_the_rim() -> None:
    box = shapes.film_path(replace(SHEET, lean=(0.0, 0.0))).get_extents()
    assert box.y1 == pytest.approx(SHEET.height)
    assert box.y0 == pytest.approx(SHEET.height - SHEET.sag - shapes.LOOK_DOWN * SHEET.radius)
    assert (box.x0, box.x1) == pytest.approx((SHEET.x - SHEET.radius, SHEET.x + SHEET.radius))


@pytest.mark.parametrize("rest", [0.001, 0.00225, 0.003, 0.0045])
def test_the_rest_of_the_drop_lies_on_its_sheet(rest: float) -> None:
    """closed form: a circle cut off at the sheet's height."""
    box = shapes.rest_path(replace(SHEET, rest=rest)).get_extents()
    assert (box.y0, box.y1) == pytest.approx((SHEET.height, SHEET.height + rest), abs=1e-6)
    if rest >= SHEET.drop:
        assert box.x1 - box.x0 == pytest.approx(2.0 * SHEET.drop, rel=1e-3)


def test_beads_hold_the_rim_between_them() -> None:
    """closed form: a sphere of 1.9 radii holds 9 radii of a thread, 4/3 π 1.9³ = 9.1 π."""
    count = len(shapes.beads(SHEET))
    assert count == int(2.0 * math.pi * SHEET.radius / (9.0 * SHEET.rim))


def images(axes: Axes) -> Iterator[float]:
    """Yield the middles of the drop's images."""
    for patch in filled(axes, SECOND):
        box = patch.get_path().get_extents()
        yield 0.5 * (box.y0 + box.y1)


def test_a_smear_is_as_long_as_the_way_in_the_light() -> None:
    """closed form: v t0.1, as many times as large as blur is drawn."""
    smeared = replace(BEFORE, duration=200e-6)
    heights = sorted(images(drawn(smeared)))
    larger = magnified(smeared, whole(smeared))
    assert larger == pytest.approx(SHOWN * 0.09 / 2.25e-4)
    assert len(heights) == STEPS
    assert heights[-1] - heights[0] == pytest.approx(larger * 3.3 * 200e-6)
    assert np.mean(heights) == pytest.approx(DROP.height)


def test_two_flashes_make_two_images() -> None:
    """closed form: v Δ apart."""
    twice = replace(BEFORE, duration=0.0, stagger=300e-6)
    first, second = sorted(images(drawn(twice)))
    larger = magnified(twice, whole(twice))
    assert second - first == pytest.approx(larger * 3.3 * 300e-6)


def test_blur_is_never_drawn_smaller_than_it_is() -> None:
    rough = replace(BEFORE, tolerated=0.01)
    assert magnified(rough, whole(rough)) == 1.0


def test_what_is_out_of_focus_has_no_sharp_edge() -> None:
    """Its widest line is as wide as the disc of a point."""
    soft = replace(BEFORE, softness=4e-4, softest=4e-4, drops=())
    lines = [patch.get_linewidth() for patch in drawn(soft).patches if not patch.get_fill()]
    points = 72.0 * 3.0 / 0.09
    assert max(lines) == pytest.approx(points * magnified(soft, whole(soft)) * 4e-4)
    edges = [
        patch for patch in filled(drawn(soft), FIRST) if np.asarray(patch.get_edgecolor())[3] > 0.0
    ]
    assert edges == []
    # A frame that is soft somewhere only, but too soft there, counts as soft.
    deep = replace(soft, softness=0.0)
    assert max(patch.get_linewidth() for patch in drawn(deep).patches) == pytest.approx(max(lines))


def shade(colour: str, exposure: float) -> tuple[float, float, float]:
    brush = Brush(Figure().add_subplot(), exposure=exposure, points=1.0, soft=0.0)
    return to_rgb(brush.shade(colour))


def test_exposure_is_brightness() -> None:
    """from memory: the curve of IEC 61966-2-1:1999, 1.055 E^(1/2.4) - 0.055, of half the light."""
    assert shade(SECOND, 1.0) == pytest.approx(to_rgb(SECOND))
    grey = 1.055 * 0.5 ** (1.0 / 2.4) - 0.055
    assert shade("#ffffff", 0.5) == pytest.approx((grey, grey, grey), abs=0.003)
    assert shade(SECOND, 1e3) == (1.0, 1.0, 1.0)
    assert shade(SECOND, 0.0) == (0.0, 0.0, 0.0)


def test_a_frame_without_light_is_black() -> None:
    axes = drawn(replace(BEFORE, exposure=0.0, lit=False, drops=(), column=None))
    (ground,) = axes.patches
    assert to_rgb(ground.get_facecolor()) == (0.0, 0.0, 0.0)


def test_the_middle_holds_what_stands_there_and_no_more_than_the_field() -> None:
    view = middle([BEFORE, AFTER])
    assert view.top > DROP.height + DROP.radius
    assert view.right > SHEET.x + SHEET.radius
    assert view.left == -view.right
    field = whole(BEFORE)
    assert view.width < field.width
    assert view.top <= field.top
    high = replace(BEFORE, drops=(replace(DROP, height=0.0505),))
    assert middle([high]).top == field.top
    assert middle([replace(BEFORE, below=BEFORE.height)]).height > 0.0


def picture_of(scene: Scene, label: str = "A frame.") -> str:
    return picture(scene, label=label, name="some", view=middle([BEFORE, AFTER]))


SOFT = replace(AFTER, softness=4e-4, softest=4e-4)


@pytest.mark.parametrize("scene", [BEFORE, AFTER, SOFT])
def test_a_picture_is_sound(scene: Scene) -> None:
    svg = picture_of(scene)
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert root.get("aria-label") == "A frame."
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(str(one).startswith("some-") for one in ids)
    asked = re.findall(r"url\(#([^)]+)\)", svg) + re.findall(r'href="#([^"]+)"', svg)
    assert set(asked) <= set(ids)
    paths = [element.get("d", "") for element in root.iter() if element.tag.endswith("path")]
    assert len(paths) > 10
    assert not any(re.search("nan|inf|e[+-]", path, re.IGNORECASE) for path in paths)


def test_an_outline_drawn_again_and_again_is_written_once() -> None:
    svg = picture_of(SOFT)
    outlines = re.findall(r'<path [^>]*\bd="([^"]*)"', svg)
    assert len(outlines) == len(set(outlines))
    # Four widths of line about what they enclose.
    used = re.findall(r'<use href="#(some-o\d+)"', svg)
    assert len(used) >= 4 * len(set(used)) > 0


def test_pictures_do_not_hold_each_other() -> None:
    """Drawn one after the other in one figure, they are as drawn alone."""
    view = middle([BEFORE, AFTER])
    scenes = {"one": AFTER, "two": BEFORE, "three": SOFT}
    drawn = pictures([Captured(scene, "A.", name) for name, scene in scenes.items()], view=view)
    alone = [picture(scene, label="A.", name=name, view=view) for name, scene in scenes.items()]
    assert drawn == alone


def test_a_picture_has_the_shape_of_what_it_shows() -> None:
    svg = picture(AFTER, label="A frame.", name="some", view=whole(AFTER))
    wide, high = map(float, ElementTree.fromstring(svg).get("viewBox", "").split()[2:])
    # closed form: the field is 90 mm by 60 mm.
    assert high / wide == pytest.approx(2.0 / 3.0, rel=1e-3)


def test_the_same_frame_makes_the_same_picture() -> None:
    assert picture_of(AFTER) == picture_of(AFTER)


def test_a_picture_stays_small() -> None:
    """regression: a frame takes about 8 kB."""
    assert len(picture_of(AFTER).encode()) < 9_000


def test_a_hostile_label_is_text() -> None:
    svg = picture_of(AFTER, HOSTILE)
    assert ElementTree.fromstring(svg).get("aria-label") == HOSTILE
    assert "<script" not in svg
