"""The table of what is required of one quantity."""

from __future__ import annotations

from collections.abc import Callable

from jitter.answers.require.answer import RequireAnswer
from jitter.answers.require.requirement import Limit, Requirement
from jitter.answers.require.subject import Subject
from jitter.quantities import Shape
from jitter.report.require.sizes import SURE_DIGITS, bare_most, word, write_bare, write_side
from jitter.report.require.words import far_words, sides
from jitter.report.words import interval
from jitter.units.writing import write_percent


def requirement_rows(answer: RequireAnswer) -> list[tuple[str, ...]]:
    """Return what is required as rows: what, then a cell for each way that is answered.

    Parameters
    ----------
    answer
        The answer.
    """
    subject = answer.subject
    rates = [answer.present[way] for way in answer.ways]
    rows: list[tuple[str, ...]] = [
        ("keepers as it is", *(write_percent(rate.value) for rate in rates)),
        ("  sure to 95 %", *(interval(rate) for rate in rates)),
    ]
    names = {Shape.CHANCE: "largest chance", Shape.TICK: "largest step"}
    name = names.get(subject.source.spread.shape, f"largest spread, {word(subject).strip()}")
    needs = [answer.spread.needs[way] for way in answer.ways]
    rows += _rows(name, [_spread_cells(subject, need) for need in needs])
    for name, sign, asked in sides(answer):
        cells = [_side_cells(subject, sign, asked.needs[way]) for way in answer.ways]
        rows += _rows(f"steadily too {name} by", cells)
    return rows


Cells = tuple[str, str]
"""A limit, and how sure it is."""


def _rows(name: str, cells: list[Cells]) -> list[tuple[str, ...]]:
    limits, sure = zip(*cells, strict=True)
    return [(name, *limits), ("  sure to 95 %", *sure)]


def _spread_cells(subject: Subject, need: Requirement) -> Cells:
    limit = need.limit
    if limit is None:
        return _unreached(need)
    start = f"{write_bare(subject, limit.least)} to " if limit.least > 0.0 else ""
    most = f"{start}{bare_most(subject, limit.most)}{' or more' if limit.whole else ''}"
    return most, _sure(limit, lambda size: write_bare(subject, size, digits=SURE_DIGITS))


def _side_cells(subject: Subject, sign: float, need: Requirement) -> Cells:
    limit = need.limit
    if limit is None:
        return _unreached(need)
    sure = _sure(limit, lambda size: write_side(subject, sign * size, digits=SURE_DIGITS))
    if limit.least > 0.0:
        ends = (write_side(subject, sign * end) for end in (limit.least, limit.most))
        return " to ".join(ends), sure
    told = far_words(subject, sign, limit).removeprefix("up to ").rstrip(",")
    least = told.removeprefix("at least ")
    return told if least == told else f"{least} or more", sure


def _unreached(need: Requirement) -> Cells:
    return "not reachable", f"at best {write_percent(need.best.value)}"


def _sure(limit: Limit, write: Callable[[float], str]) -> str:
    if limit.whole and limit.low >= limit.most:
        return "surely"
    low = write(limit.low) if limit.low > 0.0 else "none"
    return f"{low} to {write(limit.high)}"
