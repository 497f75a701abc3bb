"""Numbers, estimates and heads as documents say them."""

from __future__ import annotations

import math

from jitter import __version__
from jitter.answers.intervals import Estimate
from jitter.draws.layout import Layout
from jitter.report.plain import plain_head, plain_layout, plain_ways
from tests.conftest import load


def test_a_head_names_the_schema_and_the_study() -> None:
    study = load("barn-table")
    assert plain_head("jitter.toy/1", study) == {
        "schema": "jitter.toy/1",
        "jitter": __version__,
        "study": {"title": study.title, "digest": study.digest},
    }
    assert study.title != study.digest


def test_a_layout_is_its_three_numbers() -> None:
    assert plain_layout(Layout(7, 64, 8)) == {"seed": 7, "setups": 64, "shots": 8}


def test_both_ways_are_told_and_no_other() -> None:
    one, other = Estimate(0.5, 0.25, 0.75, 0.95), Estimate(math.nan, -math.inf, 1.0, 0.9)
    assert plain_ways({"as_trimmed": other, "as_set": one, "more": one}) == {
        "as_set": {"value": 0.5, "low": 0.25, "high": 0.75, "level": 0.95},
        "as_trimmed": {"value": None, "low": None, "high": 1.0, "level": 0.9},
    }
