"""Screens on terminals that know no Greek."""

from __future__ import annotations

import io
import os
import subprocess
import sys

import pytest
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from jitter.cli.plain_letters import PLAIN, speak_plainly, spelled
from jitter.report.prose import Prose
from jitter.report.screen import grid
from tests.conftest import ROOT

SHOWN = ("report", "units", "answers", "stages")
BLOCKS = set("█▏▎▍▌▋▊▉")
"""Bars are drawn with other letters where these cannot be written."""
WIDE = set("＝＋－＠")
"""Told apart from their plain forms in what users write; no screen says them."""


def test_letters_that_cannot_be_written_have_a_stand_in() -> None:
    name = speak_plainly()
    said = "33 µs ± 2 µs at 20 °C, ≈ ½ of 3 × 10⁵: “√ρ”… ☃"
    assert said.encode("ascii", errors=name) == (
        b'33 us +- 2 us at 20 C, ~ 1/2 of 3 x 105: "sqrtrho"... ?'
    )
    # What can be written is.
    assert "33 µs".encode("latin-1", errors=name) == b"33 \xb5s"
    assert "33 µs".encode("utf-8", errors=name) == b"33 \xc2\xb5s"
    for letter in PLAIN.values():
        assert letter.isascii()


def test_every_letter_of_ours_has_a_stand_in() -> None:
    said = {
        letter
        for room in SHOWN
        for path in (ROOT / "jitter" / room).rglob("*.py")
        for letter in path.read_text(encoding="utf-8")
        if not letter.isascii()
    }
    assert said - BLOCKS - WIDE <= set(PLAIN)


@pytest.mark.parametrize("command", [("quantities", "flash"), ("power", "--help")])
def test_a_screen_in_plain_letters_asks_no_questions(command: tuple[str, ...]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "jitter", *command],
        capture_output=True,
        check=True,
        env={
            **os.environ,
            "LC_ALL": "POSIX",
            "PYTHONUTF8": "0",
            "PYTHONCOERCECLOCALE": "0",
            "COLUMNS": "80",
        },
    )
    printed = done.stdout.decode("ascii")
    assert " ?s" not in printed
    assert "us" in printed or "--help" in printed


def printed(shown: RenderableType, encoding: str) -> str:
    data = io.BytesIO()
    # What is not spelled is a fault.
    file = io.TextIOWrapper(data, encoding=encoding, errors="strict")
    console = Console(
        file=file, width=40, force_terminal=True, color_system="standard", highlight=False
    )
    console.print(spelled(shown, encoding))
    file.flush()
    return data.getvalue().decode(encoding)


def test_columns_stand_below_one_another_in_any_letters() -> None:
    table = grid("", "of µ", "")
    table.columns[1].justify = "left"
    for symbol, value in (("ρ", "998 kg/m³"), ("σ", "72.7 mN/m"), ("D₁", "4.5 mm")):
        table.add_row("it", Text(symbol), value)
    told = [line.rstrip() for line in printed(table, "ascii").splitlines()]
    # Closed form: the longest stand-in has five letters, the longest value nine.
    assert told[1:] == ["it  rho    998 kg/m3", "it  sigma  72.7 mN/m", "it  D1        4.5 mm"]
    assert "of u" in told[0]


def test_every_part_of_a_screen_is_spelled_and_keeps_its_style() -> None:
    parts = Group(Padding(Text("½", style="red"), (0, 0, 0, 2)), Prose("± 1 µs"), "20 °C")
    assert (
        printed(parts, "ascii")
        == "  \x1b[31m1/2\x1b[0m                                   \n+- 1 us\n20 C\n"
    )
    assert "±\xa01".replace("\xa0", " ") in printed(Prose("± 1 µs"), "utf-8")
