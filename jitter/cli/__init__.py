"""The command line: the only place that prints or ends the program."""

from __future__ import annotations

import atexit
import gc
import os
import sys
from typing import Annotated

import typer

from jitter import __version__
from jitter.cli.compare import compare
from jitter.cli.explain import explain
from jitter.cli.fit import fit
from jitter.cli.index import index
from jitter.cli.new import new
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


def _example(arguments: str) -> str:
    """Return the end of a command's help: an example on a line that is not broken."""
    return f"\b\nExample: jitter {arguments}"


BARN = "studies/barn-table.toml"

app.command(epilog=_example("new my-table.toml --inches"))(new)
app.command(epilog=_example(f"run {BARN} --set sensor.height='18 in'"))(run)
app.command(epilog=_example(f"show {BARN}"))(show)
app.command(epilog=_example("quantities sensor drift"))(quantities)
app.command(epilog=_example(f"rank {BARN} --json"))(rank)
app.command(epilog=_example(f"compare {BARN} --with 'timer.start=second drop' --aim"))(compare)
app.command(epilog=_example(f"explain {BARN} studies/barn-table-log.csv --frame 12"))(explain)
app.command(
    epilog=_example(
        f"fit {BARN} studies/barn-table-measurements.csv --reading 'drop height=sd 0.1 mm'"
    )
)(fit)
app.command(epilog=_example(f"plan {BARN} --want 12 --sure 95%"))(plan)
app.command(epilog=_example("index reports"))(index)
app.command(epilog=_example("validate --out checks.html"))(validate)
app.command(epilog=_example(f"power {BARN} --by aperture --worth 1%"))(power)
app.command(epilog=_example(f"tune {BARN} --keep timer.start"))(tune)
app.command(epilog=_example(f"require {BARN} sensor.height --hit-rate 80%"))(require)


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
