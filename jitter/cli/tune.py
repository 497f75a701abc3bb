"""The command `jitter tune`."""

from __future__ import annotations

from typing import Annotated

import typer

from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault, MistakeError, shown

Keep = Annotated[
    list[str] | None,
    typer.Option(
        "--keep",
        metavar="KEY",
        help="Leave a setting alone: timer.start, sensor.height, valve.interval, timer.delay.",
    ),
]
Reach = Annotated[
    tuple[str, str] | None,
    typer.Option(metavar="LOW HIGH", help="Where the sensor can stand: --reach '420 mm' '540 mm'."),
]
Phase = Annotated[
    tuple[float, float] | None,
    typer.Option(
        metavar="LOW HIGH",
        help="When in the jet's life they may meet: -1 as it emerges, 0 at its top, 1 gone.",
    ),
]
Trimmed = Annotated[
    bool, typer.Option("--trimmed", help="Judge by keepers after trimming, not as set by ruler.")
]


def tune(
    study: StudyFile,
    keep: Keep = None,
    reach: Reach = None,
    phase: Phase = None,
    trimmed: Trimmed = False,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say which delay, interval, sensor height and start signal are best, and their slack.

    Prints the answer and writes a page with a map of the plateau; with --json the page is written
    only where --out asks for one. Hit rates come from points with every step integrated; asked for
    set-ups or shots, the search draws so many.
    """
    from jitter.report.target import page_target

    rig = load(study, settings=settings or (), seed=seed)
    target = None if as_json and out is None else page_target(source(study), "tune", out)

    from jitter.answers.tune.answer import answer_tune
    from jitter.answers.tune.limits import WHOLE_LIFE
    from jitter.stages import CHAIN

    kept = _judge_keep(keep or [])
    sensorless = "timer.start" in kept and rig.entries["timer.start"].nominal == "valve"
    if reach is not None and ("sensor.height" in kept or sensorless):
        _refuse("--reach", "the sensor is not to be moved, or starts nothing")
    if phase is not None and "valve.interval" in kept:
        _refuse("--phase", "the interval is not to be changed")
    with Meter(quiet=quiet) as meter:
        answer = answer_tune(
            rig,
            CHAIN,
            keep=kept,
            reach=None if reach is None else _read_reach(reach),
            phase=WHOLE_LIFE if phase is None else _judge_phase(phase),
            way="as_trimmed" if trimmed else "as_set",
            setups=setups,
            shots=shots,
            progress=meter.show,
        )
    deliver("tune", answer, as_json=as_json, target=target, quiet=quiet)


def _refuse(option: str, why: str) -> None:
    wrong, right = f"it has no part here: {why}", f"leave {option} out, or a --keep"
    raise MistakeError([Fault(option, None, "", wrong, right)])


def _judge_keep(keys: list[str]) -> list[str]:
    from jitter.answers.tune.settings import SETTINGS

    listed = f"{', '.join(SETTINGS[:-1])} or {SETTINGS[-1]}"
    faults = [
        Fault("--keep", None, shown(key), "this is no setting that is tuned", f"name {listed}")
        for key in keys
        if key not in SETTINGS
    ]
    if not faults and set(keys) == set(SETTINGS):
        wrong, right = "nothing is left to tune", "leave one of them out"
        faults = [Fault("--keep", None, ", ".join(SETTINGS), wrong, right)]
    if faults:
        raise MistakeError(faults)
    return keys


def _read_reach(texts: tuple[str, str]) -> tuple[float, float]:
    from jitter.units.reading import UnreadableError, read_measure

    ends, faults = [], []
    for text in texts:
        try:
            ends.append(read_measure(text, "m").value)
        except UnreadableError as fault:
            faults.append(Fault("--reach", None, shown(text), fault.wrong, fault.right))
    if not faults and ends[0] >= ends[1]:
        wrong, right = f"{texts[0]} is not below {texts[1]}", "write the lower end first"
        faults.append(Fault("--reach", None, "", wrong, right))
    if faults:
        raise MistakeError(faults)
    return ends[0], ends[1]


def _judge_phase(phase: tuple[float, float]) -> tuple[float, float]:
    if not -1.0 <= phase[0] < phase[1] <= 1.0:
        wrong = f"{phase[0]:g} to {phase[1]:g} is no part of the jet's life"
        right = "write two numbers from -1 (it emerges) by 0 (its top) to 1 (gone), the lower first"
        raise MistakeError([Fault("--phase", None, "", wrong, right)])
    return phase
