"""What `jitter require` says, for screen, page and document alike."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import takewhile

from jitter.answers.effort import Effort
from jitter.answers.hits import WAYS
from jitter.answers.require.answer import Asked, RequireAnswer
from jitter.answers.require.remedies import Remedy
from jitter.answers.require.requirement import HitCurve, Limit, Requirement
from jitter.answers.require.subject import Subject
from jitter.quantities import Shape
from jitter.report.effort import FALLEN_BACK, effort_words
from jitter.report.words import WHEN, interval, share_words
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_percent, write_spread

DIGITS, SURE_DIGITS = 2, 3
"""Of sizes, and of the ends of their intervals, which lie near each other."""
APART = 1.45
"""Of a curve, sizes in this ratio and more are told."""

HELD = (
    "Held fixed: everything else, spreads and settings, as the study has it; the delay is not aimed"
    " anew."
)


def made_words(study: Study, effort: Effort, *, fell_back: bool) -> str:
    """Say on which points or draws an answer rests, and why where draws took the points' place."""
    why = f" ({FALLEN_BACK})" if fell_back else ""
    return (
        f"{effort_words(effort)}{why}, the same for every what-if, study {study.digest}; intervals"
        " 95 %"
    )


def way_words(study: Study, way: str) -> str:
    """Say a way of setting the delay, as a sentence begins."""
    if way == WAYS[0]:
        return "As set by ruler"
    frames = study.number("trim.frames")
    return f"After trimming on {frames:.0f} frame{'' if frames == 1.0 else 's'}"


def floored(size: float) -> float:
    """Round a size down to two digits, so that the rounding does not lose what it promises.

    Examples
    --------
    >>> floored(0.0015699), floored(0.04999995)
    (0.0015, 0.05)
    """
    if size <= 0.0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(size)) - 1)
    return float(f"{math.floor(size / step * (1.0 + 1e-5)) * step:.12g}")


def write_size(subject: Subject, size: float) -> str:
    """Write a spread of so much, in the words of a study; none where it is 0."""
    return write_spread(subject.spread(size), subject.source.unit) if size > 0.0 else "none"


def write_bare(subject: Subject, size: float, *, digits: int = DIGITS) -> str:
    """Write a size without the word for its shape, to some digits; none where it is 0.

    For ranges, which would repeat the word.
    """
    if size <= 0.0:
        return "none"
    rounded = float(f"{size:.{digits}g}")
    return write_size(subject, rounded).removeprefix(_word(subject))


def _word(subject: Subject) -> str:
    """Return what stands before the number in the words of a study."""
    return "".join(takewhile(lambda letter: not letter.isdigit(), write_size(subject, 1.0)))


def write_offset(subject: Subject, size: float) -> str:
    """Write a steady offset."""
    return write_difference(size, subject.source.unit)


def _kept(subject: Subject, size: float) -> str:
    shape = subject.source.spread.shape
    written = write_size(subject, size)
    if shape is Shape.RECTANGULAR:
        return written
    if shape is Shape.TICK:
        return f"to {written.removeprefix('up to ')} at most"
    return f"to {written.replace('chance', 'a chance of')}"


def present_words(answer: RequireAnswer) -> str:
    """Say how things are."""
    subject, source = answer.subject, answer.subject.source
    when = "" if source.spread.shape in (Shape.CHANCE, Shape.TICK) else f" {WHEN[source.level]}"
    spread = write_size(subject, subject.present)
    now = f"It strays{when} by: {spread}" if subject.present > 0.0 else f"It does not stray{when}"
    if when == "":
        now = f"It is: {spread}"
    rates = [share_words(answer.present[way].value) for way in WAYS]
    return (
        f"{' and '.join(source.keys)}: {source.meaning}. {now}; {rates[0]} frames are keepers as"
        f" set by ruler and {rates[1]} after trimming. Wanted: {share_words(answer.target)}."
    )


def findings(answer: RequireAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    said = [present_words(answer)]
    for way in WAYS:
        need = answer.spread.needs[way]
        said.append(_spread_words(answer, way, need))
        if need.limit is None:
            said.append(remedy_words(answer.remedies[way], answer.target))
    for way in WAYS:
        words = _offset_words(answer, way)
        said += [words] if words else []
    return tuple(said)


def _spread_words(answer: RequireAnswer, way: str, need: Requirement) -> str:
    subject, wanted = answer.subject, share_words(answer.target)
    start, limit, key = way_words(answer.study, way), need.limit, subject.key
    if limit is None:
        return f"{start} {unreachable_words(subject, need, answer.target)}"
    most = floored(limit.most)
    if limit.least > 0.0:
        ends = f"{write_bare(subject, limit.least)} to {write_bare(subject, most)}"
        return (
            f"{start} {wanted} are reached only where {key} strays by {ends}: a smaller spread"
            " loses frames that stray into the window by it. The aim is off; jitter tune finds a"
            " better one."
        )
    if limit.whole:
        rate = share_words(answer.spread.curve.at(way, limit.most))
        doubt = (
            ""
            if limit.low >= limit.most
            else f" But it is sure only up to {write_bare(subject, limit.low)}."
        )
        return (
            f"{start} any spread of {key} as wide as {write_size(subject, most)} will do: there"
            f" {rate} are keepers. It was looked at no further.{doubt}"
        )
    return (
        f"{start}, keep {key} {_kept(subject, most)} for {wanted} ({sure_words(subject, limit)})."
    )


def sure_words(subject: Subject, limit: Limit) -> str:
    """Say how sure a limit is."""
    low, high = (write_bare(subject, end, digits=SURE_DIGITS) for end in (limit.low, limit.high))
    if limit.low <= 0.0:
        return f"perhaps {high}, perhaps none is small enough; sure to 95 %"
    return f"{low} to {high}, sure to 95 %"


def unreachable_words(subject: Subject, need: Requirement, target: float) -> str:
    """Say that a target is out of reach, and what is not."""
    at = (
        f"with {write_size(subject, need.best_at)}"
        if need.best_at > 0.0
        else "with none of it left"
    )
    close = (
        " That is too close to call; many random draws may tell, by --setups."
        if need.best.high >= target
        else ""
    )
    return (
        f"{share_words(target)} are not reachable with this alone: at best"
        f" {write_percent(need.best.value)} ({interval(need.best)}), {at}.{close}"
    )


def remedy_words(found: tuple[Remedy, ...], target: float) -> str:
    """Say what else must shrink."""
    if not found:
        return "No other single spread costs a measurable share of keepers either: the aim is off."
    named = [
        f"{' and '.join(one.source.keys)} {WHEN[one.source.level]}"
        f" ({write_spread(one.source.spread, one.source.unit)})"
        for one in found
    ]
    reached = found[-1].together
    end = "which would reach it" if reached.value >= target else "which would still fall short"
    return (
        f"What else must shrink: {'; '.join(named)}. Without"
        f" {'it' if len(found) == 1 else 'all of them'} too, {share_words(reached.value)} would be"
        f" keepers, {end}."
    )


def side_words(subject: Subject) -> tuple[str, str]:
    """Say what a value is that is less, and one that is more, than it was reckoned with."""
    return ("short", "long") if subject.source.unit == "s" else ("low", "high")


def _offset_words(answer: RequireAnswer, way: str) -> str:
    subject = answer.subject
    words = side_words(subject)
    sides = [
        (name, asked.needs[way].limit)
        for name, asked in zip(words, (answer.down, answer.up), strict=True)
        if asked is not None
    ]
    start = f"{way_words(answer.study, way)}, its spread as it is,"
    if all(limit is None for _, limit in sides):
        if not sides or answer.spread.needs[way].limit is None:
            return ""
        return f"{start} no steady error of {subject.key} reaches it."
    needed = [(name, limit) for name, limit in sides if limit is not None and limit.least > 0.0]
    if needed:
        parts = [
            f"{_offset(subject, limit.least)} to {_offset(subject, limit.most)} too {name}"
            for name, limit in needed
        ]
        return f"{start} only a steady error of {subject.key} would reach it: {' or '.join(parts)}."
    parts = [
        f"{'at least' if limit.whole else 'up to'} {write_offset(subject, floored(limit.most))}"
        f" too {name}"
        for name, limit in sides
        if limit is not None
    ]
    return f"{start} {subject.key} may steadily be {' or '.join(parts)}: that still reaches it."


def told(curve: HitCurve, *keep: float) -> list[int]:
    """Return the places of a curve that are worth telling: some way apart, and those to keep."""
    places: list[int] = []
    for place, size in enumerate(curve.sizes):
        last = float(curve.sizes[places[-1]]) if places else -1.0
        if size == 0.0 or size >= APART * last or size in keep or place == len(curve.sizes) - 1:
            places.append(place)
    return places


def requirement_rows(answer: RequireAnswer) -> list[tuple[str, str, str]]:
    """Return what is required as rows: what, as set, as trimmed.

    Parameters
    ----------
    answer
        The answer.
    """
    subject = answer.subject
    rates = [answer.present[way] for way in WAYS]
    rows: list[tuple[str, ...]] = [
        ("keepers as it is", *(write_percent(rate.value) for rate in rates)),
        ("  sure to 95 %", *(interval(rate) for rate in rates)),
    ]
    names = {Shape.CHANCE: "largest chance", Shape.TICK: "largest step"}
    name = names.get(subject.source.spread.shape, f"largest spread, {_word(subject).strip()}")
    rows += _rows(
        name, answer.spread, lambda size, digits: write_bare(subject, size, digits=digits)
    )
    for name, asked in zip(side_words(subject), (answer.down, answer.up), strict=True):
        if asked is not None:
            rows += _rows(
                f"steadily too {name} by",
                asked,
                lambda size, digits: _offset(subject, size, digits),
            )
    return [(first, second, third) for first, second, third in rows]


def _offset(subject: Subject, size: float, digits: int = DIGITS) -> str:
    return write_offset(subject, float(f"{size:.{digits}g}"))


def _rows(name: str, asked: Asked, write: Callable[[float, int], str]) -> list[tuple[str, ...]]:
    cells, sure = [], []
    for way in WAYS:
        need = asked.needs[way]
        limit = need.limit
        if limit is None:
            cells.append("not reachable")
            sure.append(f"at best {write_percent(need.best.value)}")
            continue
        start = f"{write(limit.least, DIGITS)} to " if limit.least > 0.0 else ""
        most = write(floored(limit.most), DIGITS)
        cells.append(f"{start}{most}{' or more' if limit.whole else ''}")
        low = write(limit.low, SURE_DIGITS) if limit.low > 0.0 else "none"
        surely = limit.whole and limit.low >= limit.most
        sure.append("surely" if surely else f"{low} to {write(limit.high, SURE_DIGITS)}")
    return [(name, *cells), ("  sure to 95 %", *sure)]
