"""A check: a value of ours beside one from outside, and whether they agree as claimed."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from jitter.stages import CHAIN

WHOLE_SHOT = "the whole shot"
STAGES = (*(stage.name for stage in CHAIN.stages), CHAIN.trimming.name, WHOLE_SHOT)
"""In the order of the page."""

UNSTATED = "not stated"
"""Of an outside value of which nobody says how uncertain it is."""


class Known(StrEnum):
    """How a value from outside is known."""

    PUBLISHED = "published"
    ABSTRACT = "published, read in the abstract"
    SECOND_HAND = "published, read second-hand"
    LIBRARY = "reference library"
    CLOSED_FORM = "closed form"
    PROGRAM = "a second program"
    COMMON = "common practice, no source"
    MEMORY = "from memory"


@dataclass(frozen=True)
class Claim:
    """How far apart the two may be.

    Attributes
    ----------
    size
        Share of the outside value, or a difference in the check's unit.
    why
        Who says so.
    relative
        Whether `size` is a share.
    """

    size: float
    why: str
    relative: bool = True


EXACT = Claim(1e-9, "the same equation, solved another way")


@dataclass(frozen=True, kw_only=True)
class Check:
    """One comparison.

    Attributes
    ----------
    stage
        One of `STAGES`.
    series
        What is compared; checks of one series share it.
    what
        Which row of the series.
    ours
        Computed by the stage's own code.
    theirs
        From outside.
    unit
        The SI unit of both.
    uncertainty
        Of the outside value, as its source states it.
    claim
        How far apart they may be.
    source
        Of the outside value: author, title or journal, year, table, equation or page.
    known
        How it is known.
    note
        Why they differ, where they do, and what belongs to the understanding.
    """

    stage: str
    series: str
    what: str
    ours: float
    theirs: float
    unit: str = "1"
    uncertainty: str = UNSTATED
    claim: Claim
    source: str
    known: Known
    note: str = ""

    @property
    def deviation(self) -> float:
        """Ours less theirs."""
        return self.ours - self.theirs

    @property
    def share(self) -> float:
        """The deviation as a share of the outside value."""
        return self.deviation / abs(self.theirs) if self.theirs != 0.0 else math.nan

    @property
    def strain(self) -> float:
        """The deviation over what is claimed; up to 1 they agree."""
        apart = self.share if self.claim.relative else self.deviation
        return abs(apart) / self.claim.size

    @property
    def agrees(self) -> bool:
        """Whether they are as near as is claimed."""
        return self.strain <= 1.0


def many(
    rows: Iterable[tuple[str, float, float]],
    *,
    stage: str,
    series: str,
    claim: Claim,
    source: str,
    known: Known,
    unit: str = "1",
    uncertainty: str = UNSTATED,
    note: str = "",
) -> tuple[Check, ...]:
    """Return the checks of a series.

    Parameters
    ----------
    rows
        Which, ours, theirs.
    stage, series, claim, source, known, unit, uncertainty, note
        Of every check; see `Check`.
    """
    return tuple(
        Check(
            stage=stage,
            series=series,
            what=what,
            ours=float(ours),
            theirs=float(theirs),
            unit=unit,
            uncertainty=uncertainty,
            claim=claim,
            source=source,
            known=known,
            note=note,
        )
        for what, ours, theirs in rows
    )


def in_series(checks: Iterable[Check]) -> dict[str, tuple[Check, ...]]:
    """Return checks by series, in order."""
    found: dict[str, list[Check]] = {}
    for check in checks:
        found.setdefault(check.series, []).append(check)
    return {series: tuple(rows) for series, rows in found.items()}


def worst(checks: Iterable[Check]) -> Check:
    """Return the check that strains its claim most."""
    return max(checks, key=lambda check: check.strain)


@dataclass(frozen=True)
class Doubt:
    """Something that does not agree, or that nobody can check.

    Attributes
    ----------
    stage
        Where it belongs.
    what
        What does not agree.
    size
        By how much, computed.
    why
        The likely reason.
    effect
        What it does to a shot, and what helps.
    """

    stage: str
    what: str
    size: str
    why: str
    effect: str
