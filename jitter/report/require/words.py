"""What `jitter require` says, for screen, page and document alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from jitter.answers.effort import Effort
from jitter.answers.hits import WAYS
from jitter.answers.require.answer import Asked, RequireAnswer
from jitter.answers.require.remedies import Remedy
from jitter.answers.require.requirement import HitCurve, Limit, Requirement
from jitter.answers.require.subject import Subject
from jitter.quantities import Shape
from jitter.report.effort import FALLEN_BACK, effort_words
from jitter.report.require.sizes import (
    SURE_DIGITS,
    bare_most,
    kept_words,
    side_words,
    spread_words,
    write_bare,
    write_most,
    write_most_off,
    write_side,
    write_size,
)
from jitter.report.words import WHEN, interval, share_words
from jitter.study.study import Study
from jitter.units.writing import write_percent, write_spread

APART = 1.45
"""Of a curve, sizes in this ratio and more are told."""
VAGUE = 2.0
"""A steady error whose interval spans more than this ratio is told by its lower end."""

BOTH = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}

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


def named(ways: Sequence[str]) -> list[str]:
    """Name ways as the heads of columns."""
    return [BOTH[way] for way in ways]


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
        f"{_what(subject)} {now}; {rates[0]} frames are keepers as set by ruler and {rates[1]}"
        f" after trimming. Wanted: {share_words(answer.target)}."
    )


def _what(subject: Subject) -> str:
    """Say what is asked about, and of a diameter how it is held."""
    source, sphere = subject.source, subject.sphere
    if sphere is None:
        return f"{' and '.join(source.keys)}: {source.meaning}."
    others = [key for key in source.keys if key != sphere.volume_key]
    with_others = f", which strays as one with {' and '.join(others)}" if others else ""
    return (
        f"{sphere.key} is held as a volume, {sphere.volume_key}{with_others}. 3 % of a volume are"
        " about 1 % of its diameter; all that follows is said of the diameter."
    )


def unaimed_words(aims: Mapping[str, bool], unaimed: str) -> tuple[str, ...]:
    """Say which way is not answered, and what to do first; nothing where both are.

    Parameters
    ----------
    aims
        By way: whether the shot in which nothing strays is a keeper.
    unaimed
        What is wrong with it.
    """
    if all(aims.values()):
        return ()
    start = "As set by ruler this is not answered"
    if not any(aims.values()):
        start = "Neither as set by ruler nor after trimming is this answered"
    first = "aim first" if aims["as_trimmed"] else "mend the shot itself first"
    return (
        f"{start}: {first}, then ask again. Until then frames are lost however precise everything"
        " is.",
        unaimed,
    )


def findings(answer: RequireAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    said = (*unaimed_words(answer.aims, answer.unaimed), *spread_findings(answer))
    # How a diameter is held must be known before anything is said of it; else the answer is first.
    present = (present_words(answer),)
    opening = said + present if answer.subject.sphere is None else present + said
    return (*opening, *offset_findings(answer))


def spread_findings(answer: RequireAnswer) -> tuple[str, ...]:
    """Return what is required of the spread, in each way that is answered.

    Parameters
    ----------
    answer
        The answer.
    """
    said = []
    for way in answer.ways:
        need = answer.spread.needs[way]
        said.append(_spread_words(answer, way, need))
        if need.limit is None:
            said.append(remedy_words(answer.remedies[way], answer.target))
    return tuple(said)


def offset_findings(answer: RequireAnswer) -> tuple[str, ...]:
    """Return what is required of a steady error, in each way that is answered.

    Parameters
    ----------
    answer
        The answer.
    """
    return tuple(filter(None, (_offset_words(answer, way) for way in answer.ways)))


def _spread_words(answer: RequireAnswer, way: str, need: Requirement) -> str:
    subject, wanted = answer.subject, share_words(answer.target)
    start, limit, name = way_words(answer.study, way), need.limit, subject.name
    if limit is None:
        return f"{start} {unreachable_words(subject, need, answer.target)}"
    if limit.least > 0.0:
        ends = f"{write_bare(subject, limit.least)} to {bare_most(subject, limit.most)}"
        return (
            f"{start} {wanted} are reached only where {name} strays by {ends}: a smaller spread"
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
            f"{start} any spread of {name} as wide as {write_most(subject, limit.most)} will do:"
            f" there {rate} are keepers. It was looked at no further.{doubt}"
        )
    kept = kept_words(subject, limit.most)
    return f"{start}, keep {name} {kept} for {wanted} ({sure_words(subject, limit)})."


def sure_words(subject: Subject, limit: Limit) -> str:
    """Say how sure a limit is."""
    low, high = (write_bare(subject, end, digits=SURE_DIGITS) for end in (limit.low, limit.high))
    if limit.low <= 0.0:
        return f"perhaps {high}, perhaps none is small enough; sure to 95 %"
    return f"{low} to {high}, sure to 95 %"


def unreachable_words(subject: Subject, need: Requirement, target: float) -> str:
    """Say that a target is out of reach, and what is not."""
    at = (
        f"with {spread_words(subject, need.best_at)}"
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


def sides(answer: RequireAnswer) -> list[tuple[str, float, Asked]]:
    """Return the sides that a value may be off to: their words, their signs, what was found."""
    named = zip(side_words(answer.subject), (-1.0, 1.0), (answer.down, answer.up), strict=True)
    return [(name, sign, asked) for name, sign, asked in named if asked is not None]


def _offset_words(answer: RequireAnswer, way: str) -> str:
    subject = answer.subject
    off = [(name, sign, asked.needs[way].limit) for name, sign, asked in sides(answer)]
    start = f"{way_words(answer.study, way)}, its spread as it is,"
    if all(limit is None for _, _, limit in off):
        if not off or answer.spread.needs[way].limit is None:
            return ""
        return f"{start} no steady error of {subject.name} reaches it."
    found = [(name, sign, limit) for name, sign, limit in off if limit is not None]
    parts = [
        f"{write_side(subject, sign * limit.least)} to {write_side(subject, sign * limit.most)}"
        f" too {name}"
        for name, sign, limit in found
        if limit.least > 0.0
    ]
    if parts:
        only = f"only a steady error of {subject.name} would reach it"
        return f"{start} {only}: {' or '.join(parts)}."
    parts = [f"{far_words(subject, sign, limit)} too {name}" for name, sign, limit in found]
    return f"{start} {subject.name} may steadily be {' or '.join(parts)}: that still reaches it."


def far_words(subject: Subject, sign: float, limit: Limit) -> str:
    """Say how large a steady error to one side may be, no more than is known of it."""
    if limit.low <= 0.0:
        return f"perhaps {write_most_off(subject, sign * limit.most)}, perhaps none,"
    if limit.whole or limit.high > VAGUE * limit.low:
        return f"at least {write_most_off(subject, sign * limit.low)}"
    return f"up to {write_most_off(subject, sign * limit.most)}"


def told(curve: HitCurve, *keep: float) -> list[int]:
    """Return the places of a curve that are worth telling: some way apart, and those to keep."""
    places: list[int] = []
    for place, size in enumerate(curve.sizes):
        last = float(curve.sizes[places[-1]]) if places else -1.0
        if size == 0.0 or size >= APART * last or size in keep or place == len(curve.sizes) - 1:
            places.append(place)
    return places
