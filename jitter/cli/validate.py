"""The command `jitter validate`."""

from __future__ import annotations

from pathlib import Path

from jitter.cli.deliver import deliver
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet


def validate(as_json: AsJson = False, out: Out = None, quiet: Quiet = False) -> None:
    """Hold every stage against published values, and write the page reports/validation.html.

    Prints what agrees and what does not; with --json the page is written only where --out asks
    for one.
    """
    from jitter.report.target import FOLDER, page_target

    named = out if out is not None else FOLDER / "validation.html"
    target = None if as_json and out is None else page_target("validation", "", Path(named))

    from jitter.validation.validate import validate as hold_against

    with Meter(quiet=quiet) as meter:
        found = hold_against(progress=meter.show)
    deliver("validation", found, as_json=as_json, target=target, quiet=quiet)
