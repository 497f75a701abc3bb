"""The pictures of the README, taken from a page of `reports/`."""

from __future__ import annotations

import re
from typing import NamedTuple

CELL, GAP, WORDS, COLUMNS = 150, 14, 26, 6
"""Sides of a frame, of the space about it and below it [px], and frames to a row."""
PAPER, INK, RING = "#ffffff", "#22303c", "#a8480f"
FONT = "'DejaVu Sans', 'Segoe UI', 'Helvetica Neue', sans-serif"


class Picture(NamedTuple):
    """An SVG that stands by itself, and what it shows."""

    svg: str
    label: str


def contact_picture(html: str) -> Picture:
    """Return a page's contact sheet as one picture, keepers ringed, the verdict under each frame.

    Parameters
    ----------
    html
        The page of `jitter run`.
    """
    (sheet,) = re.findall(
        r'aria-label="(Contact sheet[^"]*)"[^>]*><ul class="sheet contact"(.*?)</ul>',
        html,
        re.DOTALL,
    )
    label, listed = sheet
    frames = re.findall(
        r"<li [^>]*><div( style)?.*?(<svg.*?</svg>)\s*</div><p [^>]*><strong>(.*?)</strong>",
        listed,
        re.DOTALL,
    )
    drawn = [_frame(place, *frame) for place, frame in enumerate(frames)]
    rows = -(-len(frames) // COLUMNS)
    size = (GAP + COLUMNS * (CELL + GAP), GAP + rows * (CELL + WORDS + GAP))
    return Picture(_standing(size, f'font-family="{FONT}" font-size="13"', drawn), label)


def _frame(place: int, ringed: str, svg: str, verdict: str) -> str:
    row, column = divmod(place, COLUMNS)
    x, y = GAP + column * (CELL + GAP), GAP + row * (CELL + WORDS + GAP)
    placed = svg.replace("<svg ", f'<svg x="{x}" y="{y}" width="{CELL}" height="{CELL}" ', 1)
    ring = (
        f'<rect x="{x - 3}" y="{y - 3}" width="{CELL + 6}" height="{CELL + 6}" rx="2"'
        f' fill="none" stroke="{RING}" stroke-width="3"/>'
    )
    words = f'<text x="{x}" y="{y + CELL + 20}" fill="{INK}">{verdict}</text>'
    return f"{placed}{ring if ringed else ''}{words}"


def ranking_picture(html: str) -> Picture:
    """Return a page's picture of what costs most.

    Parameters
    ----------
    html
        The page of `jitter run`.
    """
    ((svg, width, height, label),) = re.findall(
        r'(<svg[^>]*viewBox="0 0 ([\d.]+) ([\d.]+)"[^>]*aria-label="(Dots:[^"]*)".*?</svg>)',
        html,
        re.DOTALL,
    )
    return Picture(_standing((float(width), float(height)), "", [svg]), label)


def _standing(size: tuple[float, float], look: str, drawn: list[str]) -> str:
    """Return an SVG file of pieces on white paper."""
    width, height = size
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" {look}>',
            f'<rect width="100%" height="100%" fill="{PAPER}"/>',
            *drawn,
            "</svg>\n",
        ]
    )


PICTURES = {"contact-sheet": contact_picture, "what-costs-most": ranking_picture}
"""By the name of the file, what makes it of the default study's page."""
