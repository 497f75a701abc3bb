"""The command `jitter run`."""

from __future__ import annotations

from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile


def run(
    study: StudyFile,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say how many frames will be keepers, why the rest miss, and which spread costs most.

    Prints the answer and writes a page with pictures; with --json the page is written only where
    --out asks for one.
    """
    from jitter.report.target import page_target

    rig = load(study, settings=settings or (), seed=seed)
    target = None if as_json and out is None else page_target(source(study), "run", out)

    from jitter.answers.run import SETUPS, SHOTS, answer_run
    from jitter.stages import CHAIN

    with Meter(quiet=quiet) as meter:
        answer = answer_run(
            rig, CHAIN, setups=setups or SETUPS, shots=shots or SHOTS, progress=meter.show
        )
    deliver("run", answer, as_json=as_json, target=target, quiet=quiet, blocks=True)
