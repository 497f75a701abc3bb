"""The command `jitter fit`."""

from __future__ import annotations

import os
import re
import shlex
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from jitter.cli.console import read_text, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.meter import Meter
from jitter.cli.new_study import judge_target, write_study
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots, StudyFile
from jitter.errors import Fault, MistakeError, RefusedError

if TYPE_CHECKING:
    from jitter.answers.fit.answer import Manner
    from jitter.records.measurements import Measurements
    from jitter.study.study import Study

MOST_SETUPS = 2_000_000
WRITE = "--write"

MeasurementsFile = Annotated[
    str, typer.Argument(metavar="MEASUREMENTS", help="A CSV file, a reading to a row.")
]
Write = Annotated[
    Path | None,
    typer.Option(metavar="NEW.toml", help="Where the new study goes; here by default."),
]
ReadingError = Annotated[
    list[str] | None,
    typer.Option(
        "--reading",
        metavar="WHAT=SPREAD",
        help="How far a single reading errs, such as 'drop height=sd 0.1 mm'.",
    ),
]
Untouched = Annotated[
    bool,
    typer.Option("--untouched", help="The rig stays as measured: nothing is set up anew."),
]


def fit(
    study: StudyFile,
    measurements: MeasurementsFile,
    write: Write = None,
    reading: ReadingError = None,
    untouched: Untouched = False,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Turn measurements into a new study, and say what the new numbers change.

    Writes a new study file, never over an old one; with --json it is written only where --write
    asks for it, and the page only where --out does.
    """
    from jitter.report.target import page_target
    from jitter.stages import CHAIN
    from jitter.study.reader import read_study

    gather = Gather()
    changes = list(settings or ())
    text = gather.read(lambda: read_text(study))
    rig = None
    if text is not None:
        rig = gather.read(
            lambda: read_study(text, source=source(study), chain=CHAIN, settings=changes, seed=seed)
        )
    measured = gather.read(lambda: _measured(measurements, rig)) if rig is not None else None
    manner = None
    if rig is not None and measured is not None:
        manner = gather.read(lambda: _manner(rig, measured, reading or (), untouched=untouched))
    page = new = None
    if not as_json or out is not None:
        page = gather.read(lambda: page_target(source(study), "fit", out))
    if not as_json or write is not None:
        new = gather.read(lambda: _study_target(source(study), write))
    if setups is not None and setups > MOST_SETUPS:
        wrong = f"{setups} set-ups are more than a comparison needs"
        gather.add(_fault("--setups", wrong, f"ask for {MOST_SETUPS} at the most"))
    gather.judge()
    if text is None or rig is None or measured is None or manner is None:
        raise AssertionError("what was not read was judged")

    from jitter.answers.fit.answer import answer_fit

    with Meter(quiet=quiet) as meter:
        answer = answer_fit(
            rig,
            text,
            measured,
            manner,
            CHAIN,
            name="the new study" if new is None else str(new),
            settings=changes,
            setups=setups,
            shots=shots,
            progress=meter.show,
        )
    if new is not None and answer.text is not None:
        write_study(answer.text, new, WRITE)
        if not quiet:
            typer.echo(f"study: {new}", file=sys.stderr)
    deliver("fit", answer, as_json=as_json, target=page, quiet=quiet)
    if new is not None and answer.text is not None and not as_json:
        typer.echo(f"Next: jitter run {shlex.quote(str(new))}")


def _measured(file: str, rig: Study) -> Measurements:
    from jitter.answers.fit.subjects import measurable
    from jitter.records.measurements import read_measurements

    try:
        data = Path(file).read_bytes()
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        wrong, right = f"it cannot be read: {why}", "name a CSV file with the columns what, value"
        raise MistakeError([Fault(file, None, "the file", wrong, right)]) from None
    return read_measurements(data, source=Path(file).name, units=measurable(rig))


def _manner(rig: Study, measured: Measurements, given: Sequence[str], *, untouched: bool) -> Manner:
    from jitter.answers.fit.answer import Manner
    from jitter.answers.fit.subjects import deviation, measurable
    from jitter.quantities import Shape
    from jitter.records.measurements import JET_HEIGHT, KINDS
    from jitter.units.reading import read_spread

    units = {**measurable(rig), **KINDS}
    there = {one.what for one in measured.readings}
    gather, errors = Gather(), dict[str, float]()
    for one in given:
        what, equals, spread = (part.strip() for part in one.partition("="))
        right = "write such as --reading 'drop height=sd 0.1 mm'"
        if not equals or what not in units:
            gather.add(_fault("--reading", f"{one!r} does not say of what", right))
        elif what == JET_HEIGHT:
            wrong = "the scatter about the jet's parabola holds the reading's error already"
            gather.add(_fault("--reading", wrong, "leave it out"))
        elif what not in there:
            gather.add(_fault("--reading", f"{measured.source} has no {what}", "leave it out"))
        else:
            try:
                told = read_spread(spread, units[what], nominal=0.0)
                if told.shape is Shape.LOGNORMAL:
                    wrong = "a share does not say how far a reading errs"
                    gather.add(_fault("--reading", wrong, right))
                errors[what] = deviation(told, 0.0)
            except RefusedError as refused:
                gather.add(_fault("--reading", refused.wrong, refused.right))
    gather.judge()
    return Manner(errors, untouched)


def _study_target(study: str, write: Path | None) -> Path:
    """Return the file that the new study is written to, where nothing stands yet."""
    if write is not None:
        return judge_target(write, WRITE)
    stem = re.sub(r"[^\w.-]+", "-", Path(study).stem).strip("-.") or "study"
    usual = Path(f"{stem}-fitted.toml")
    return judge_target(usual, "the new study", otherwise=f"add {WRITE} NAME.toml")


def _fault(key: str, wrong: str, right: str) -> Fault:
    return Fault("the command line", None, key, wrong, right)
