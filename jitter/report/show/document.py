"""The answer to `jitter show` as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.show.answer import ShowAnswer
from jitter.quantities import Quantity
from jitter.report.plain import plain_head, plain_layout, plain_number
from jitter.report.values import origin, write_drift, write_entry, write_level
from jitter.study.study import Entry

SCHEMA = "jitter.show/1"


def show_document(answer: ShowAnswer) -> dict[str, Any]:
    """Return the answer to `jitter show` as plain objects, in SI, undefined numbers as None.

    Parameters
    ----------
    answer
        The answer.
    """
    study = answer.study
    return {
        **plain_head(SCHEMA, study),
        **plain_layout(answer.layout),
        "values": [_value(key, entry) for key, entry in study.entries.items()],
        "moments": [
            {
                "what": moment.what,
                "nominal": plain_number(moment.nominal),
                "low": plain_number(moment.low),
                "high": plain_number(moment.high),
                "sd": plain_number(moment.sd),
                "share": moment.share,
            }
            for moment in answer.moments
        ],
        "numbers": [
            {
                "group": number.group,
                "name": number.name,
                "symbol": number.symbol,
                "value": plain_number(number.value),
                "unit": number.unit,
            }
            for number in answer.numbers
        ],
        "warnings": list(answer.warnings),
    }


def _value(key: str, entry: Entry) -> dict[str, Any]:
    declared, nominal = entry.declaration, entry.nominal
    return {
        "key": key,
        "nominal": list(nominal) if isinstance(nominal, tuple) else nominal,
        "unit": declared.unit if isinstance(declared, Quantity) else None,
        "written": write_entry(entry),
        "setup": write_level(entry, "setup"),
        "shot": write_level(entry, "shot"),
        "drift": write_drift(entry),
        "alike": entry.alike,
        "origin": origin(entry),
        "given": sorted(entry.given),
        "idle": entry.idle,
        "basis": entry.basis.source if entry.basis is not None else "",
        "meaning": declared.meaning,
    }
