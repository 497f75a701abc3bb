"""Screens on terminals that know no Greek."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from jitter.cli.plain_letters import PLAIN, speak_plainly
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
