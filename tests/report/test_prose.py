"""Sentences on a screen: short lines, whole numbers, beginnings that are found."""

from __future__ import annotations

import io
from itertools import pairwise

import pytest
from rich.console import Console

from jitter.report.prose import READABLE, Prose, warned

SAID = (
    "As set by ruler these cost you less than one frame in 100, each with the others as they stand:"
    " delay 268.7 to 270.2 ms, interval 68.5 to 70.4 ms (\u00b1 1.5 ms) and sensor height 481.1 to"
    " 483.5 mm, at 20 \u00b0C, f/13 and ISO 200, sure to 95 %."
)


def lines(prose: Prose, width: int) -> list[str]:
    file = io.StringIO()
    Console(file=file, width=width, highlight=False).print(prose)
    return file.getvalue().splitlines()


@pytest.mark.parametrize("width", range(30, 160))
def test_no_number_is_torn_from_its_unit_at_any_width(width: int) -> None:
    told = lines(Prose(SAID), width)
    assert max(map(len, told)) <= min(width, READABLE)
    assert " ".join(line.strip() for line in told) == SAID
    for line, following in pairwise(told):
        assert following.startswith("  ")
        assert not following.strip().startswith(("ms", "mm", "\u00b0C", "%", "100"))
        assert not line.endswith(("\u00b1", "(\u00b1", "ISO", " in"))


def test_a_warning_is_marked_and_stands_apart() -> None:
    empty, prose = warned(("It is dark.",))
    assert isinstance(prose, Prose)
    assert lines(prose, 60) == ["Warning: It is dark."]
    assert str(empty) == ""


def test_markup_of_a_user_is_text() -> None:
    assert lines(Prose("[bold]x[/bold]"), 60) == ["[bold]x[/bold]"]
