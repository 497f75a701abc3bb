"""The command `jitter validate`."""

from __future__ import annotations

import json
from pathlib import Path

import typer

from jitter.cli.console import Meter, print_screen, write_page
from jitter.cli.options import AsJson, Out, Quiet


def validate(as_json: AsJson = False, out: Out = None, quiet: Quiet = False) -> None:
    """Hold every stage against published values, and write the page reports/validation.html.

    Prints what agrees and what does not; with --json the page is written only where --out asks
    for one.
    """
    from jitter.report.target import FOLDER, page_target

    named = out if out is not None else FOLDER / "validation.html"
    target = None if as_json and out is None else page_target("validation", "", Path(named))

    from jitter.report.validation.document import validation_document
    from jitter.report.validation.screen import validation_screen
    from jitter.validation.validate import validate as hold_against

    meter = Meter(quiet=quiet)
    found = hold_against(progress=meter.show)
    meter.clear()
    if as_json:
        typer.echo(json.dumps(validation_document(found), indent=2, ensure_ascii=True))
    else:
        print_screen(lambda width, _: validation_screen(found, width=width))
    if target is not None:
        from jitter.report.validation.page import validation_page

        write_page(validation_page(found), target, quiet=quiet)
