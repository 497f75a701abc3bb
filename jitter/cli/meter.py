"""Word of progress on stderr, for anything over a second."""

from __future__ import annotations

import sys
import time
from threading import Event, Thread
from types import TracebackType
from typing import Self

import typer

STARTED = time.monotonic()
"""The user waits from here on: the libraries load before a meter is made."""
PATIENCE = 1.0
"""Nobody asks for word of progress within this time [s]."""
TICK, LINE = 0.2, 10.0
"""How often a terminal's line is written anew, and a line is added to a file [s]."""
AT_FIRST = "working, time left not known yet"


class Meter:
    """Word of progress while a piece of work lasts; a terminal's line is wiped at its end.

    Parameters
    ----------
    quiet
        Whether to say nothing.
    at_first
        What is said before anything is done.
    """

    def __init__(self, *, quiet: bool, at_first: str = AT_FIRST) -> None:
        self._quiet, self._at_first = quiet, at_first
        self._terminal = sys.stderr.isatty()
        self._begun = self._heard = time.monotonic()
        self._next = STARTED + PATIENCE
        self._done, self._total = 0, 1
        self._ended = Event()
        self._ticking = Thread(target=self._tick, daemon=True)
        self._shown = False

    def __enter__(self) -> Self:
        """Begin to say how it goes."""
        if self._terminal and not self._quiet:
            self._ticking.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Wipe the line, whatever ended the work."""
        if self._ticking.is_alive():
            self._ended.set()
            self._ticking.join()
        if self._shown:
            typer.echo("\r\x1b[K", file=sys.stderr, nl=False)

    def show(self, done: int, total: int) -> None:
        """Take in how much is done."""
        self._heard = now = time.monotonic()
        self._done, self._total = done, total
        if not (self._terminal or self._quiet or now < self._next or done >= total):
            self._next = now + LINE
            typer.echo(self._words(), file=sys.stderr)

    def _tick(self) -> None:
        while not self._ended.wait(TICK):
            if time.monotonic() >= self._next:
                self._shown = True
                typer.echo(f"\r{self._words()}\x1b[K", file=sys.stderr, nl=False)

    def _words(self) -> str:
        done, total = self._done, self._total
        if done == 0:
            return f"jitter: {self._at_first}"
        spent = self._heard - self._begun
        # Between two reports the clock runs on.
        left = spent * (total - done) / done - (time.monotonic() - self._heard)
        share = min(100 * done // total, 99)
        return f"jitter: {share} % done, " + (
            f"about {left:.0f} s left" if left >= 1.0 else "under 1 s left"
        )
