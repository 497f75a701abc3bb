"""The answer to `jitter rank` as a document for programs."""

from __future__ import annotations

import math
from typing import Any

from jitter.answers.hits import WAYS
from jitter.answers.rank.answer import InputRow, RankAnswer, Row
from jitter.answers.rank.budget import Budget
from jitter.answers.rank.effects import Effect
from jitter.answers.rank.frames import AGE, HIT
from jitter.answers.rank.indices import Index
from jitter.report.plain import plain_effort, plain_estimate, plain_head, plain_layout, plain_number
from jitter.report.rank.rows import DISTRIBUTIONS, DROPS, coefficient
from jitter.report.rank.words import findings
from jitter.units.writing import write_spread

SCHEMA = "jitter.rank/1"


def rank_document(answer: RankAnswer) -> dict[str, Any]:
    """Return the answer to `jitter rank` as plain objects, undefined numbers as None.

    Shares and gains are fractions of 1. ``quantity`` is None for a source that is no spread; such
    a source has no gains. In the budget, degrees of freedom of None are infinite.

    Parameters
    ----------
    answer
        The answer.
    """
    ages = answer.ages
    return {
        **plain_head(SCHEMA, answer.study),
        **plain_layout(answer.layout),
        "gains_by": plain_effort(answer.effort),
        "pairs": answer.pairs,
        "findings": list(findings(answer)),
        "hit_rate": {way: plain_estimate(rate) for way, rate in answer.rates.items()},
        "ranking": [_input(row) for row in answer.rows],
        "slopes": [
            {
                "quantity": one.key,
                "per": one.size,
                "hit_rate": {way: plain_estimate(one.slopes[way]) for way in WAYS},
            }
            for one in answer.steady
        ],
        "groups": [
            {"group": group.name, "sources": group.size, **_parts(group)} for group in answer.groups
        ],
        "budget": _budget(answer.budget),
        "simulated_age": {
            "mean_ms": plain_number(1e3 * ages.mean),
            "sd_setup_ms": plain_number(1e3 * ages.setup),
            "sd_shot_ms": plain_number(1e3 * ages.shot),
            "sd_ms": plain_number(1e3 * math.hypot(ages.setup, ages.shot)),
        },
        "warnings": list(answer.warnings),
    }


def _index(index: Index) -> dict[str, float | None]:
    return {**plain_estimate(index.estimate), "standard_error": plain_number(index.error)}


def _parts(row: Row) -> dict[str, Any]:
    return {
        what: {
            way: {
                name: _index(getattr(row.parts[way, what], name))
                for name in ("first", "total", "shapley")
            }
            for way in WAYS
        }
        for what in (AGE, HIT)
    }


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "removed": plain_estimate(effect.removed),
        "halved": plain_estimate(effect.halved),
        "a_tenth_more": None if effect.tenth is None else plain_estimate(effect.tenth),
        "doubled": None if effect.doubled is None else plain_estimate(effect.doubled),
    }


def _input(row: InputRow) -> dict[str, Any]:
    source, effects = row.one.source, row.effects
    return {
        "source": row.one.name,
        "quantity": None if source is None else source.keys[0],
        "shared_with": [] if source is None else list(source.keys[1:]),
        "level": row.one.level.value,
        "spread": None if source is None else write_spread(source.spread, source.unit),
        "groups": [row.level, row.cause],
        "gains": None if effects is None else {way: _effect(effects[way]) for way in WAYS},
        **_parts(row),
    }


def _budget(budget: Budget) -> dict[str, Any]:
    lines = []
    for line in budget.lines:
        value, unit = coefficient(line)
        lines.append(
            {
                "quantity": line.source.keys[0],
                "shared_with": list(line.source.keys[1:]),
                "level": line.source.level.value,
                "drop": DROPS[line.place.drop] if line.place.drop >= 0 else None,
                "axis": "xy"[line.place.axis] if line.place.axis >= 0 else None,
                "spread": write_spread(line.source.spread, line.source.unit),
                "distribution": DISTRIBUTIONS[line.source.spread.shape],
                "standard_uncertainty": line.uncertainty,
                "unit": line.source.unit,
                "coefficient": plain_number(value),
                "coefficient_unit": unit,
                "contribution_ms": plain_number(1e3 * abs(line.effect)),
                "share": plain_number(budget.share(line.fair)),
                "degrees_of_freedom": plain_number(line.freedom),
            }
        )
    return {
        "lines": lines,
        "alike": [
            {
                "quantities": list(one.keys),
                "correlation": one.correlation,
                "adds_share": plain_number(budget.share(one.variance)),
            }
            for one in budget.likenesses
        ],
        "setup_ms": plain_number(1e3 * budget.setup),
        "shot_ms": plain_number(1e3 * budget.shot),
        "combined_ms": plain_number(1e3 * budget.combined),
        "effective_degrees_of_freedom": plain_number(budget.freedom),
    }
