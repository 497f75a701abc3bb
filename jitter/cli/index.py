"""The command `jitter index`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from jitter.cli.deliver import deliver
from jitter.cli.options import AsJson, Quiet

Folder = Annotated[
    Path | None,
    typer.Argument(metavar="FOLDER", help="The folder of pages; reports here by default."),
]


def index(folder: Folder = None, as_json: AsJson = False, quiet: Quiet = False) -> None:
    """List the pages in a folder, newest first, and put pages of one study side by side.

    Prints the list and writes it as index.html into that folder; with --json no page is written.
    """
    from jitter.report.index.cards import gather
    from jitter.report.target import FOLDER, page_target

    place = folder or FOLDER
    leaves = gather(place)
    target = None if as_json else page_target("index", "", place / "index.html")
    deliver("index", leaves, as_json=as_json, target=target, quiet=quiet)
