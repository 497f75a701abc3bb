"""Measurements turned into a new study, and what the new numbers change."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from jitter.answers.compare.answer import CompareAnswer, answer_compare
from jitter.answers.fit.found import Finding
from jitter.answers.fit.heights import fit_heights
from jitter.answers.fit.jets import fit_jets
from jitter.answers.fit.meetings import fit_meetings
from jitter.answers.fit.readings import fit_readings
from jitter.answers.fit.streaks import fit_streaks
from jitter.answers.fit.weighings import fit_weighings
from jitter.answers.workers import Progress, silent
from jitter.errors import Fault, MistakeError, RefusedError
from jitter.records.faults import Faults
from jitter.records.measurements import (
    DROP_HEIGHT,
    JET_HEIGHT,
    MEETINGS,
    STREAK,
    WEIGHINGS,
    Measurements,
    Reading,
)
from jitter.stage import Chain
from jitter.study.reader import read_study
from jitter.study.rewriting import rewrite
from jitter.study.study import Study

BEFORE, AFTER = "as it was", "as measured"


@dataclass(frozen=True)
class FitAnswer:
    """The answer to `jitter fit`.

    Attributes
    ----------
    study
        As it was.
    source
        The file of the measurements.
    findings
        What each kind of measurement says, in the order of the file.
    notes
        What was guessed while it was read.
    text
        The new study; None where nothing is changed.
    fitted
        The new study, read again; None where nothing is changed.
    comparison
        Old and new study on the same draws; None where nothing is changed.
    """

    study: Study
    source: str
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]
    text: str | None
    fitted: Study | None
    comparison: CompareAnswer | None


@dataclass(frozen=True)
class Manner:
    """How measurements are to be taken.

    Attributes
    ----------
    errors
        Standard deviation of a reading's error, by what is read [SI].
    untouched
        Whether the rig stays as it was measured.
    """

    errors: Mapping[str, float]
    untouched: bool = False


def find(
    study: Study, text: str, measured: Measurements, manner: Manner, chain: Chain
) -> tuple[Finding, ...]:
    """Return what each kind of measurement says.

    Parameters
    ----------
    study
        The rig.
    text
        Its file.
    measured
        At the rig.
    manner
        How they are to be taken.
    chain
        The stages of a shot.

    Raises
    ------
    MistakeError
        With every reading that does not fit the rig.
    """
    kinds: dict[str, list[Reading]] = {}
    for one in measured.readings:
        kinds.setdefault(one.what, []).append(one)
    faults = Faults(measured.source)
    place, source = faults.place, measured.source
    findings = []
    for what, readings in kinds.items():
        error = manner.errors.get(what, 0.0)
        if what == DROP_HEIGHT:
            found = fit_heights(study, chain, readings, reading=error, source=source, place=place)
        elif what in WEIGHINGS:
            found = fit_weighings(
                study,
                chain,
                readings,
                written=_written(text),
                reading=error,
                untouched=manner.untouched,
                source=source,
                place=place,
            )
        elif what == STREAK:
            found = fit_streaks(study, chain, readings, reading=error, source=source, place=place)
        elif what == JET_HEIGHT:
            found = fit_jets(study, chain, readings, source=source, place=place)
        elif what in MEETINGS:
            found = fit_meetings(study, chain, readings, reading=error, place=place)
        else:
            found = fit_readings(
                study,
                readings,
                reading=error,
                untouched=manner.untouched,
                source=source,
                place=place,
            )
        findings.append(found)
    _twice(findings, kinds, faults)
    faults.judge()
    return tuple(findings)


def _written(text: str) -> frozenset[str]:
    """Return the keys that a study's file gives."""
    document = tomllib.loads(text.removeprefix("\ufeff"))
    return frozenset(
        f"{section}.{name}"
        for section, content in document.items()
        if isinstance(content, dict)
        for name in content
    )


def _twice(
    findings: Sequence[Finding], kinds: Mapping[str, Sequence[Reading]], faults: Faults
) -> None:
    """Refuse two kinds of measurement that give one value."""
    givers: dict[str, str] = {}
    told: list[Finding] = []
    for finding in findings:
        for value in finding.values:
            for key in (value.key, *value.instead):
                if givers.setdefault(key, finding.what) != finding.what and finding not in told:
                    told.append(finding)
                    wrong = f"{givers[key]} and {finding.what} both say what {key} is"
                    line = kinds[finding.what][0].line
                    faults.place(line, "what", wrong, "leave one of them out")


def _set_too(findings: Sequence[Finding], settings: Sequence[str], source: str) -> None:
    """Refuse settings that would hide what was measured."""
    keys = [
        key
        for finding in findings
        for value in finding.values
        for key in (value.key, *value.instead)
    ]
    faults = []
    for setting in settings:
        name = setting.partition("=")[0].strip()
        if any(f"{name}.".startswith(f"{key}.") for key in keys):
            wrong = f"it is measured in {source} too, and would hide what was measured"
            faults.append(Fault("--set", None, name, wrong, "leave one of them out"))
    if faults:
        raise MistakeError(faults)


def rewritten(text: str, findings: Iterable[Finding], *, source: str) -> str | None:
    """Return the text of the new study; None where nothing is changed.

    Parameters
    ----------
    text
        Of the old one.
    findings
        What the measurements say.
    source
        The old study's file, for messages.

    Raises
    ------
    MistakeError
        If the old text cannot be changed line by line.
    """
    values = [value for finding in findings for value in finding.values]
    if not values:
        return None
    try:
        return rewrite(text, values)
    except RefusedError as refused:
        fault = Fault(source, None, "the file", refused.wrong, refused.right)
        raise MistakeError([fault]) from None


def answer_fit(
    study: Study,
    text: str,
    measured: Measurements,
    manner: Manner,
    chain: Chain,
    *,
    name: str,
    settings: Sequence[str] = (),
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> FitAnswer:
    """Turn measurements into a new study and compare it with the old one.

    Parameters
    ----------
    study
        The rig.
    text
        Its file.
    measured
        At the rig.
    manner
        How they are to be taken.
    chain
        The stages of a shot.
    name
        Of the new study's file.
    settings
        Values set over both studies' files.
    setups, shots
        Set-ups to simulate, and shots of each; the comparison's where None.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.

    Raises
    ------
    MistakeError
        With every reading that does not fit the rig, or what the new study would not stand.
    """
    findings = find(study, text, measured, manner, chain)
    _set_too(findings, settings, measured.source)
    new = rewritten(text, findings, source=study.source)
    fitted = comparison = None
    if new is not None:
        fitted = read_study(new, source=name, chain=chain, settings=settings, seed=study.seed)
        if fitted.digest != study.digest:
            comparison = answer_compare(
                [(BEFORE, study), (AFTER, fitted)],
                chain,
                setups=setups,
                shots=shots,
                workers=workers,
                progress=progress,
            )
    return FitAnswer(
        study=study,
        source=measured.source,
        findings=findings,
        notes=measured.notes,
        text=new,
        fitted=fitted,
        comparison=comparison,
    )
