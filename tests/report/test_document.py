"""The document for programs holds what it promises, and nothing that JSON cannot say."""

from __future__ import annotations

import json
import math
from dataclasses import replace

from jitter.answers.ages import Ages
from jitter.answers.run import RunAnswer
from jitter.report.document import run_document
from jitter.stages.verdict import REASONS


def test_has_the_promised_keys(barn: RunAnswer) -> None:
    document = run_document(barn)
    top = {"schema", "jitter", "study", "seed", "setups", "shots", "as_set", "as_trimmed"}
    assert top | {"ranking", "warnings"} <= set(document)
    assert set(document["study"]) == {"title", "digest"}
    for way in ("as_set", "as_trimmed"):
        answer = document[way]
        assert set(answer["hit_rate"]) == {"value", "low", "high", "level"}
        assert set(answer["by_setup"]) == {"p10", "p50", "p90"}
        assert [row["reason"] for row in answer["reasons"]] == list(REASONS)
        assert set(answer["reasons"][0]) == {"reason", "share", "low", "high"}
        assert set(answer["age"]) == {"mean_ms", "sd_setup_ms", "sd_shot_ms"}
    keys = {"quantity", "level", "spread", "gain_removed", "gain_halved", "low", "high"}
    for row in document["ranking"]:
        assert keys | {"age_share"} <= set(row)
        assert row["level"] in ("setup", "shot")
        assert row["quantity"] in barn.study.entries
        assert row["low"] <= row["gain_removed"] <= row["high"]


def test_shares_add_up(barn: RunAnswer) -> None:
    for way in (barn.as_set, barn.as_trimmed):
        total = way.hit_rate.value + sum(share.value for share in way.reasons.values())
        # Closed form: every frame is a keeper or has one reason.
        assert math.isclose(total, 1.0, abs_tol=1e-12)


def test_milliseconds(barn: RunAnswer) -> None:
    # Closed form: 1 s is 1000 ms.
    assert run_document(barn)["as_set"]["age"]["mean_ms"] == 1000.0 * barn.as_set.ages.mean


def test_undefined_numbers_are_null(barn: RunAnswer) -> None:
    no_ages = replace(barn.as_set, ages=Ages(math.nan, math.nan, math.nan))
    text = json.dumps(run_document(replace(barn, as_set=no_ages)), allow_nan=False)
    assert json.loads(text)["as_set"]["age"]["mean_ms"] is None
