"""The document of `jitter compare`, for programs."""

from __future__ import annotations

from typing import Any

from jitter import __version__
from jitter.answers.compare.answer import CompareAnswer, Contender, Pair
from jitter.answers.compare.difference import Difference
from jitter.answers.compare.drivers import Drive, Driver
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.report.compare.words import PART_WORDS, findings, side

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
        "seed": answer.layout.seed,
        "setups": answer.layout.setups,
        "shots": answer.layout.shots,
        "aimed": answer.aimed,
        "findings": list(findings(answer)),
        "studies": [_study(contender) for contender in answer.contenders],
        "pairs": [_pair(pair) for pair in answer.pairs],
        "best": {
            way: {"study": answer.ranked(way)[0], "lead": _estimate(answer.lead(way))}
            for way in WAYS
        },
        "drive": None if answer.drive is None else _drive(answer.drive),
        "warnings": list(answer.warnings),
    }


def _estimate(estimate: Estimate) -> dict[str, Any]:
    return {
        "value": estimate.value,
        "low": estimate.low,
        "high": estimate.high,
        "level": estimate.level,
        "clear": estimate.clear,
    }


def _study(contender: Contender) -> dict[str, Any]:
    return {
        "name": contender.name,
        "title": contender.study.title,
        "digest": contender.study.digest,
        "keeper_if_nothing_strays": contender.aims,
        **{
            way: {
                "hit_rate": _estimate(contender.hits.rates[way]),
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
                "change": _estimate(pair.change[way]),
                "reasons": [
                    {"reason": reason, **_estimate(one)}
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
                "alone": _estimate(driver.alone[way]),
                "last": _estimate(driver.last[way]),
                "middle": _estimate(driver.middle[way]),
                "fits_alone": driver.fits[way],
            }
            for way in WAYS
        },
    }


def _drive(drive: Drive) -> dict[str, Any]:
    return {
        "setups": drive.setups,
        "drivers": [_driver(driver) for driver in drive.drivers],
        "not_fired_alone": [_difference(one) for one in drive.unfired],
        "beyond_their_sum": {way: _estimate(drive.together[way]) for way in WAYS},
    }
