"""How much is measured, and which studies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from tests.benchmark.clock import ROOT

STUDIES = ROOT / "studies"
DEFAULT = STUDIES / "barn-table.toml"


@dataclass(frozen=True)
class Effort:
    """How much is measured.

    Attributes
    ----------
    rounds
        Of short works, of which the best counts.
    shots
        About so many, in plain simulations from which costs and variances are taken.
    seeds
        By which a standard error is found.
    studies
        The default one and so many others.
    side
        Of the map, in delays and intervals.
    growth
        Numbers of shots whose time is measured.
    error
        Standard error of the hit rate at which roads are compared.
    commands
        What is run from the shell.
    """

    rounds: int
    shots: int
    seeds: int
    studies: int
    side: int
    growth: Sequence[int]
    error: float
    commands: Sequence[tuple[str, ...]]


AT_ONCE: tuple[tuple[str, ...], ...] = (
    ("--help",),
    ("run", "--help"),
    ("quantities", "flash"),
    ("run", "STUDY", "--set", "sensor.hight=1"),
    ("show", "STUDY", "--json"),
    ("show", "STUDY"),
    ("run", "STUDY", "--json"),
    ("run", "STUDY"),
)
EVERY: tuple[tuple[str, ...], ...] = (
    *AT_ONCE,
    ("rank", "STUDY"),
    ("require", "STUDY", "valve.latency", "--hit-rate", "80%"),
    ("tune", "STUDY"),
    ("power", "STUDY"),
    ("compare", "STUDY", "OTHER"),
    ("explain", "STUDY", "LOG"),
    ("fit", "STUDY", "MEASUREMENTS"),
    ("plan", "STUDY", "--want", "12", "--sure", "95%"),
    ("validate",),
)
"""Words that stand for files: see `tests.benchmark.start`."""


GROWTH = (10_000, 100_000, 1_000_000, 10_000_000, 100_000_000)
QUICK = Effort(2, 1 << 15, 2, 1, 20, GROWTH[:3], 0.0005, AT_ONCE)
USUAL = Effort(3, 1 << 17, 4, 9, 60, GROWTH[:4], 0.0005, AT_ONCE)
LONG = Effort(5, 1 << 19, 8, 9, 60, GROWTH, 0.0005, EVERY)


def study_of(path: Path = DEFAULT) -> Study:
    """Return a shipped study."""
    return read_study(path.read_text(encoding="utf-8"), source=str(path), chain=CHAIN)


def shipped(effort: Effort) -> dict[str, Study]:
    """Return studies by name, the default one first."""
    others = sorted(path for path in STUDIES.glob("*.toml") if path != DEFAULT)
    return {path.stem: study_of(path) for path in (DEFAULT, *others[: effort.studies - 1])}
