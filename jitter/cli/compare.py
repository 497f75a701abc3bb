"""The command `jitter compare`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from jitter.cli.completing import offer_settings
from jitter.cli.console import load, source
from jitter.cli.deliver import deliver
from jitter.cli.gather import Gather
from jitter.cli.meter import Meter
from jitter.cli.options import AsJson, Out, Quiet, Seed, Settings, Setups, Shots
from jitter.errors import Fault, MistakeError, plain

if TYPE_CHECKING:
    from jitter.study.study import Study

MOST = 12
MOST_SETUPS = 2_000_000
LONGEST_NAME = 80

Studies = Annotated[
    list[str], typer.Argument(metavar="STUDY", help="Two study files or more; - is standard input.")
]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        metavar="KEY=VALUE",
        help="A variant of the first study; several values of one variant with ; between them.",
        autocompletion=offer_settings,
    ),
]
Aim = Annotated[
    bool,
    typer.Option("--aim", help="Set every delay so that the nominal age is mid-window."),
]


def compare(
    studies: Studies,
    variants: With = None,
    aim: Aim = False,
    seed: Seed = None,
    setups: Setups = None,
    shots: Shots = None,
    settings: Settings = None,
    as_json: AsJson = False,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Say which of several rigs keeps more frames, by how much, why, and what drove it.

    All are fired on the same draws, with the seed of the first. Prints the answer and writes a
    page with pictures; with --json the page is written only where --out asks for one.
    """
    from jitter.report.target import page_target

    gather = Gather()
    target = None
    if not as_json or out is not None:
        target = gather.read(lambda: page_target(source(studies[0]), "compare", out))
    if setups is not None and setups > MOST_SETUPS:
        wrong = f"{setups} set-ups are more than a comparison needs"
        gather.add(_fault("--setups", wrong, f"ask for {MOST_SETUPS} at the most"))
    named = _read(gather, studies, variants or (), list(settings or ()), seed)
    gather.judge()

    from jitter.answers.compare.answer import answer_compare
    from jitter.stages import CHAIN

    with Meter(quiet=quiet) as meter:
        answer = answer_compare(
            named,
            CHAIN,
            aim=aim,
            setups=setups,
            shots=shots,
            progress=meter.show,
        )
    deliver("compare", answer, as_json=as_json, target=target, quiet=quiet)


def _read(
    gather: Gather,
    files: Sequence[str],
    variants: Sequence[str],
    settings: list[str],
    seed: int | None,
) -> list[tuple[str, Study]]:
    """Read every study and every variant of the first; what cannot be read is left out."""
    gather.add(*_too_few_or_many(files, variants))
    if files.count("-") > 1 or (variants and files[0] == "-"):
        wrong = "standard input can be read once only"
        gather.add(_fault("STUDY", wrong, "put the study into a file"))
        return []
    stems = Counter(Path(file).stem for file in files)
    found = []
    for file in files:
        study = gather.read(lambda file=file: load(file, settings=settings, seed=seed))  # type: ignore[misc]
        if study is not None:
            name = Path(file).stem if stems[Path(file).stem] == 1 else file
            found.append((source(file) if file == "-" else plain(name, LONGEST_NAME), study))
    for variant in variants:
        changes = [part.strip() for part in variant.split(";") if part.strip()]
        if not changes:
            gather.add(_fault("--with", "it changes nothing", "write --with key=value"))
            continue
        study = gather.read(lambda c=changes: _variant(files[0], settings, c, seed))  # type: ignore[misc]
        if study is not None:
            found.append((plain("; ".join(changes), LONGEST_NAME), study))
    gather.add(*_the_same(found))
    return found


def _variant(file: str, settings: list[str], changes: list[str], seed: int | None) -> Study:
    """Read a variant of a study, whose faults are those of its changes."""
    try:
        return load(file, settings=[*settings, *changes], seed=seed)
    except MistakeError as mistake:
        own = {change.partition("=")[0].strip() for change in changes}
        raise MistakeError(
            [
                replace(fault, file="--with") if _belongs(fault, own) else fault
                for fault in mistake.faults
            ]
        ) from None


def _belongs(fault: Fault, keys: set[str]) -> bool:
    return fault.file == "--set" and any(
        fault.key == key or fault.key.startswith(f"{key}.") or key.startswith(f"{fault.key}.")
        for key in keys
    )


def _too_few_or_many(files: Sequence[str], variants: Sequence[str]) -> list[Fault]:
    count = len(files) + len(variants)
    if variants and len(files) > 1:
        wrong = "--with makes variants of one study, and several are named"
        return [_fault("--with", wrong, "name one study, or leave --with out")]
    if count < 2:
        right = "name a second one, or make a variant: --with 'timer.start=second drop'"
        return [_fault("STUDY", "one study alone cannot be compared", right)]
    if count > MOST:
        return [_fault("STUDY", f"{count} studies are too many", f"name {MOST} at the most")]
    return []


def _the_same(found: Sequence[tuple[str, Study]]) -> list[Fault]:
    """Return a fault for each study that says the same as one before it."""
    names: dict[str, str] = {}
    faults = []
    for name, study in found:
        if study.digest in names:
            wrong = f"it says the same as {names[study.digest]}, value for value"
            faults.append(_fault(name, wrong, "change something, or leave one of them out"))
        names.setdefault(study.digest, name)
    return faults


def _fault(key: str, wrong: str, right: str) -> Fault:
    return Fault("the command line", None, key, wrong, right)
