"""The command `jitter quantities`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from jitter.cli.completing import offer_words
from jitter.cli.deliver import deliver
from jitter.cli.options import AsJson, Quiet

Words = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="WORD",
        help="Sections, keys, or words of their meaning.",
        autocompletion=offer_words,
    ),
]
Out = Annotated[
    Path | None,
    typer.Option(metavar="PAGE.html", help="Write a page too, to this file."),
]


def quantities(
    words: Words = None, as_json: AsJson = False, out: Out = None, quiet: Quiet = False
) -> None:
    """Tell everything that a study may say: meaning, unit, limits, default, spreads, basis.

    All of it as a list; a section, or a few values, in full and with examples.
    """
    from jitter.answers.reference.answer import reference
    from jitter.report.target import page_target
    from jitter.stages import CHAIN

    target = None if out is None else page_target("quantities", "", out)
    items = reference(CHAIN, words or ())
    deliver("reference", items, as_json=as_json, target=target, quiet=quiet, blocks=True)
