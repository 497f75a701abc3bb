"""Word of progress: on stderr alone, wiped at the end, with the time that is left."""

from __future__ import annotations

import io
import re
import sys
import time

import pytest

from jitter.cli import meter
from jitter.cli.meter import Meter


class Terminal(io.StringIO):
    """A terminal that keeps what is written to it."""

    def isatty(self) -> bool:
        return True


def at_a_terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Put a terminal in the place of stderr, before a user without patience.

    Within the test: a fixture's is taken away again when the test is called.
    """
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setattr(meter, "PATIENCE", -1e9)
    monkeypatch.setattr(meter, "TICK", 0.001)
    return terminal


def waits_for(terminal: Terminal, words: str) -> None:
    """Return when some words have been written; a fault where they never are."""
    for _ in range(10_000):
        if re.search(words, terminal.getvalue()):
            return
        time.sleep(0.001)
    raise AssertionError(f"never said: {words}")


def test_a_terminal_is_told_and_its_line_wiped(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terminal = at_a_terminal(monkeypatch)
    with Meter(quiet=False) as told:
        waits_for(terminal, "working, time left not known yet")
        told.show(1, 4)
        waits_for(terminal, r"25 % done, (about \d+|under 1) s left")
        told.show(4, 4)
        waits_for(terminal, "99 % done, under 1 s left")
    assert terminal.getvalue().endswith("\r\x1b[K")
    assert "\n" not in terminal.getvalue()
    assert capsys.readouterr().out == ""


def test_the_line_is_wiped_where_the_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = at_a_terminal(monkeypatch)

    def breaks() -> None:
        with Meter(quiet=False):
            waits_for(terminal, "working")
            raise ValueError("broken")

    with pytest.raises(ValueError, match="broken"):
        breaks()
    assert terminal.getvalue().endswith("\r\x1b[K")


def test_nothing_is_said_to_the_quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = at_a_terminal(monkeypatch)
    file = io.StringIO()
    for stream in (terminal, file):
        monkeypatch.setattr(sys, "stderr", stream)
        with Meter(quiet=True) as told:
            told.show(1, 2)
            time.sleep(0.02)
        assert stream.getvalue() == ""


def test_a_file_gets_a_line_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    at_a_terminal(monkeypatch)
    file = io.StringIO()
    monkeypatch.setattr(sys, "stderr", file)
    with Meter(quiet=False) as told:
        for done in (1, 2, 3, 4):
            told.show(done, 4)
    # The next line is due after `LINE` seconds only, and the end needs none.
    assert re.fullmatch(r"jitter: 25 % done, (about \d+|under 1) s left\n", file.getvalue())


def test_a_command_that_is_over_at_once_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = at_a_terminal(monkeypatch)
    monkeypatch.setattr(meter, "PATIENCE", 1e9)
    with Meter(quiet=False) as told:
        told.show(1, 2)
        time.sleep(0.02)
    assert terminal.getvalue() == ""
