"""The tables of `jitter explain`."""

from __future__ import annotations

from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.explain.checking import Expected
from jitter.report.explain.names import (
    LUCK,
    UNKNOWN,
    explain_suspect,
    name_suspect,
    shown_outcome,
    shown_range,
    shown_setup,
    shown_share,
)
from jitter.report.explain.words import needed_words, odd_looks, setting, struck
from jitter.stages.look import LOOKS
from jitter.units.writing import write_percent


def look_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each look: how many were seen, and how many the rig as described gives."""
    if answer.fit is None:
        return []
    odd = {one.look for one in odd_looks(answer)}
    return [
        (
            LOOKS[one.look],
            str(one.seen),
            shown_range(one),
            _mark(one, odd=one.look in odd),
        )
        for one in answer.fit.expected
    ]


LOOK_KEY = (
    "expected: nine logs in ten of this rig; more, fewer: outside that, where luck alone puts one"
    " look in ten; than luck: further out than luck is likely to put any"
)


def _mark(one: Expected, *, odd: bool) -> str:
    """Say on which side of what was expected a look is, and whether luck may do that."""
    if odd:
        return "more than luck" if one.seen > one.middle else "fewer than luck"
    return "more" if one.seen > one.high else "fewer" if one.seen < one.low else ""


def suspect_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each suspect in its group, then the rest, luck and what no model knows."""
    rows: list[tuple[str, ...]] = []
    if answer.fit is None:
        return rows
    for place, party in enumerate(answer.parties, start=1):
        for member in party.members:
            if member is not party.members[0] and member.probability < 0.005:
                continue
            first = member is party.members[0]
            rows.append(
                (
                    f"{place}" if first else "",
                    name_suspect(member.suspect),
                    shown_share(member.probability),
                    shown_share(party.probability) if first else "",
                    explain_suspect(answer.study, member),
                )
            )
    for name, share in (
        (LUCK, answer.described),
        (UNKNOWN, answer.unknown),
        ("all other suspects", answer.rest),
    ):
        rows.append(("", name, shown_share(share), "", ""))
    return rows


def series_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each series of frames: how to set it, and how much it would tell."""
    return [
        (
            f"{test.frames} {test.series.name}",
            setting(answer, place),
            write_percent(test.gain / test.left, digits=0) if test.left > 0.0 else "–",
        )
        for place, test in enumerate(answer.tests)
    ]


def outcome_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each suspect: what the first series would show if it is to blame."""
    if not answer.tests:
        return []
    test = answer.tests[0]
    names = ["as described", *(name_suspect(suspect) for suspect in answer.doubted)]
    return [
        (name, shown_outcome(test, outcome))
        for name, outcome in zip(names, test.outcomes, strict=True)
    ]


def needed_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each error that the frame asked for needs, and for each mishap."""
    if answer.single is None:
        return []
    found = [(needed_words(one), one.key) for one in answer.single.needed[:8]]
    found += struck(answer.single)
    return [(words, answer.study.entries[key].declaration.meaning) for words, key in found]


def setup_rows(answer: ExplainAnswer) -> list[tuple[str, ...]]:
    """Return a row for each set-up of the log: keepers and frames; none where there is but one."""
    rows = answer.facts.by_setup
    if len(rows) < 2:
        return []
    return [
        (shown_setup(name), str(hits), str(count), write_percent(hits / count, digits=0))
        for name, (hits, count) in rows.items()
    ]
