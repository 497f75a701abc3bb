"""A contact sheet: many frames side by side, each with its caption, as one picture."""

from __future__ import annotations

import html
import re
import textwrap
import warnings
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.figure import Figure

from jitter.answers.scenes import Scene
from jitter.report.drawing import sheet, to_svg
from jitter.report.frames.drawn import draw_scene
from jitter.report.frames.view import View, middle

WIDE = 1.7
"""Inches of a frame."""
GAP, LINE, LETTERS = 0.14, 0.15, 27
"""Inches between frames and from line to line of a caption, letters in a line."""
TYPE = 8.5


@dataclass(frozen=True)
class Captioned:
    """A frame of a contact sheet: what it shows and what stands below it."""

    scene: Scene
    caption: str


def contact_sheet(
    frames: Sequence[Captioned],
    *,
    label: str,
    name: str,
    columns: int = 4,
    view: View | None = None,
) -> str:
    """Draw frames in rows, all of them with the same part of the field, as an SVG element.

    Parameters
    ----------
    frames
        At least one, of one camera.
    label
        What the picture shows, in a sentence, for those who listen.
    name
        Keeps the element's ids apart from those of other pictures on the page.
    columns
        Frames in a row.
    view
        The part of the field; the middle that holds what stands in every frame where None.
    """
    seen = middle([frame.scene for frame in frames]) if view is None else view
    captions = [textwrap.wrap(_printable(frame.caption), LETTERS) for frame in frames]
    tall = WIDE * seen.height / seen.width
    size, corners = _laid_out(captions, columns=min(columns, len(frames)), tall=tall)
    with sheet(*size) as (figure, axes):
        axes.remove()
        figure.set_layout_engine("none")
        for frame, lines, (left, foot) in zip(frames, captions, corners, strict=True):
            _place(figure, frame.scene, seen, corner=(left, foot), tall=tall)
            for line, words in enumerate(lines):
                low = foot - (line + 0.85) * LINE
                place = (left / size[0], low / size[1])
                # A user's remark is no formula.
                figure.text(*place, words, fontsize=TYPE, parse_math=False)
        with warnings.catch_warnings():
            # Text stays text: the reader's fonts have what ours lack.
            warnings.filterwarnings("ignore", "Glyph .* missing")
            return lighter(to_svg(figure, label=html.escape(label), name=name))


def _printable(text: str) -> str:
    """Return a text without what a picture cannot hold: control and direction marks."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _laid_out(
    captions: Sequence[Sequence[str]], *, columns: int, tall: float
) -> tuple[tuple[float, float], list[tuple[float, float]]]:
    """Return the sheet's width and height and each frame's lower left corner [inches].

    Rows are as far apart as their longest caption needs.
    """
    lefts = [column * (WIDE + GAP) for column in range(columns)]
    feet, down = [], 0.0
    for first in range(0, len(captions), columns):
        feet += [down + tall] * columns
        lines = max(len(caption) for caption in captions[first : first + columns])
        down += tall + LINE * lines + GAP
    high = down - 0.5 * GAP
    corners = [(lefts[place % columns], high - feet[place]) for place in range(len(captions))]
    return (columns * (WIDE + GAP) - GAP, high), corners


def _place(
    figure: Figure, scene: Scene, view: View, *, corner: tuple[float, float], tall: float
) -> None:
    """Draw a scene at a place of the figure [inches]."""
    wide, high = figure.get_size_inches()
    axes = figure.add_axes((corner[0] / wide, corner[1] / high, WIDE / wide, tall / high))
    draw_scene(axes, scene, view=view)


def lighter(svg: str) -> str:
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
