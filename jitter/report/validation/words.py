"""What the validation says, for screen, page and document alike."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jitter.units.writing import write_difference, write_number, write_value
from jitter.validation.checks import Check, Claim, worst
from jitter.validation.validate import Validation

NOTHING = 1e-9
"""Deviations below this share of the value are rounding."""
DIGITS = 6


def findings(found: Validation) -> tuple[str, ...]:
    """Return the plain sentences that open the answer.

    Parameters
    ----------
    found
        The answer.
    """
    stages = len({check.stage for check in found.checks})
    apart, series = len(found.apart), len(found.series)
    return (
        f"{len(found.checks)} values of {stages} steps of a shot stand beside values from outside,"
        f" in {series} series.",
        f"In {series - apart} series every value agrees as closely as is claimed; in {apart}"
        " something does not. Those come first, with the reason and what it does to a frame.",
    )


def write_check(check: Check, value: float) -> str:
    """Write one of the two values of a check."""
    return write_value(value, check.unit, digits=DIGITS)


def write_deviation(check: Check) -> str:
    """Write by how much ours deviates, as a share or as a difference as the claim is stated."""
    size = max(abs(check.theirs), check.claim.size if not check.claim.relative else 0.0)
    if abs(check.deviation) <= NOTHING * size:
        return "0"
    sign = "+" if check.deviation > 0.0 else "−"
    if check.claim.relative:
        return f"{sign}{_percent(abs(check.share))}"
    return f"{sign}{write_difference(abs(check.deviation), check.unit, digits=2)}"


def write_claim(claim: Claim, unit: str) -> str:
    """Write how far apart two values may be."""
    if claim.relative:
        return "rounding" if claim.size <= NOTHING else _percent(claim.size)
    return write_difference(claim.size, unit, digits=2)


def _percent(share: float) -> str:
    return f"{write_number(100.0 * share, 2)} %"


def root_mean_square(rows: Sequence[Check]) -> float:
    """Return the root mean square of the deviations, as shares or differences like the claim's."""
    apart = [row.share if row.claim.relative else row.deviation for row in rows]
    return math.sqrt(sum(one**2 for one in apart) / len(apart))


def summary(rows: Sequence[Check]) -> str:
    """Say how a series came out, in one line.

    Parameters
    ----------
    rows
        Its checks.
    """
    furthest = worst(rows)
    if all(row.agrees for row in rows):
        verdict = "agrees" if len(rows) == 1 else "all agree"
    else:
        apart = sum(not row.agrees for row in rows)
        verdict = "does not agree" if len(rows) == 1 else f"{apart} of {len(rows)} do not agree"
    said = f"{verdict}; {write_deviation(furthest)}"
    if len(rows) > 1:
        said = f"{verdict}; the largest {write_deviation(furthest)}, {furthest.what}"
    return f"{said} (allowed {write_claim(furthest.claim, furthest.unit)}: {furthest.claim.why})"
