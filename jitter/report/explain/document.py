"""The answer to `jitter explain` as a document for programs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.explain.blame import Blamed
from jitter.answers.explain.next_test import NextTest
from jitter.report.explain.words import findings
from jitter.report.plain import plain_head, plain_layout, plain_number
from jitter.stages.look import LOOKS

SCHEMA = "jitter.explain/1"


def explain_document(answer: ExplainAnswer) -> dict[str, Any]:
    """Return the answer to `jitter explain` as plain objects, in SI, undefined numbers as None.

    Parameters
    ----------
    answer
        The answer.
    """
    facts, fit, study = answer.facts, answer.fit, answer.study
    return {
        **plain_head(SCHEMA, study),
        "log": {"source": answer.log.source, "notes": list(answer.log.notes)},
        **plain_layout(answer.layout),
        "judged_by": answer.way,
        "frames": facts.frames,
        "told": facts.told,
        "keepers": _plain(asdict(facts.keepers)),
        "by_setup": {
            name: {"keepers": hits, "frames": count}
            for name, (hits, count) in facts.by_setup.items()
        },
        "looks": {LOOKS[place]: count for place, count in enumerate(facts.looks)},
        "longest_miss_run": {"frames": facts.longest, "chance": plain_number(facts.long_run)},
        "trend": None if facts.trend is None else _plain(asdict(facts.trend)),
        "change": None if facts.change is None else _plain(asdict(facts.change)),
        "fit": None
        if fit is None
        else {
            "chance": fit.chance,
            "expected": [{**_plain(asdict(one)), "look": LOOKS[one.look]} for one in fit.expected],
        },
        "as_described": answer.described,
        "not_in_the_model": answer.unknown,
        "groups": [
            {
                "probability": party.probability,
                "suspects": [_suspect(one) for one in party.members],
            }
            for party in answer.parties
        ],
        "other_suspects": answer.rest,
        "counted_for": answer.weight,
        "tests": [_test(answer, test) for test in answer.tests],
        "frame": _frame(answer),
        "findings": list(findings(answer)),
    }


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    return {
        key: plain_number(value) if isinstance(value, float) else value
        for key, value in values.items()
    }


def _suspect(one: Blamed) -> dict[str, Any]:
    return {
        "quantity": one.suspect.key,
        "how": one.suspect.how,
        "probability": one.probability,
        "offset": plain_number(one.offset),
        "offset_sd": plain_number(one.spread),
        "size": None if one.size is None else _plain(asdict(one.size)),
    }


def _test(answer: ExplainAnswer, test: NextTest) -> dict[str, Any]:
    names = ["as described", *(f"{one.key} {one.how}" for one in answer.doubted)]
    return {
        "series": test.series.name,
        "how": test.series.how,
        "frames": test.frames,
        "reads": test.series.what,
        "start": test.series.study.entries["timer.start"].nominal,
        "delay": test.series.study.number("timer.delay"),
        "gain_bits": test.gain,
        "missing_bits": test.left,
        "outcomes": {
            name: _plain(asdict(outcome))
            for name, outcome in zip(names, test.outcomes, strict=True)
        },
    }


def _frame(answer: ExplainAnswer) -> dict[str, Any] | None:
    single = answer.single
    if single is None:
        return None
    return {
        "line": single.frame.line,
        "number": single.frame.number,
        "look": None if single.frame.look is None else LOOKS[single.frame.look],
        "share": single.share,
        "matched": single.matched,
        "by_numbers": single.by_numbers,
        "errors": [
            {
                "quantity": one.key,
                "level": one.level.value,
                "part": one.part,
                "mean_sd": one.mean,
                "spread_sd": one.spread,
            }
            for one in single.needed
        ],
        "mishaps": single.mishaps,
    }
