"""The command `jitter power`."""

from __future__ import annotations

from typing import Annotated

import typer

from jitter.cli.asked import read_worth
from jitter.cli.console import NOT_MET, load, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault, MistakeError, shown

RIGHT = "write --by aperture, --by iso or --by distance"

By = Annotated[
    list[str] | None,
    typer.Option(
        metavar="MEANS",
        help="Keep the exposure right by aperture, iso or distance alone; may be repeated.",
    ),
]
Worth = Annotated[
    str, typer.Option(metavar="SHARE", help="Keepers that a stop of light is worth to you.")
]
Trimmed = Annotated[
    bool, typer.Option("--trimmed", help="Judge by keepers after trimming, not as set by ruler.")
]


def power(
    study: StudyFile,
    by: By = None,
    worth: Worth = "1%",
    trimmed: Trimmed = False,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say which flash power is best: short enough, bright enough, deep enough.

    Where the delay is so far off that even the shot without errors misses the window, powers are
    judged by frames after trimming.

    Prints the answer and writes a page with pictures; with --json the page is written only where
    --out asks for one. Ends with 3 where no power gives a right exposure, or hardly a keeper.
    """
    from jitter.report.target import page_target

    gather = Gather()
    rig = gather.read(lambda: load(study, settings=settings or (), seed=seed))
    target = None
    if not as_json or out is not None:
        target = gather.read(lambda: page_target(source(study), "power", out))
    stop = gather.read(lambda: read_worth(worth, "--worth"))
    means = gather.read(lambda: _read_means(by or []))
    gather.judge()
    if rig is None or stop is None or means is None:
        raise AssertionError("what was not read was judged")

    from jitter.answers.power.answer import SETUPS, SHOTS, answer_power
    from jitter.stages import CHAIN

    with Meter(quiet=quiet) as meter:
        answer = answer_power(
            rig,
            CHAIN,
            means=means,
            worth=stop,
            way="as_trimmed" if trimmed else "as_set",
            setups=setups or SETUPS,
            shots=shots or SHOTS,
            progress=meter.show,
        )
    deliver("power", answer, as_json=as_json, target=target, quiet=quiet)
    if answer.best is None:
        raise typer.Exit(NOT_MET)


def _read_means(names: list[str]) -> tuple[str, ...]:
    from jitter.answers.power.keeping import MEANS

    known = [name.strip().lower() for name in names]
    faults = [
        Fault("--by", None, shown(name), "the exposure is not kept by that", RIGHT)
        for name in known
        if name not in MEANS
    ]
    if faults:
        raise MistakeError(faults)
    return tuple(name for name in MEANS if name in known or not known)
