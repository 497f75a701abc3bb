"""The screen fits its width, with and without colour and block characters."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console

from jitter.answers.intervals import Estimate
from jitter.answers.run import RunAnswer
from jitter.report.screen import run_screen
from jitter.report.words import UNCLEAR, findings, points, share_words


def printed(answer: RunAnswer, width: int, *, blocks: bool = True, colour: bool = False) -> str:
    console = Console(
        file=io.StringIO(),
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        highlight=False,
    )
    console.print(run_screen(answer, width=width, blocks=blocks), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize("width", [60, 80, 140])
def test_fits_and_cuts_no_name(barn: RunAnswer, width: int) -> None:
    text = printed(barn, width)
    assert max(len(line) for line in text.splitlines()) <= width
    first = barn.ranking[0].source.keys[0]
    assert any(line.startswith(first) for line in text.splitlines())


def test_without_colour_has_no_escapes(barn: RunAnswer) -> None:
    assert "\x1b" not in printed(barn, 80)
    assert "\x1b" in printed(barn, 80, colour=True)


def test_colour_adds_no_words(barn: RunAnswer) -> None:
    import re

    plain = re.sub(r"\x1b\[[\d;]*m", "", printed(barn, 80, colour=True))
    assert plain == printed(barn, 80)


def test_bars_without_block_characters(barn: RunAnswer) -> None:
    text = printed(barn, 80, blocks=False)
    assert "#" in text
    assert "█" not in text


def test_hostile_title_stays_on_one_line(barn: RunAnswer) -> None:
    title = "[bold]\x1b[31mred\n\u202eevil " + "x" * 500
    text = printed(replace(barn, study=replace(barn.study, title=title)), 80)
    head = text.splitlines()[0]
    assert "\x1b" not in head
    assert "\u202e" not in head
    assert head.startswith("[bold]")
    assert len(head) <= 80


def test_findings_name_the_costliest_spread_after_trimming(barn: RunAnswer) -> None:
    best = max(barn.ranking, key=lambda rank: rank.as_trimmed.removed.value)
    assert any(best.source.meaning in sentence for sentence in findings(barn))


def test_what_cannot_be_told_from_nothing_is_said_to_be_so() -> None:
    assert points(Estimate(0.01, -0.01, 0.03)) == UNCLEAR
    # Closed form: 0.0004 of 1 is 0.04 points of 100.
    assert points(Estimate(0.0004, 0.0001, 0.0007)) == "+0.04"


def test_shares_in_words_are_never_rounded_to_certainty() -> None:
    # Closed form: rounding.
    assert share_words(0.999) == "999 in 1000"
    assert share_words(0.9999) == "over 999 in 1000"
    assert share_words(0.0004) == "under 1 in 1000"
    assert share_words(1.0) == "100 in 100"
