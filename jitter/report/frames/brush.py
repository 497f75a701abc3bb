"""A brush: puts paths into axes as bright and as soft as a frame is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_hex, to_rgb
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from jitter.arrays import Array

THIN = 0.6
"""Points of the thinnest line."""
SOFT = (0.25, 0.5, 0.75, 1.0)
"""Widths of the lines, over the disc, that make an edge soft; each as dense as the next."""
EDGE, BODY = 0.22, 0.6
"""How dense those lines are, and what they enclose."""
STEPS = 3
"""Steps of brightness to a stop: less does not show."""


@dataclass(frozen=True)
class Brush:
    """Puts paths into axes.

    Attributes
    ----------
    axes
        Where to.
    exposure
        1 is right, 2 one stop over.
    points
        Of the figure to a metre of the axes.
    soft
        Disc of a point, as drawn; 0 for a sharp picture [m].
    """

    axes: Axes
    exposure: float
    points: float
    soft: float

    def shade(self, colour: str) -> str:
        """Return a colour as bright as it is in this frame, by the curve of an sRGB picture.

        References
        ----------
        The curve: IEC 61966-2-1:1999 (from memory).
        """
        encoded = np.array(to_rgb(colour))
        linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
        light = 0.0
        if self.exposure > 0.0:
            light = 2.0 ** (round(STEPS * float(np.log2(self.exposure))) / STEPS)
        lit = np.minimum(light * linear, 1.0)
        again = np.where(lit <= 0.0031308, 12.92 * lit, 1.055 * lit ** (1.0 / 2.4) - 0.055)
        return _hex(np.clip(again, 0.0, 1.0))

    def fill(
        self, path: Path, colour: str, *, alpha: float = 1.0, edge: str = "", sharp: bool = False
    ) -> None:
        """Fill a path; its edge is a thin line where asked for, or soft unless kept sharp."""
        shown = self.shade(colour)
        if self.soft == 0.0 or sharp:
            line = self.shade(edge) if edge else "none"
            self.axes.add_artist(PathPatch(path, fc=shown, ec=line, lw=THIN, alpha=alpha))
            return
        self.axes.add_artist(PathPatch(path, fc=shown, ec="none", alpha=BODY * alpha))
        self.line(path, colour, width=0.0, alpha=alpha)

    def line(self, path: Path, colour: str, *, width: float, alpha: float = 1.0) -> None:
        """Draw a line of a width [m], at least a thin one."""
        shown = self.shade(colour)
        parts = [(0.0, alpha)]
        if self.soft > 0.0:
            parts = [(share * self.soft, EDGE * alpha) for share in SOFT]
        for wider, dense in parts:
            points = max(self.points * (width + wider), THIN)
            self.axes.add_artist(
                PathPatch(path, fill=False, ec=shown, lw=points, alpha=dense, capstyle="round")
            )

    def dots(self, x: Array, z: Array, colour: str, *, radius: float) -> None:
        """Draw discs of one radius [m], sharp."""
        size = 2.0 * self.points * radius
        self.axes.plot(x, z, "o", ms=size, mfc=self.shade(colour), mec="none")


def mixed(one: str, other: str, share: float) -> str:
    """Return a colour with so much of the other in it."""
    return _hex((1.0 - share) * np.array(to_rgb(one)) + share * np.array(to_rgb(other)))


def _hex(colour: Array) -> str:
    red, green, blue = (float(part) for part in colour)
    return to_hex((red, green, blue))
