"""How our figures look, and how they become text for a page."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

INK, PALE = "#22303c", "#c9d3da"
AS_SET, TRIMMED, WANTED = "#8aa4b8", "#c2571a", "#dcebdc"
"""Told apart by lightness as well as by hue, so that print and colour-blind eyes see them."""
WIDTH = 5.2
"""Inches of a figure: on a phone its text is then still as large as on paper."""
BAR, BARS = 0.4, (-0.2, 0.2)
"""How wide two bars of one row are, and where they lie about its middle."""

_STYLE: Any = {
    "svg.fonttype": "none",
    "svg.hashsalt": "jitter",
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "sans-serif"],
    "font.size": 10,
    "ytick.labelsize": 9,
    "xtick.labelsize": 9,
    "legend.fontsize": 9,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.axisbelow": True,
    "lines.solid_capstyle": "round",
    "patch.edgecolor": "white",
    "patch.force_edgecolor": True,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "figure.facecolor": "none",
    "axes.facecolor": "none",
    "legend.frameon": False,
}


@contextmanager
def sheet(
    width: float, height: float, rows: int = 1, **layout: Any
) -> Iterator[tuple[Figure, Any]]:
    """Open a figure of so many inches in our style.

    Parameters
    ----------
    width, height
        Inches.
    rows
        Axes above each other, sharing their horizontal axis.
    layout
        For `matplotlib.figure.Figure.subplots`.

    Yields
    ------
    figure, axes
    """
    with mpl.rc_context(_STYLE):
        figure = Figure(figsize=(width, height), layout="constrained")
        FigureCanvasSVG(figure)
        yield figure, figure.subplots(rows, 1, sharex=rows > 1, **layout)


def to_svg(figure: Figure, *, label: str, name: str) -> str:
    """Return a figure as an SVG element, its text as text, with a description for listeners.

    Parameters
    ----------
    figure
        Drawn in `sheet`.
    label
        What the picture shows, in a sentence; already escaped for HTML.
    name
        Keeps the element's ids apart from those of other pictures on the page.
    """
    with mpl.rc_context(_STYLE):
        layout = figure.get_layout_engine()
        if layout is not None:
            # Done here, since a figure that is saved with a layout to be done is drawn twice.
            layout.execute(figure)
            figure.set_layout_engine(None)
        file = io.StringIO()
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None})
    text = file.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r'(id="|href="#|url\(#)', rf"\g<1>{name}-", text)
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    head, rest = text.split(">", 1)
    head = re.sub(r'\s(?:width|height)="[^"]*"', "", head)
    return f'{head} role="img" aria-label="{label}">{rest}'


def bare(axes: Axes) -> None:
    """Take the left edge off axes whose rows name themselves."""
    axes.spines["left"].set_visible(False)
    axes.tick_params(axis="y", length=0)
