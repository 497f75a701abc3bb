"""The command `jitter plan`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from jitter.cli.asked import read_certainty, read_count, read_time
from jitter.cli.console import NOT_MET, load, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault

if TYPE_CHECKING:
    from jitter.study.study import Study

DAY = 86400.0
MOST_FRAMES = 2000
MOST_SETUPS, MOST_FOLLOWED = 200_000, 10_000_000
"""Set-ups, and frames of set-ups that are followed frame by frame: what memory holds."""
FRAMES = "session.frames"

Want = Annotated[str, typer.Option(metavar="NUMBER", help="Keepers wanted, at least.")]
Sure = Annotated[str, typer.Option(metavar="SHARE", help="How surely they are wanted.")]
SetupTime = Annotated[str, typer.Option(metavar="TIME", help="Time that a set-up takes.")]
Frames = Annotated[
    str | None,
    typer.Option(metavar="NUMBER", help="Frames of the evening, in place of the study's."),
]


def plan(
    study: StudyFile,
    want: Want,
    sure: Sure = "95%",
    setup_time: SetupTime = "20 min",
    frames: Frames = None,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say how many frames and how much time so many keepers take, and the quickest way there.

    Compares one long set-up with several short ones, as set by ruler and as trimmed. Prints the
    answer and writes a page with pictures; with --json the page is written only where --out asks
    for one. Ends with 3 where the certainty is out of reach of the evening.
    """
    from jitter.report.target import page_target

    gather = Gather()
    wanted = gather.read(
        lambda: read_count(want, "--want", most=MOST_FRAMES, example="write --want 12")
    )
    certainty = gather.read(lambda: read_certainty(sure, "--sure"))
    setting_up = gather.read(lambda: read_time(setup_time, "--setup-time", most=DAY))
    evening = list(settings or ())
    if frames is not None:
        number = gather.read(
            lambda: read_count(frames, "--frames", most=MOST_FRAMES, example="write --frames 100")
        )
        evening += [f"{FRAMES}={number}"] if number is not None else []
    rig = gather.read(lambda: load(study, settings=evening, seed=seed))
    if rig is not None:
        gather.add(*_unfit(rig, setups, shots))
    target = None
    if not as_json or out is not None:
        target = gather.read(lambda: page_target(source(study), "plan", out))
    gather.judge()
    if wanted is None or certainty is None or setting_up is None or rig is None:
        raise AssertionError("what was not read was judged")

    from jitter.answers.plan.answer import SHOTS, answer_plan
    from jitter.stages import CHAIN

    with Meter(quiet=quiet) as meter:
        answer = answer_plan(
            rig,
            CHAIN,
            want=wanted,
            sure=certainty,
            setup_time=setting_up,
            setups=setups,
            shots=shots or SHOTS,
            progress=meter.show,
        )
    deliver("plan", answer, as_json=as_json, target=target, quiet=quiet)
    if answer.best is None:
        raise typer.Exit(NOT_MET)


def _unfit(rig: Study, setups: int | None, shots: int | None) -> list[Fault]:
    """Return what a study that can be read leaves open for a plan."""
    from jitter.answers.session import drifts

    faults = []
    if rig.number(FRAMES) > MOST_FRAMES:
        wrong = f"an evening of {rig.number(FRAMES):.0f} frames is longer than a plan takes"
        faults.append(Fault(rig.source, None, FRAMES, wrong, f"ask for {MOST_FRAMES} at the most"))
    most = MOST_SETUPS
    if drifts(rig):
        most = min(most, int(MOST_FOLLOWED / max(rig.number(FRAMES), 1.0)))
    if setups is not None and setups > most:
        wrong = f"{setups} set-ups are more than a plan needs"
        right = f"ask for {most} at the most"
        faults.append(Fault("the command line", None, "--setups", wrong, right))
    if shots is not None and drifts(rig):
        wrong = "something drifts in this rig, so whole evenings are followed frame by frame"
        right = "leave --shots out; --frames says how many frames an evening has"
        faults.append(Fault("the command line", None, "--shots", wrong, right))
    elif shots == 1:
        wrong = "one shot of each set-up does not tell a bad set-up from bad luck"
        faults.append(Fault("the command line", None, "--shots", wrong, "write --shots 64"))
    return faults
