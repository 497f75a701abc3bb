"""The command `jitter show`."""

from __future__ import annotations

from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault, MistakeError


def show(
    study: StudyFile,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say how the study was understood: every value, one shot's time line, and its numbers.

    Prints it and writes a page with a picture in space and time; with --json the page is written
    only where --out asks for one. Set-ups and shots are those behind the spread of each moment.
    """
    from jitter.report.target import page_target

    rig = load(study, settings=settings or (), seed=seed)
    target = None if as_json and out is None else page_target(source(study), "show", out)

    from jitter.answers.show.answer import MOST, SETUPS, SHOTS, answer_show
    from jitter.stages import CHAIN

    wanted = (setups or SETUPS, shots or SHOTS)
    if wanted[0] * wanted[1] > MOST:
        wrong = f"{wanted[0]} set-ups of {wanted[1]} shots are more than a picture needs"
        right = f"ask for {MOST} shots in all at the most; jitter run takes more"
        raise MistakeError([Fault("--setups", None, "--shots", wrong, right)])
    with Meter(quiet=quiet):
        answer = answer_show(rig, CHAIN, setups=wanted[0], shots=wanted[1])
    deliver("show", answer, as_json=as_json, target=target, quiet=quiet)
