"""The options that commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from jitter.cli.asked import read_count
from jitter.cli.completing import offer_settings

FEWEST_SETUPS, MOST_SETUPS = 2, 50_000_000
MOST_SHOTS = 1_000_000_000
LARGEST_SEED = 2**64 - 1
NUMBER = "NUMBER"

StudyFile = Annotated[
    str,
    typer.Argument(
        metavar="STUDY", help="The study file; - is standard input. None yet? See jitter new."
    ),
]


def whole_number(option: str, sample: int, *, least: int, most: int) -> Callable[[str], int]:
    """Return what reads the number of an option.

    Parameters
    ----------
    option
        Its name.
    sample
        A number that it might be given, for messages.
    least, most
        The smallest and the largest that are taken.
    """

    def read(text: str) -> int:
        example = f"write such as {option} {sample}"
        return read_count(text, option, least=least, most=most, example=example)

    return read


Seed = Annotated[
    int | None,
    typer.Option(
        metavar=NUMBER,
        help="Seed, in place of the study's.",
        parser=whole_number("--seed", 5, least=0, most=LARGEST_SEED),
    ),
]
Setups = Annotated[
    int | None,
    typer.Option(
        metavar=NUMBER,
        help="Set-ups to simulate.",
        parser=whole_number("--setups", 4096, least=FEWEST_SETUPS, most=MOST_SETUPS),
    ),
]
Shots = Annotated[
    int | None,
    typer.Option(
        metavar=NUMBER,
        help="Shots of each set-up.",
        parser=whole_number("--shots", 32, least=1, most=MOST_SHOTS),
    ),
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
