"""The validation as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter import __version__
from jitter.report.plain import plain_number
from jitter.validation.checks import Check
from jitter.validation.validate import Validation

SCHEMA = "jitter.validation/1"


def validation_document(found: Validation) -> dict[str, Any]:
    """Return the answer to `jitter validate` as plain objects, in SI, undefined numbers as None.

    Parameters
    ----------
    found
        The answer.
    """
    return {
        "schema": SCHEMA,
        "jitter": __version__,
        "checks": [_check(check) for check in found.checks],
        "doubts": [
            {
                "stage": doubt.stage,
                "what": doubt.what,
                "size": doubt.size,
                "why": doubt.why,
                "effect": doubt.effect,
            }
            for doubt in found.doubts
        ],
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "stage": check.stage,
        "series": check.series,
        "what": check.what,
        "ours": check.ours,
        "theirs": check.theirs,
        "unit": check.unit,
        "deviation": check.deviation,
        "share": plain_number(check.share),
        "uncertainty": check.uncertainty,
        "allowed": check.claim.size,
        "allowed_is_a_share": check.claim.relative,
        "why_allowed": check.claim.why,
        "agrees": check.agrees,
        "source": check.source,
        "known": check.known.value,
        "note": check.note,
    }
