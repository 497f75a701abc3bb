"""What `jitter require --all` says, for screen, page and document alike."""

from __future__ import annotations

from collections.abc import Sequence

from jitter.answers.require.every import Need, RequireAllAnswer
from jitter.answers.require.requirement import Requirement
from jitter.quantities import Level
from jitter.report.require.sizes import bare_most_beside_now, write_bare, write_size
from jitter.report.require.words import BOTH, unaimed_words
from jitter.report.words import WHEN, share_words
from jitter.units.writing import write_number, write_percent

ANY = "any"
"""Of a spread that may be as wide as was looked at."""
TIMES = 3.0
"""From here on a room is told as so many times the present size."""


def all_rows(answer: RequireAllAnswer) -> tuple[list[tuple[str, ...]], str]:
    """Return the requirement of every spread as rows, and a line about those left out.

    The tightest against what they are stand first; spreads that cannot reach the target alone are
    named in the line, with the best that any of them does. Only ways that are answered have a cell.

    Parameters
    ----------
    answer
        The answer.

    Returns
    -------
    rows
        Quantity, level, spread as it is, and what is required in each way.
    rest
        Empty where none is left out.
    """
    if not answer.ways:
        return [], ""
    met = tightest(answer)
    rows: list[tuple[str, ...]] = []
    for need in met:
        subject = need.subject
        cells = (_cell(need, need.needs[way]) for way in answer.ways)
        now = write_size(subject, subject.present)
        rows.append((_name(need), _level(subject.source.level), now, *cells))
    left = [need for need in answer.needs if not need.met(answer.ways)]
    if not left:
        return rows, ""
    best = max(left, key=lambda need: max(need.needs[way].best.value for way in answer.ways))
    values = [f"{write_percent(best.needs[way].best.value)} {BOTH[way]}" for way in answer.ways]
    many = f"The other {len(left)} cannot" if rows else f"None of the {len(left)} can"
    return rows, (
        f"{many} reach it alone; the best of them, {_name(best)}"
        f" {WHEN[best.subject.source.level]}, {' or '.join(values)}"
    )


def tightest(answer: RequireAllAnswer) -> list[Need]:
    """Return the spreads that reach the target alone, those with the least room first."""
    met = [need for need in answer.needs if need.met(answer.ways)]
    return sorted(met, key=lambda need: _slack(need, answer.ways))


def _slack(need: Need, ways: Sequence[str]) -> float:
    """Return how much wider than now a spread may be, in the stricter way that it reaches."""
    limits = [limit for way in ways if (limit := need.needs[way].limit) is not None]
    return min(limit.most for limit in limits) / need.subject.present


def room_words(room: float) -> str:
    """Say how much wider than now a spread may be.

    Examples
    --------
    >>> room_words(1.021), room_words(1.0004), room_words(3.62)
    ('2 % wider than now', 'less than 1 % wider than now', '3.6 times as wide as now')
    """
    if room >= TIMES:
        return f"{write_number(room, 2)} times as wide as now"
    wider = round(100.0 * (room - 1.0))
    return f"{wider} % wider than now" if wider else "less than 1 % wider than now"


def _cell(need: Need, one: Requirement) -> str:
    limit, subject = one.limit, need.subject
    if limit is None:
        return f"at best {write_percent(one.best.value)}"
    start = f"{write_bare(subject, limit.least)} to " if limit.least > 0.0 else ""
    most = bare_most_beside_now(subject, limit.most)
    return f"{ANY} up to {most}" if limit.whole and not start else f"{start}{most}"


def _name(need: Need) -> str:
    first, *rest = need.subject.source.keys
    return " and ".join([first, *(key.split(".")[1] for key in rest)])


def _level(level: Level) -> str:
    return level.value.replace("setup", "set-up")


def all_findings(answer: RequireAllAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    now = [share_words(rate.value) for rate in answer.present.values()]
    said = [
        f"Now {now[0]} frames are keepers as set by ruler and {now[1]} after trimming; wanted:"
        f" {share_words(answer.target)}.",
        *unaimed_words(answer.aims, answer.unaimed),
    ]
    for way in answer.ways:
        words = BOTH[way]
        reached = answer.present[way].value >= answer.target
        tight = [
            need
            for need in answer.needs
            if (limit := need.needs[way].limit) is not None and limit.most < need.subject.present
        ]
        if reached:
            loose = [
                need
                for need in answer.needs
                if (limit := need.needs[way].limit) is not None and not limit.whole
            ]
            first = min(loose, key=lambda need: _slack(need, (way,)), default=None)
            said.append(
                f"It is reached {words}: each spread may be as wide as its row says, the others"
                " staying as they are."
                + (
                    f" The least room is left to {_name(first)} {WHEN[first.subject.source.level]}:"
                    f" it may be {room_words(_slack(first, (way,)))}."
                    if first is not None
                    else ""
                )
            )
        elif tight:
            names = [f"{_name(need)} {WHEN[need.subject.source.level]}" for need in tight]
            said.append(f"Each of these alone would reach it {words}: {', '.join(names)}.")
        else:
            said.append(
                f"No single spread, tightened alone, reaches it {words}: ask about one of them to"
                " see what else must shrink, or give prices with --effort."
            )
    return tuple(said)
