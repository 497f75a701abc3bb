"""The command `jitter explain`."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, StudyFile
from jitter.errors import Fault, MistakeError

if TYPE_CHECKING:
    from jitter.records.log import Log

LogFile = Annotated[
    str, typer.Argument(metavar="LOG", help="The log, a CSV file; - is standard input.")
]
Which = Annotated[
    int | None,
    typer.Option(
        "--frame", metavar="NUMBER", help="Explain this frame by itself, by its number, or its row."
    ),
]
Trimmed = Annotated[
    bool,
    typer.Option("--trimmed", help="The delay was trimmed, where the log does not tell it."),
]

SHOWN = 6
"""Lines of frames with the same number that are told one by one."""


def explain(
    study: StudyFile,
    log: LogFile,
    frame: Which = None,
    trimmed: Trimmed = False,
    seed: Seed = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say what a log of frames tells: what is wrong, how sure that is, and what to test next.

    Prints the answer and writes a page with pictures; with --json the page is written only where
    --out asks for one. The log needs a column of verdicts, in the words that the page explains with
    a picture of each; a word it does not know is sent back with the nearest.
    """
    from jitter.report.target import page_target

    gather = Gather()
    rig = kept = None
    if study == log == "-":
        wrong, right = "standard input can be read once only", "put one of them into a file"
        gather.add(Fault("the command line", None, "LOG", wrong, right))
    else:
        rig = gather.read(lambda: load(study, settings=settings or (), seed=seed))
        kept = gather.read(lambda: _read(log))
    target = None
    if not as_json or out is not None:
        target = gather.read(lambda: page_target(source(study), "explain", out))
    place = None
    if kept is not None and frame is not None:
        place = gather.read(lambda: _place(kept, frame))
    gather.judge()
    if rig is None or kept is None:
        raise AssertionError("what was not read was judged")

    from jitter.answers.explain.answer import answer_explain
    from jitter.answers.typical import examples
    from jitter.stages import CHAIN

    way = "as_trimmed" if trimmed else "as_set"
    with Meter(quiet=quiet) as meter:
        answer = answer_explain(rig, CHAIN, kept, frame=place, way=way, progress=meter.show)
    deliver(
        "explain",
        answer,
        as_json=as_json,
        target=target,
        quiet=quiet,
        beside=lambda: examples(rig, CHAIN),
    )


def _read(log: str) -> Log:
    from jitter.records.log import read_log

    try:
        data = sys.stdin.buffer.read() if log == "-" else Path(log).read_bytes()
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        wrong, right = f"it cannot be read: {why}", "name a log, such as studies/barn-table-log.csv"
        raise MistakeError([Fault(log, None, "the file", wrong, right)]) from None
    return read_log(data, source=source(log))


def _place(log: Log, number: int) -> int:
    """Return the place in the log of the frame with a number; rows count where none has one."""
    told = [frame.number for frame in log.frames]
    if all(one is None for one in told):
        told = list(range(1, len(told) + 1))
    known = [one for one in told if one is not None]
    places = [place for place, one in enumerate(told) if one == number]
    if not known:
        wrong, right = "the log has no frames", "write a row for each frame"
    elif not places:
        wrong = f"the log has no frame {number}"
        right = f"name one from {min(known)} to {max(known)}"
    elif len(places) > 1:
        lines = ", ".join(str(log.frames[place].line) for place in places[:SHOWN])
        more = " …" if places[SHOWN:] else ""
        wrong = f"{len(places)} set-ups have a frame {number} (lines {lines}{more})"
        right = "number the frames on from set-up to set-up"
    elif log.frames[places[0]].look is None:
        wrong = f"frame {number} (line {log.frames[places[0]].line}) has no verdict"
        right = "write down what it shows, or name another one"
    else:
        return places[0]
    raise MistakeError([Fault("--frame", None, str(number), wrong, right)])
