"""What `jitter require --all` says, for screen, page and document alike."""

from __future__ import annotations

from jitter.answers.hits import WAYS
from jitter.answers.require.every import Need, RequireAllAnswer
from jitter.answers.require.requirement import Requirement
from jitter.quantities import Level
from jitter.report.require.words import floored, write_bare, write_size
from jitter.report.words import WHEN, share_words
from jitter.units.writing import write_percent

ANY = "any"
"""Of a spread that may be as wide as was looked at."""


def all_rows(answer: RequireAllAnswer) -> tuple[list[tuple[str, ...]], str]:
    """Return the requirement of every spread as rows, and a line about those left out.

    The tightest against what they are stand first; spreads that cannot reach the target alone are
    named in the line, with the best that any of them does.

    Parameters
    ----------
    answer
        The answer.

    Returns
    -------
    rows
        Quantity, level, spread as it is, required as set, required as trimmed.
    rest
        Empty where none is left out.
    """
    met = tightest(answer)
    rows: list[tuple[str, ...]] = []
    for need in met:
        subject = need.subject
        cells = (_cell(need, need.needs[way]) for way in WAYS)
        now = write_size(subject, subject.present)
        rows.append((_name(need), _level(subject.source.level), now, *cells))
    left = [need for need in answer.needs if not need.met]
    if not left:
        return rows, ""
    best = max(left, key=lambda need: max(one.best.value for one in need.needs.values()))
    values = [write_percent(best.needs[way].best.value) for way in WAYS]
    many = f"The other {len(left)} cannot" if rows else f"None of the {len(left)} can"
    return rows, (
        f"{many} reach it alone; the best of them, {_name(best)}"
        f" {WHEN[best.subject.source.level]}, {values[0]} as set by ruler or {values[1]} after"
        " trimming"
    )


def tightest(answer: RequireAllAnswer) -> list[Need]:
    """Return the spreads that reach the target alone, those with the least room first."""
    return sorted((need for need in answer.needs if need.met), key=_slack)


def _slack(need: Need) -> float:
    """Return how much wider than now a spread may be, in the stricter way that it reaches."""
    limits = [one.limit for one in need.needs.values() if one.limit is not None]
    return min(limit.most for limit in limits) / need.subject.present


def _cell(need: Need, one: Requirement) -> str:
    limit, subject = one.limit, need.subject
    if limit is None:
        return f"no: {write_percent(one.best.value)}"
    start = f"{write_bare(subject, limit.least)} to " if limit.least > 0.0 else ""
    most = write_bare(subject, floored(limit.most))
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
    now = [share_words(answer.present[way].value) for way in WAYS]
    said = [
        f"Now {now[0]} frames are keepers as set by ruler and {now[1]} after trimming; wanted:"
        f" {share_words(answer.target)}."
    ]
    for way, words in zip(WAYS, ("as set by ruler", "after trimming"), strict=True):
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
            first = min(loose, key=_slack, default=None)
            said.append(
                f"It is reached {words}: each spread may be as wide as its row says, the others"
                " staying as they are."
                + (
                    f" The least room is left to {_name(first)} {WHEN[first.subject.source.level]}."
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
