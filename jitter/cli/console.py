"""What commands do at their two ends: read a study, print, write a page, tell of progress."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from jitter.cli.plain_letters import speak_plainly
from jitter.errors import Fault, MistakeError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from jitter.study.study import Study

NARROWEST, WIDEST = 60, 140
NOT_MET = 3
"""Ends a command that answered, whose target is out of reach."""


def load(study: str, *, settings: Iterable[str], seed: int | None) -> Study:
    """Read and judge a study file.

    Parameters
    ----------
    study
        Its name; ``-`` for standard input.
    settings
        Values set on the command line.
    seed
        In place of the study's.

    Raises
    ------
    MistakeError
        With every fault found.
    """
    # Imported here so that --help is answered at once.
    from jitter.stages import CHAIN
    from jitter.study.reader import read_study

    text = read_text(study)
    return read_study(text, source=source(study), chain=CHAIN, settings=settings, seed=seed)


def source(study: str) -> str:
    """Return a study file's name as messages say it."""
    return "standard input" if study == "-" else study


def read_text(study: str) -> str:
    """Return the text of a study file; ``-`` reads standard input.

    Raises
    ------
    MistakeError
        If it cannot be read, or is no text.
    """
    try:
        data = sys.stdin.buffer.read() if study == "-" else Path(study).read_bytes()
        return data.decode("utf-8")
    except UnicodeDecodeError as broken:
        line = broken.object[: broken.start].count(b"\n") + 1
        fault = Fault(study, line, "the file", "this is not text in UTF-8", "save it as UTF-8")
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        fault = Fault(
            study,
            None,
            "the file",
            f"it cannot be read: {why}",
            "name a study file, such as studies/barn-table.toml",
        )
    raise MistakeError([fault])


def print_screen(screen: Callable[[int, bool], RenderableType]) -> None:
    """Print a screen as wide as the terminal.

    Parameters
    ----------
    screen
        Makes it, for a width and for whether block characters can be shown.
    """
    from rich.console import Console

    encoding = (sys.stdout.encoding or "ascii").lower()
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors=speak_plainly())
    console = Console(highlight=False, soft_wrap=False)
    width = min(max(console.width, NARROWEST), WIDEST)
    console.print(screen(width, encoding.startswith("utf")), width=width)


def write_page(html: str, target: Path, *, sheets: Mapping[str, str], quiet: bool) -> None:
    """Write a page and its tables, and say where.

    Parameters
    ----------
    html
        The page.
    target
        Judged by `jitter.report.target` before the work began.
    sheets
        CSV by file name, for the folder beside the page.
    quiet
        Whether to say nothing.

    Raises
    ------
    MistakeError
        If it cannot be written.
    """
    from jitter.files import write_whole
    from jitter.report.beside import tables_folder, write_tables

    try:
        write_tables(tables_folder(target), sheets)
        write_whole(target, html)
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        wrong, right = f"the page cannot be written: {why}", "name another place with --out"
        raise MistakeError([Fault(str(target), None, "--out", wrong, right)]) from None
    if not quiet:
        typer.echo(f"page: {target}", err=True)


class Meter:
    """Word of progress on stderr, for anything over a second.

    Parameters
    ----------
    quiet
        Whether to say nothing.
    """

    def __init__(self, *, quiet: bool) -> None:
        self._quiet = quiet
        self._begun = time.monotonic()
        self._terminal = sys.stderr.isatty()
        self._next = self._begun + 1.0
        self._shown = False

    def show(self, done: int, total: int) -> None:
        """Say how much is done, now and then."""
        now = time.monotonic()
        if self._quiet or now < self._next or done >= total:
            return
        left = (now - self._begun) * (total - done) / done
        text = f"jitter: {100 * done // total} % done, about {left:.0f} s left"
        self._next = now + (0.2 if self._terminal else 10.0)
        self._shown = True
        typer.echo(f"\r{text}\x1b[K" if self._terminal else text, err=True, nl=not self._terminal)

    def clear(self) -> None:
        """Wipe the line."""
        if self._shown and self._terminal:
            typer.echo("\r\x1b[K", err=True, nl=False)
