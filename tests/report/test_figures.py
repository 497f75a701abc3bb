"""How figures look: wide enough for a phone, told apart without colours."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from jitter.answers.run import RunAnswer
from jitter.report.compare.figures import apart
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH
from jitter.report.figures import ages_figure, ranking_figure, reasons_figure
from jitter.report.power.figures import CAUSES
from jitter.report.timeline import timeline_figure
from jitter.report.validation.figures import (
    durations_figure,
    froude_figure,
    likeness_figure,
    tip_figure,
    wobble_figure,
)

SVG = "{http://www.w3.org/2000/svg}"
PHONE = 350.0
"""Pixels that a figure has on a narrow phone: common practice, no source."""
READ = 7.9
"""The smallest letters that can be read there, in pixels: common practice, no source."""


def lightness(colour: str) -> float:
    """Return the lightness L* of a colour, from 0 to 100.

    Published: CIE 15:2004, 8.2.1.1, and IEC 61966-2-1:1999 (both from memory).
    """
    encoded = np.array(to_rgb(colour))
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    return float(116.0 * np.cbrt(linear @ np.array([0.2126, 0.7152, 0.0722])) - 16.0)


@pytest.fixture(scope="module")
def drawn(barn: RunAnswer) -> list[str]:
    return [
        reasons_figure(barn),
        ages_figure(barn),
        ranking_figure(barn),
        timeline_figure(barn.study, barn.nominal),
        durations_figure(),
        froude_figure(),
        likeness_figure(),
        tip_figure(),
        wobble_figure(),
    ]


def test_words_can_be_read_on_a_phone(drawn: list[str]) -> None:
    for svg in drawn:
        root = ElementTree.fromstring(svg)
        wide = float(root.get("viewBox", "").split()[2])
        assert wide == pytest.approx(72.0 * WIDTH)  # closed form: 72 points to an inch
        sizes = [
            float(found[1])
            for text in root.iter(f"{SVG}text")
            if (found := re.search(r"font(?:-size)?:.*?([\d.]+)px", text.get("style", "")))
        ]
        assert len(sizes) > 5
        assert min(sizes) * PHONE / wide > READ


@pytest.mark.parametrize(
    ("one", "other"), [(AS_SET, TRIMMED), (TRIMMED, INK), (AS_SET, INK), (PALE, AS_SET)]
)
def test_colours_that_stand_side_by_side_differ_in_lightness(one: str, other: str) -> None:
    # Common practice, no source: ten steps of L* are seen at a glance.
    assert abs(lightness(one) - lightness(other)) > 10.0


def test_causes_of_lost_frames_differ_in_lightness_in_their_stack() -> None:
    stacked = [PALE, *(colour for _, colour in CAUSES)]
    # Common practice, no source, as above.
    assert all(abs(lightness(a) - lightness(b)) > 10.0 for a, b in pairwise(stacked))
    every = sorted(map(lightness, stacked))
    assert all(high - low > 10.0 for low, high in pairwise(every))


@pytest.mark.parametrize("count", range(2, 13))
def test_shades_of_neighbours_lie_apart_on_their_scale(count: int) -> None:
    places = apart(count)
    assert len(set(places.tolist())) == count
    assert places.min() >= 0.0
    assert places.max() <= 1.0
    # closed form: count shades in two halves, taken by turns, are at least (count/2 - 1) steps of
    # 0.9/(count - 1) apart, or one step where there are but two or three.
    least = max(count // 2 - 1, 1) * 0.9 / (count - 1)
    assert all(abs(b - a) > least - 1e-9 for a, b in pairwise(places.tolist()))


def test_one_shade_needs_no_neighbour() -> None:
    assert apart(1).shape == (1,)
    assert apart(0).shape == (0,)
