"""The command line: the only place that prints or ends the program."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from jitter import __version__
from jitter.cli.compare import compare
from jitter.cli.explain import explain
from jitter.cli.fit import fit
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


app.command(epilog="Example: jitter run studies/barn-table.toml --set sensor.height='18 in'")(run)
app.command(epilog="Example: jitter show studies/barn-table.toml")(show)
app.command(epilog="Example: jitter quantities sensor")(quantities)
app.command(epilog="Example: jitter rank studies/barn-table.toml --json")(rank)
app.command(epilog="Example: jitter compare rig.toml --with 'timer.start=valve' --aim")(compare)
app.command(epilog="Example: jitter explain rig.toml evening.csv --frame 17")(explain)
app.command(epilog="Example: jitter fit rig.toml measured.csv --reading 'streak=sd 6 um'")(fit)
app.command(epilog="Example: jitter plan studies/barn-table.toml --want 12 --sure 95%")(plan)
app.command(epilog="Example: jitter validate --out checks.html")(validate)
app.command(epilog="Example: jitter power studies/barn-table.toml --by aperture --worth 1%")(power)
app.command(epilog="Example: jitter tune studies/barn-table.toml --keep timer.start")(tune)
app.command(epilog="Example: jitter require studies/barn-table.toml sensor.height --hit-rate 80%")(
    require
)


def main() -> None:
    """Run the command line, and end with its exit code.

    0 answered; 1 a fault in jitter; 2 a mistake in the command line or the study; 3 answered, and
    the target asked for is out of reach; 130 interrupted, which typer sees to.
    """
    try:
        app()
    except MistakeError as mistake:
        count = len(mistake.faults)
        head = "One thing needs mending:" if count == 1 else f"{count} things need mending:"
        typer.echo("\n".join([head, *(str(fault) for fault in mistake.faults)]), err=True)
        raise SystemExit(MISTAKE) from None
    except BrokenPipeError:
        # Whoever read the answer has gone; say nothing more, not even at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None
