"""The answers of `jitter require` as documents for programs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from jitter.answers.hits import WAYS
from jitter.answers.ranking import Source
from jitter.answers.require.answer import Asked, RequireAnswer
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.every import RequireAllAnswer
from jitter.answers.require.remedies import Remedy
from jitter.answers.require.requirement import HitCurve, Requirement
from jitter.answers.require.subject import Subject
from jitter.report.plain import plain_effort, plain_estimate, plain_head, plain_ways
from jitter.report.require.all_words import all_findings
from jitter.report.require.cheapest_words import cheapest_findings
from jitter.report.require.sizes import write_size
from jitter.report.require.words import HELD, findings
from jitter.units.writing import write_spread

SCHEMA = "jitter.require/1"

Answer = RequireAnswer | RequireAllAnswer | CheapestAnswer
"""To one of the three questions: one quantity, all of them, the cheapest combination."""


def require_document(answer: Answer) -> dict[str, Any]:
    """Return an answer as plain objects, undefined numbers as None.

    Sizes are in SI, or shares of the value where ``relative``; offsets in SI. ``limit`` is None
    where no size reaches the target; a plan is None where none does. ``aimed`` is false of a way in
    which even the shot without errors misses: what stands under it then is no advice. Of a drop
    asked for by its diameter, all sizes are those of its volume.

    Parameters
    ----------
    answer
        To any of the three questions.
    """
    if isinstance(answer, RequireAnswer):
        return _one(answer)
    return _every(answer) if isinstance(answer, RequireAllAnswer) else _cheapest(answer)


def _one(answer: RequireAnswer) -> dict[str, Any]:
    subject = replace(answer.subject, sphere=None)
    return {
        **_head(answer, "one"),
        "asked_as": answer.subject.name,
        **_source(subject.source),
        "relative": subject.source.spread.relative,
        "unit": subject.source.unit,
        "present": plain_ways(answer.present),
        "spread": _asked(answer.spread, subject),
        "too_low": None if answer.down is None else _asked(answer.down, None),
        "too_high": None if answer.up is None else _asked(answer.up, None),
        "what_else": {
            way: [_remedy(one) for one in found] for way, found in answer.remedies.items()
        },
        "findings": list(findings(answer)),
        "warnings": list(answer.warnings),
    }


def _every(answer: RequireAllAnswer) -> dict[str, Any]:
    return {
        **_head(answer, "all"),
        "present": plain_ways(answer.present),
        "required": [
            {
                **_source(need.subject.source),
                "relative": need.subject.source.spread.relative,
                "unit": need.subject.source.unit,
                "present": need.subject.present,
                "most_looked_at": need.subject.most,
                **{way: _need(need.needs[way], need.subject) for way in WAYS},
            }
            for need in answer.needs
        ],
        "findings": list(all_findings(answer)),
        "warnings": list(answer.warnings),
    }


def _cheapest(answer: CheapestAnswer) -> dict[str, Any]:
    plans = {}
    for way in WAYS:
        plan = answer.plans[way]
        plans[way] = (
            None
            if plan is None
            else {
                "factors": [float(factor) for factor in plan.factors],
                "cost": plan.cost,
                "cost_alike": plan.cost_alike,
                "hit_rate": plain_estimate(plan.rate),
                "gap": plan.gap,
            }
        )
    return {
        **_head(answer, "cheapest"),
        "present": plain_ways(answer.present),
        "cost": answer.cost,
        "prices": [
            {**_source(price.source), "cost": price.cost, "power": price.power}
            for price in answer.prices
        ],
        "plans": plans,
        "best": plain_ways(answer.best),
        "what_else": {
            way: [_remedy(one) for one in found] for way, found in answer.remedies.items()
        },
        "findings": list(cheapest_findings(answer)),
        "warnings": list(answer.warnings),
    }


def _head(answer: Answer, question: str) -> dict[str, Any]:
    return {
        **plain_head(SCHEMA, answer.study),
        **plain_effort(answer.effort),
        "fell_back_to_draws": answer.fell_back,
        "question": question,
        "hit_rate": answer.target,
        "met": answer.met,
        "aimed": answer.aims,
        "held_fixed": HELD,
    }


def _source(source: Source) -> dict[str, Any]:
    return {
        "quantity": source.keys[0],
        "shared_with": list(source.keys[1:]),
        "level": source.level.value,
        "as_it_is": write_spread(source.spread, source.unit) if source.spread.size else "none",
    }


def _asked(asked: Asked, subject: Subject | None) -> dict[str, Any]:
    return {
        **{way: _need(asked.needs[way], subject) for way in WAYS},
        "curve": _curve(asked.curve, subject),
    }


def _need(need: Requirement, subject: Subject | None) -> dict[str, Any]:
    limit = need.limit
    written = (
        {} if subject is None or limit is None else {"written": write_size(subject, limit.most)}
    )
    return {
        "limit": None
        if limit is None
        else {
            "least": limit.least,
            "most": limit.most,
            "low": limit.low,
            "high": limit.high,
            "as_far_as_looked": limit.whole,
            **written,
        },
        "best": plain_estimate(need.best),
        "best_at": need.best_at,
    }


def _curve(curve: HitCurve, subject: Subject | None) -> list[dict[str, Any]]:
    return [
        {
            "size": float(size),
            **({} if subject is None else {"written": write_size(subject, float(size))}),
            **{way: plain_estimate(curve.rates[way][place]) for way in WAYS},
        }
        for place, size in enumerate(curve.sizes)
    ]


def _remedy(remedy: Remedy) -> dict[str, Any]:
    return {
        **_source(remedy.source),
        "gain": plain_estimate(remedy.gain),
        "hit_rate_with_those_before": plain_estimate(remedy.together),
    }
