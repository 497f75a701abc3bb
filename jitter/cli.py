"""The command line: the only place that prints or ends the program."""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from jitter import __version__
from jitter.errors import Fault, MistakeError

if TYPE_CHECKING:
    from jitter.answers.run import RunAnswer
    from jitter.study.study import Study

MISTAKE = 2
FEWEST_SETUPS, MOST_SETUPS = 2, 50_000_000
MOST_SHOTS = 1_000_000_000

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


@app.command(epilog="Example: jitter run studies/barn-table.toml --set sensor.height='18 in'")
def run(
    study: Annotated[str, typer.Argument(metavar="STUDY", help="The study file; - reads it.")],
    seed: Annotated[int | None, typer.Option(help="Seed, in place of the study's.")] = None,
    setups: Annotated[
        int | None,
        typer.Option(help="Set-ups to simulate.", min=FEWEST_SETUPS, max=MOST_SETUPS),
    ] = None,
    shots: Annotated[
        int | None, typer.Option(help="Shots of each set-up.", min=1, max=MOST_SHOTS)
    ] = None,
    settings: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="KEY=VALUE", help="Change a value of the study."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print a JSON document.")] = False,
    out: Annotated[
        Path | None,
        typer.Option(metavar="PAGE.html", help="Where the page goes; reports/ by default."),
    ] = None,
    quiet: Annotated[bool, typer.Option("--quiet", help="Say nothing on stderr.")] = False,
) -> None:
    """Say how many frames will be keepers, why the rest miss, and which spread costs most.

    Prints the answer and writes a page with pictures; with --json the page is written only where
    --out asks for one.
    """
    # Imported here so that --help and a bad study are answered at once.
    from jitter.report.target import page_target
    from jitter.stages import CHAIN
    from jitter.study.reader import read_study

    text, source = _read_text(study)
    rig = read_study(text, source=source, chain=CHAIN, settings=settings or (), seed=seed)
    target = None if as_json and out is None else page_target(source, "run", out)

    from jitter.answers.run import SETUPS, SHOTS, answer_run

    meter = _Meter(quiet=quiet)
    answer = answer_run(
        rig, CHAIN, setups=setups or SETUPS, shots=shots or SHOTS, progress=meter.show
    )
    meter.clear()
    if as_json:
        from jitter.report.document import run_document

        typer.echo(json.dumps(run_document(answer), indent=2, ensure_ascii=True))
    else:
        _print_screen(answer)
    if target is not None:
        _write_page(answer, target, rig, quiet=quiet)


def _read_text(study: str) -> tuple[str, str]:
    try:
        data = sys.stdin.buffer.read() if study == "-" else Path(study).read_bytes()
        return data.decode("utf-8"), "standard input" if study == "-" else study
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


def _print_screen(answer: RunAnswer) -> None:
    from rich.console import Console

    from jitter.report.screen import run_screen

    encoding = (sys.stdout.encoding or "ascii").lower()
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    console = Console(highlight=False, soft_wrap=False)
    width = min(max(console.width, 60), 140)
    console.print(run_screen(answer, width=width, blocks=encoding.startswith("utf")), width=width)


def _write_page(answer: RunAnswer, target: Path, rig: Study, *, quiet: bool) -> None:
    from jitter.files import write_whole
    from jitter.report.page import run_page

    page = run_page(answer)
    try:
        write_whole(target, page)
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        wrong, right = f"the page cannot be written: {why}", "name another place with --out"
        raise MistakeError([Fault(str(target), None, "--out", wrong, right)]) from None
    if not quiet:
        typer.echo(f"page: {target}", err=True)


class _Meter:
    """Word of progress on stderr, for anything over a second."""

    def __init__(self, *, quiet: bool) -> None:
        self._quiet = quiet
        self._begun = time.monotonic()
        self._terminal = sys.stderr.isatty()
        self._next = self._begun + 1.0
        self._shown = False

    def show(self, done: int, total: int) -> None:
        now = time.monotonic()
        if self._quiet or now < self._next or done >= total:
            return
        left = (now - self._begun) * (total - done) / done
        text = f"jitter: {100 * done // total} % of the shots fired, about {left:.0f} s left"
        self._next = now + (0.2 if self._terminal else 10.0)
        self._shown = True
        typer.echo(f"\r{text}\x1b[K" if self._terminal else text, err=True, nl=not self._terminal)

    def clear(self) -> None:
        if self._shown and self._terminal:
            typer.echo("\r\x1b[K", err=True, nl=False)


def main() -> None:
    """Run the command line, and end with its exit code.

    0 answered; 1 a fault in jitter; 2 a mistake in the command line or the study; 130 interrupted,
    which typer sees to.
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
