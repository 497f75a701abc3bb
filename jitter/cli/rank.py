"""The command `jitter rank`."""

from __future__ import annotations

from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault, MistakeError


def rank(
    study: StudyFile,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Rank every spread: what it costs, and its share of the age and of the hit.

    Prints gains, Sobol' and Shapley shares, groups and the uncertainty budget of the age, and
    writes a page with pictures; with --json the page is written only where --out asks for one.
    """
    from jitter.report.target import page_target

    rig = load(study, settings=settings or (), seed=seed)
    target = None if as_json and out is None else page_target(source(study), "rank", out)

    from jitter.answers.rank.answer import MOST, SETUPS, SHOTS, answer_rank
    from jitter.stages import CHAIN

    wanted = (setups or SETUPS, shots or SHOTS)
    if wanted[0] * wanted[1] > MOST:
        wrong = f"{wanted[0]} set-ups of {wanted[1]} shots are more than a ranking needs"
        right = f"ask for {MOST} shots in all at the most"
        raise MistakeError([Fault("--setups", None, "--shots", wrong, right)])
    with Meter(quiet=quiet) as meter:
        answer = answer_rank(rig, CHAIN, setups=setups, shots=shots, progress=meter.show)
    deliver("rank", answer, as_json=as_json, target=target, quiet=quiet, blocks=True)
