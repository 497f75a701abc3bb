"""The command line: the only place that prints or ends the program."""

from __future__ import annotations

import atexit
import gc
import os
import shutil
import sys
import textwrap
from collections.abc import Callable
from io import TextIOWrapper
from typing import Annotated

import typer

from jitter import __version__
from jitter.cli.compare import compare
from jitter.cli.console import NARROWEST
from jitter.cli.explain import explain
from jitter.cli.fit import fit
from jitter.cli.help import Command
from jitter.cli.index import index
from jitter.cli.new import new
from jitter.cli.plain_letters import speak_plainly
from jitter.cli.plan import plan
from jitter.cli.power import power
from jitter.cli.quantities import quantities
from jitter.cli.rank import rank
from jitter.cli.require import require
from jitter.cli.run import run
from jitter.cli.show import show
from jitter.cli.tune import tune
from jitter.cli.validate import validate
from jitter.errors import MistakeError

MISTAKE = 2
COLLECTED = 100_000
"""So many new objects are awaited before rubbish is looked for among them."""

app = typer.Typer(
    name="jitter",
    help="Why drop-on-drop splash frames miss, and which tolerance matters most.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"jitter {__version__}")
        raise typer.Exit


@app.callback()
def common(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """Why drop-on-drop splash frames miss, and which tolerance matters most."""


BARN = "studies/barn-table.toml"


def _add(command: Callable[..., None], example: str) -> None:
    """Add a command; its help ends with an example, on a line that is not broken."""
    told = command.__doc__ or ""
    app.command(
        cls=Command,
        # In full: what the first sentence is cut to says little.
        short_help=told.partition("\n")[0],
        epilog=f"\b\nExample: jitter {example}",
    )(command)


_add(new, "new my-table.toml --inches")
_add(show, f"show {BARN}")
_add(run, f"run {BARN} --set sensor.height='18 in'")
_add(rank, f"rank {BARN} --json")
_add(compare, f"compare {BARN} --with 'timer.start=second drop' --aim")
_add(power, f"power {BARN} --by aperture --worth 1%")
_add(tune, f"tune {BARN} --keep timer.start")
_add(require, f"require {BARN} sensor.height --hit-rate 80%")
_add(plan, f"plan {BARN} --want 12 --sure 95%")
_add(fit, f"fit {BARN} studies/barn-table-measurements.csv --reading 'drop height=sd 0.1 mm'")
_add(explain, f"explain {BARN} studies/barn-table-log.csv --frame 12")
_add(quantities, "quantities sensor drift")
_add(index, "index reports")
_add(validate, "validate --out checks.html")


def _spare_the_collector() -> None:
    """Keep Python from looking for rubbish where there is none.

    Loading the libraries makes hundreds of thousands of objects that stay to the end. Going through
    them over and over while they load, and once more at the end, took a quarter of the time of a
    short command.
    """
    gc.set_threshold(COLLECTED)
    atexit.register(gc.freeze)


def main() -> None:
    """Run the command line, and end with its exit code.

    0 answered; 1 a fault in jitter; 2 a mistake in the command line or the study; 3 answered, and
    the target asked for is out of reach; 130 interrupted, which typer sees to.
    """
    _spare_the_collector()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors=speak_plainly())
    try:
        app()
    except MistakeError as mistake:
        count = len(mistake.faults)
        head = "One thing needs mending:" if count == 1 else f"{count} things need mending:"
        said = [head, *(str(fault) for fault in mistake.faults)]
        typer.echo(
            "\n".join(said if not sys.stderr.isatty() else map(_fitted, said)), file=sys.stderr
        )
        raise SystemExit(MISTAKE) from None
    except BrokenPipeError:
        # Whoever read the answer has gone; say nothing more, not even at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None


def _fitted(told: str) -> str:
    """Return a mistake in lines that a terminal does not break, each under the one it goes on."""
    width = max(shutil.get_terminal_size().columns - 1, NARROWEST // 2)
    lines = []
    for line in told.splitlines():
        bare = line.lstrip(" ->")
        hang = " " * (len(line) - len(bare))
        lines += textwrap.wrap(
            line, width, subsequent_indent=hang, break_on_hyphens=False, break_long_words=False
        )
    return "\n".join(lines)
