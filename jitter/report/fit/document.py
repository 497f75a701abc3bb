"""The document of `jitter fit`, for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.fit.answer import FitAnswer
from jitter.answers.fit.found import Finding, Number
from jitter.answers.hits import WAYS
from jitter.report.compare.words import PART_WORDS
from jitter.report.fit.words import findings, ranked
from jitter.report.plain import plain_clear, plain_estimate, plain_head, plain_layout, plain_number

SCHEMA = "jitter.fit/1"


def fit_document(answer: FitAnswer) -> dict[str, Any]:
    """Return the answer to `jitter fit` as plain objects.

    Numbers are in SI, shares fractions of 1; what is open is None. `study_text` is the new study,
    None where nothing is changed; `hit_rate` then is None too.

    Parameters
    ----------
    answer
        The answer.
    """
    return {
        **plain_head(SCHEMA, answer.study),
        "measurements": answer.source,
        "findings": list(findings(answer)),
        "measured": [_finding(finding) for finding in answer.findings],
        "notes": list(answer.notes),
        "fitted_digest": None if answer.fitted is None else answer.fitted.digest,
        "study_text": answer.text,
        **_change(answer),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "what": finding.what,
        "readings": finding.count,
        "setups": finding.setups,
        "numbers": [_told(number) for number in finding.numbers],
        "changes": [
            {"key": value.key, "parts": dict(value.parts), "basis": value.basis}
            for value in finding.values
        ],
        "notes": list(finding.notes),
    }


def _told(number: Number) -> dict[str, Any]:
    return {
        "name": number.name,
        "unit": number.unit,
        "spread": number.spread,
        **plain_estimate(number.estimate),
        "uncertainty": plain_number(number.uncertainty),
        "study_says": plain_number(number.old),
        "written_to": number.place or None,
    }


def _change(answer: FitAnswer) -> dict[str, Any]:
    compared = answer.comparison
    if compared is None:
        return {"hit_rate": None, "alone": [], "warnings": []}
    before, after = compared.contenders
    (pair,) = compared.pairs
    return {
        **plain_layout(compared.layout),
        "hit_rate": {
            way: {
                "before": plain_estimate(before.hits.rates[way]),
                "after": plain_estimate(after.hits.rates[way]),
                "change": plain_clear(pair.change[way]),
            }
            for way in WAYS
        },
        "alone": [
            {
                "changes": [
                    {"key": one.key, "part": PART_WORDS[one.part] or "value"}
                    for one in driver.difference.changes
                ],
                **{way: plain_clear(driver.alone[way]) for way in WAYS},
            }
            for driver in ranked(answer)
        ],
        "warnings": list(compared.warnings),
    }
