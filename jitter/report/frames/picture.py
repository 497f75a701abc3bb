"""A drawn frame as a picture for a page."""

from __future__ import annotations

import html
import re

from jitter.answers.scenes import Scene
from jitter.report.drawing import sheet, to_svg
from jitter.report.frames.drawn import draw_scene
from jitter.report.frames.view import View

WIDE = 1.7
"""Inches of a frame."""


def picture(scene: Scene, *, label: str, name: str, view: View) -> str:
    """Draw a frame as an SVG element.

    Parameters
    ----------
    scene
        What stands in it.
    label
        What the picture shows, in a sentence, for those who listen.
    name
        Keeps the element's ids apart from those of other pictures on the page.
    view
        The part of the field that is shown.
    """
    with sheet(WIDE, WIDE * view.height / view.width) as (figure, axes):
        axes.remove()
        figure.set_layout_engine(None)
        draw_scene(figure.add_axes((0.0, 0.0, 1.0, 1.0)), scene, view=view)
        return _lighter(to_svg(figure, label=html.escape(label), name=name))


def _lighter(svg: str) -> str:
    """Return a picture with its paths written to a hundredth of a point, and no line breaks."""

    def shorten(found: re.Match[str]) -> str:
        numbers = re.sub(
            r"-?\d+\.\d+",
            lambda number: f"{float(number[0]):.2f}".rstrip("0").rstrip("."),
            found[0],
        )
        return " ".join(numbers.split())

    svg = re.sub(r'(?<= )d="[^"]*"', shorten, svg)
    # Each path stands in a group of its own whose name nobody needs.
    return re.sub(r'<g id="[^"]*patch_\d+">\s*(<path [^>]*/>)\s*</g>', r"\1", svg)
