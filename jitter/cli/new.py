"""The command `jitter new`."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from jitter.cli.new_study import judge_target, write_study

NAME = "NAME.toml"

Target = Annotated[str, typer.Argument(metavar=NAME, help="Where it goes; - prints it.")]
Inches = Annotated[
    bool, typer.Option("--inches", help="The same rig in inches, feet and Fahrenheit.")
]


def new(target: Target = "my-rig.toml", inches: Inches = False) -> None:
    """Write a study to begin with, which runs as it is.

    Asks nothing, and never writes over a file. Beside each value stands what it is; what is rarer,
    or should be measured first, is there as a comment. Put your own numbers in their place.
    """
    path = None if target == "-" else judge_target(Path(target), NAME)

    from jitter.answers.reference.starter import starter
    from jitter.stages import CHAIN

    text = starter(CHAIN, inches=inches)
    if path is None:
        typer.echo(text, nl=False)
        return
    write_study(text, path, NAME)
    typer.echo(f"study: {path}")
    typer.echo(f"Write your own numbers into it. Next: jitter run {shlex.quote(target)}")
