"""Drawn frames as pictures for a page."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from jitter.answers.scenes import Scene
from jitter.report.drawing import sheet, to_svg
from jitter.report.frames.drawn import draw_scene
from jitter.report.frames.view import View

WIDE = 1.7
"""Inches of a frame."""


class Captured(NamedTuple):
    """A scene to be drawn.

    Attributes
    ----------
    scene
        What stands in it.
    label
        What the picture shows, in a sentence, for those who listen.
    name
        Keeps the element's ids apart from those of other pictures on the page.
    """

    scene: Scene
    label: str
    name: str


def picture(scene: Scene, *, label: str, name: str, view: View) -> str:
    """Draw a frame as an SVG element.

    Parameters
    ----------
    scene, label, name
        See `Captured`.
    view
        The part of the field that is shown.
    """
    (svg,) = pictures([Captured(scene, label, name)], view=view)
    return svg


def pictures(captured: Iterable[Captured], *, view: View) -> list[str]:
    """Draw frames as an SVG element each.

    Parameters
    ----------
    captured
        The frames.
    view
        The part of the field that is shown.
    """
    drawn = []
    # One figure serves all, since to set up its axes takes longer than to draw in them.
    with sheet(WIDE, WIDE * view.height / view.width) as (figure, axes):
        figure.set_layout_engine(None)
        axes.set_position((0.0, 0.0, 1.0, 1.0))
        for scene, label, name in captured:
            draw_scene(axes, scene, view=view)
            svg = to_svg(figure, label=html.escape(label), name=name)
            drawn.append(_lighter(svg, name=name))
            for artist in (*axes.patches, *axes.lines):
                artist.remove()
    return drawn


def _lighter(svg: str, *, name: str) -> str:
    """Return a picture with numbers to a hundredth of a point, and nothing said twice."""

    def shorten(found: re.Match[str]) -> str:
        numbers = re.sub(
            r"-?\d+\.\d+",
            lambda number: f"{float(number[0]):.2f}".rstrip("0").rstrip("."),
            found[0],
        )
        return " ".join(numbers.split())

    svg = re.sub(r'(?<= )(?:d|style)="[^"]*"', shorten, svg)
    # Each path stands in a group of its own whose name nobody needs.
    svg = re.sub(r'<g id="[^"]*patch_\d+">\s*(<path [^>]*/>)\s*</g>', r"\1", svg)
    # The picture ends where its axes end.
    svg = re.sub(r' clip-path="[^"]*"', "", svg)
    svg = re.sub(r"<defs>\s*<clipPath.*?</clipPath>\s*</defs>", "", svg, flags=re.DOTALL)
    return _once(svg, name=name)


def _once(svg: str, *, name: str) -> str:
    """Return a picture in which an outline that is drawn again and again is written once.

    Soft edges are the same outline in several widths.
    """
    outlines = Counter(re.findall(r'<path (d="[^"]*") style', svg))
    marks: dict[str, str] = {}

    def again(found: re.Match[str]) -> str:
        outline, style = found.groups()
        if outlines[outline] == 1:
            return found[0]
        before = ""
        if outline not in marks:
            marks[outline] = f"{name}-o{len(marks)}"
            before = f'<defs><path id="{marks[outline]}" {outline}/></defs>'
        return f'{before}<use href="#{marks[outline]}" {style}/>'

    return re.sub(r'<path (d="[^"]*") (style="[^"]*")/>', again, svg)
