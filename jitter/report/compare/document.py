"""The document of `jitter compare`, for programs."""

from __future__ import annotations

from typing import Any

from jitter import __version__
from jitter.answers.compare.answer import CompareAnswer, Contender, Pair
from jitter.answers.compare.difference import Difference
from jitter.answers.compare.drivers import Drive, Driver
from jitter.answers.hits import WAYS
from jitter.report.compare.words import PART_WORDS, findings, side
from jitter.report.plain import plain_clear, plain_effort, plain_layout

SCHEMA = "jitter.compare/1"


def compare_document(answer: CompareAnswer) -> dict[str, Any]:
    """Return the answer to `jitter compare` as plain objects.

    Shares and changes are fractions of 1. Each pair tells by how much `other` is above `one`;
    both are places in `studies`. `clear` says whether an interval leaves 0 out.

    Parameters
    ----------
    answer
        The answer.
    """
    return {
        "schema": SCHEMA,
        "jitter": __version__,
        **plain_layout(answer.layout),
        "aimed": answer.aimed,
        "findings": list(findings(answer)),
        "studies": [_study(contender) for contender in answer.contenders],
        "pairs": [_pair(pair) for pair in answer.pairs],
        "best": {
            way: {"study": answer.ranked(way)[0], "lead": plain_clear(answer.lead(way))}
            for way in WAYS
        },
        "drive": None if answer.drive is None else _drive(answer.drive),
        "warnings": list(answer.warnings),
    }


def _study(contender: Contender) -> dict[str, Any]:
    return {
        "name": contender.name,
        "title": contender.study.title,
        "digest": contender.study.digest,
        "keeper_if_nothing_strays": contender.aims,
        **{
            way: {
                "hit_rate": plain_clear(contender.hits.rates[way]),
                "reasons": [
                    {"reason": reason, "share": one.value, "low": one.low, "high": one.high}
                    for reason, one in contender.reasons[way].items()
                ],
            }
            for way in WAYS
        },
    }


def _pair(pair: Pair) -> dict[str, Any]:
    return {
        "one": pair.one,
        "other": pair.other,
        **{
            way: {
                "change": plain_clear(pair.change[way]),
                "reasons": [
                    {"reason": reason, **plain_clear(one)}
                    for reason, one in pair.reasons[way].items()
                ],
            }
            for way in WAYS
        },
        "differences": [_difference(one) for one in pair.differences],
    }


def _difference(difference: Difference) -> list[dict[str, str]]:
    return [
        {
            "key": change.key,
            "part": PART_WORDS[change.part] or "value",
            "one": side(change, change.one),
            "other": side(change, change.other),
        }
        for change in difference.changes
    ]


def _driver(driver: Driver) -> dict[str, Any]:
    return {
        "changes": _difference(driver.difference),
        **{
            way: {
                "alone": plain_clear(driver.alone[way]),
                "last": plain_clear(driver.last[way]),
                "middle": plain_clear(driver.middle[way]),
                "fits_alone": driver.fits[way],
            }
            for way in WAYS
        },
    }


def _drive(drive: Drive) -> dict[str, Any]:
    return {
        **plain_effort(drive.effort),
        "drivers": [_driver(driver) for driver in drive.drivers],
        "not_fired_alone": [_difference(one) for one in drive.unfired],
        "beyond_their_sum": {way: plain_clear(drive.together[way]) for way in WAYS},
    }
