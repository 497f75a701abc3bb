"""Measurements for tests: written as a person would, read as `jitter fit` does."""

from __future__ import annotations

from collections.abc import Iterable

from jitter.answers.fit.answer import FitAnswer, Manner, answer_fit, find, rewritten
from jitter.answers.fit.found import Finding, Number
from jitter.answers.fit.subjects import measurable
from jitter.records.measurements import Measurements, read_measurements
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from tests.conftest import STUDIES

HEADINGS = "what,value,setup,delay,start,drops,power,glint,place"
BARN = (STUDIES / "barn-table.toml").read_text(encoding="utf-8")


def read(study: Study, rows: Iterable[str]) -> Measurements:
    text = "\n".join([HEADINGS, *rows])
    return read_measurements(text.encode(), source="m.csv", units=measurable(study))


def find_in(
    rows: Iterable[str], *, text: str = BARN, untouched: bool = False, **errors: float
) -> tuple[Finding, ...]:
    """Return what rows say about a rig; errors of reading with _ for spaces, __ for points."""
    study = read_study(text, source="rig.toml", chain=CHAIN)
    manner = Manner(_kinds(errors), untouched)
    return find(study, text, read(study, rows), manner, CHAIN)


def answer(rows: Iterable[str], *, text: str = BARN, **errors: float) -> FitAnswer:
    study = read_study(text, source="rig.toml", chain=CHAIN)
    manner = Manner(_kinds(errors))
    return answer_fit(
        study, text, read(study, rows), manner, CHAIN, name="new.toml", setups=64, shots=8
    )


def fitted(rows: Iterable[str], *, text: str = BARN) -> tuple[Study, str, tuple[Finding, ...]]:
    """Return the new study, its text and what it rests on, without a shot fired."""
    study = read_study(text, source="rig.toml", chain=CHAIN)
    found = find(study, text, read(study, rows), Manner({}), CHAIN)
    new = rewritten(text, found, source="rig.toml")
    assert new is not None
    return read_study(new, source="new.toml", chain=CHAIN), new, found


def _kinds(errors: dict[str, float]) -> dict[str, float]:
    return {name.replace("__", ".").replace("_", " "): size for name, size in errors.items()}


def number(finding: Finding, name: str) -> Number:
    """Return the number of that name, or the only one whose name begins so."""
    named = [one for one in finding.numbers if one.name == name]
    (found,) = named or [one for one in finding.numbers if one.name.startswith(name)]
    return found


def parts(finding: Finding, key: str) -> dict[str, str]:
    """Return what the study shall say of a key; empty where nothing."""
    return next((dict(one.parts) for one in finding.values if one.key == key), {})
