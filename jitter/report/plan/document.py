"""The document of `jitter plan`, for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.plan.answer import PlanAnswer
from jitter.answers.plan.planning import CERTAINTIES, Manner, Need, Strategy
from jitter.report.plain import plain_estimate, plain_head, plain_layout
from jitter.report.plan.words import findings

SCHEMA = "jitter.plan/1"


def plan_document(answer: PlanAnswer) -> dict[str, Any]:
    """Return the answer to `jitter plan` as plain objects.

    Times are in seconds, chances fractions of 1. ``frames`` never counts those shot to trim. What
    is out of reach in the evening is None. ``every`` is None where a set-up is trimmed at most
    once.

    Parameters
    ----------
    answer
        The answer.
    """
    costs = answer.costs
    return {
        **plain_head(SCHEMA, answer.study),
        **plain_layout(answer.layout),
        "want": answer.want,
        "sure": answer.sure,
        "met": answer.best is not None,
        "evening_frames": answer.frames,
        "cadence_s": costs.cadence,
        "trimming_frames": costs.trimming,
        "setup_time_s": costs.setup,
        "drifts": answer.moving,
        "findings": list(findings(answer)),
        "hit_rate": {way: plain_estimate(one.rate) for way, one in answer.foresight.items()},
        "alikeness": {way: one.alikeness for way, one in answer.foresight.items()},
        "frames_if_independent": answer.independent,
        "strategies": [_strategy(one, best=one is answer.best) for one in answer.strategies],
        "longer_evening": None
        if answer.beyond is None
        else {**_manner(answer.beyond[0]), **_need(answer.beyond[1])},
        "warnings": list(answer.warnings),
    }


def _manner(manner: Manner) -> dict[str, Any]:
    return {"way": manner.way, "setups": manner.setups, "every": manner.every or None}


def _need(need: Need) -> dict[str, Any]:
    return {
        "sure": need.sure,
        "frames": need.frames,
        "frames_by_setup": list(need.shared),
        "trimming_frames": need.trimming,
        "time_s": need.time,
        "expected_keepers": need.expected,
    }


def _strategy(strategy: Strategy, *, best: bool) -> dict[str, Any]:
    whole = strategy.evening
    return {
        **_manner(strategy.manner),
        "quickest": best,
        "asked": None if strategy.asked is None else _need(strategy.asked),
        "chance": None if strategy.chance is None else plain_estimate(strategy.chance),
        "by_certainty": [
            {"sure": sure, "needs": None if need is None else _need(need)}
            for sure, need in zip(CERTAINTIES, strategy.table, strict=True)
        ],
        "evening": {
            "frames_by_setup": list(whole.frames),
            "chance": whole.chance,
            "expected_keepers": whole.expected,
            "low": whole.low,
            "high": whole.high,
            "no_keeper": whole.none,
        },
    }
