"""Which part of a frame is shown: all of it, or the middle that holds what there is to see."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from jitter.answers.scenes import Scene

MARGIN = 1.15
"""Room around what is to be seen."""

BELOW = 0.25
"""At most so much is shown of what lies below the surface, against what stands above it."""


@dataclass(frozen=True)
class View:
    """A part of the plane of focus: metres from the fall line and over the surface."""

    left: float
    right: float
    bottom: float
    top: float

    @property
    def width(self) -> float:
        """Of the view [m]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Of the view [m]."""
        return self.top - self.bottom


def whole(scene: Scene) -> View:
    """Return the whole field of a scene."""
    half = 0.5 * scene.width
    return View(-half, half, -scene.below, scene.height - scene.below)


def middle(scenes: Iterable[Scene]) -> View:
    """Return a part that holds what stands in every one of several scenes of one camera.

    As wide as the field is high, or less, and never more than the field: what stands beside it
    is cut off.

    Parameters
    ----------
    scenes
        At least one.
    """
    some = list(scenes)
    field = whole(some[0])
    aside, high = [0.25 * field.height], [0.25 * field.height]
    for scene in some:
        if scene.sheet is not None:
            aside.append(abs(scene.sheet.x) + scene.sheet.radius)
            high.append(scene.sheet.height + scene.sheet.rest)
        if scene.column is not None:
            high.append(scene.column.height)
        for drop in scene.drops:
            aside.append(abs(drop.x) + drop.radius)
            high.append(drop.height + drop.radius)
    top = min(MARGIN * max(high), field.top)
    bottom = max(field.bottom, -BELOW * max(top, 0.25 * field.height))
    half = min(max(MARGIN * max(aside), 0.5 * (top - bottom)), 0.5 * field.width)
    return View(-half, half, bottom, top)
