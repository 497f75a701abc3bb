"""What commands do at their two ends: read a study, print, write a page, tell of progress."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from jitter.errors import Fault, MistakeError

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.segment import Segment

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
            f"name a study file; if you have none yet, write one: {_beginning(study)}",
        )
    raise MistakeError([fault])


def _beginning(study: str) -> str:
    """Return the command that writes a first study, under the name asked for where it can."""
    free = study.endswith(".toml") and not os.path.lexists(study)
    return f"jitter new {shlex.quote(study)}" if free else "jitter new"


def print_screen(screen: Callable[[int, bool], RenderableType]) -> None:
    """Print a screen as wide as the terminal.

    Parameters
    ----------
    screen
        Makes it, for a width and for whether block characters can be shown.
    """
    from rich.console import Console
    from rich.segment import SegmentLines

    from jitter.cli.plain_letters import spelled

    encoding = (sys.stdout.encoding or "ascii").lower()
    console = Console(highlight=False)
    width = min(max(console.width, NARROWEST), WIDEST)
    shown = screen(width, encoding.startswith("utf"))
    options = console.options.update(width=min(width, console.width))
    lines = console.render_lines(spelled(shown, encoding), options, pad=False)
    # Blanks at the ends of lines would break them where a window is made narrower.
    console.print(SegmentLines([_trimmed(line) for line in lines], new_lines=True), end="")


def _trimmed(line: list[Segment]) -> list[Segment]:
    while line and not line[-1].text.strip():
        line = line[:-1]
    return [*line[:-1], line[-1]._replace(text=line[-1].text.rstrip())] if line else []


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
        typer.echo(f"page: {target}", file=sys.stderr)
