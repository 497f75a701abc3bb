"""What all documents are made of: numbers, estimates and the head as plain objects."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from jitter import __version__
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.draws.layout import Layout
from jitter.study.study import Study

if TYPE_CHECKING:
    # For readers of types only: to import it takes a third of a second, which every document
    # would wait for.
    from jitter.answers.effort import Effort


def plain_head(schema: str, study: Study) -> dict[str, Any]:
    """Return what a document says first: its schema, the program, the study.

    Parameters
    ----------
    schema
        Name and number of the document's form.
    study
        What was asked about.
    """
    return {
        "schema": schema,
        "jitter": __version__,
        "study": {"title": study.title, "digest": study.digest},
    }


def plain_effort(effort: Effort) -> dict[str, int]:
    """Return the seed, and the set-ups and shots, or the sets of points and the points of each.

    Parameters
    ----------
    effort
        Behind hit rates.
    """
    if isinstance(effort, Layout):
        return plain_layout(effort)
    return {"seed": effort.seed, "sets": effort.sets, "points": effort.points}


def plain_layout(layout: Layout) -> dict[str, int]:
    """Return the seed, the set-ups and the shots of each.

    Parameters
    ----------
    layout
        Of the draws.
    """
    return {"seed": layout.seed, "setups": layout.setups, "shots": layout.shots}


def plain_number(value: float | None) -> float | None:
    """Return a number; None where it is undefined or infinite, which JSON cannot say.

    Examples
    --------
    >>> plain_number(0.5), plain_number(math.inf), plain_number(None)
    (0.5, None, None)
    """
    return value if value is not None and math.isfinite(value) else None


def plain_estimate(estimate: Estimate) -> dict[str, float | None]:
    """Return an estimate with its interval; an end that is open is None.

    Examples
    --------
    >>> plain_estimate(Estimate(0.25, 0.125, math.inf, 0.95))
    {'value': 0.25, 'low': 0.125, 'high': None, 'level': 0.95}
    """
    return {
        "value": plain_number(estimate.value),
        "low": plain_number(estimate.low),
        "high": plain_number(estimate.high),
        "level": estimate.level,
    }


def plain_clear(estimate: Estimate) -> dict[str, float | bool | None]:
    """Return an estimate, and whether its interval leaves 0 out.

    Examples
    --------
    >>> plain_clear(Estimate(0.25, -0.5, 1.0, 0.95))["clear"]
    False
    """
    return {**plain_estimate(estimate), "clear": estimate.clear}


def plain_ways(estimates: Mapping[str, Estimate]) -> dict[str, dict[str, float | None]]:
    """Return the estimates as set by ruler and as trimmed.

    Parameters
    ----------
    estimates
        By way, at least `WAYS`.
    """
    return {way: plain_estimate(estimates[way]) for way in WAYS}
