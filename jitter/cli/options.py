"""The options that commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from jitter.cli.completing import offer_settings

FEWEST_SETUPS, MOST_SETUPS = 2, 50_000_000
MOST_SHOTS = 1_000_000_000
NUMBER = "NUMBER"

StudyFile = Annotated[
    str,
    typer.Argument(
        metavar="STUDY", help="The study file; - is standard input. None yet? See jitter new."
    ),
]
Seed = Annotated[int | None, typer.Option(metavar=NUMBER, help="Seed, in place of the study's.")]
Setups = Annotated[
    int | None,
    typer.Option(metavar=NUMBER, help="Set-ups to simulate.", min=FEWEST_SETUPS, max=MOST_SETUPS),
]
Shots = Annotated[
    int | None,
    typer.Option(metavar=NUMBER, help="Shots of each set-up.", min=1, max=MOST_SHOTS),
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help="Change a value of the study.",
        autocompletion=offer_settings,
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print a JSON document.")]
Out = Annotated[
    Path | None,
    typer.Option(metavar="PAGE.html", help="Where the page goes; reports/ by default."),
]
Quiet = Annotated[bool, typer.Option("--quiet", help="Say nothing on stderr.")]
