"""The answer to `jitter show` as a document for programs."""

from __future__ import annotations

import math
from typing import Any

from jitter import __version__
from jitter.answers.show.answer import ShowAnswer
from jitter.quantities import Quantity
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
        "schema": SCHEMA,
        "jitter": __version__,
        "study": {"title": study.title, "digest": study.digest},
        "seed": answer.layout.seed,
        "setups": answer.layout.setups,
        "shots": answer.layout.shots,
        "values": [_value(key, entry) for key, entry in study.entries.items()],
        "moments": [
            {
                "what": moment.what,
                "nominal": _number(moment.nominal),
                "low": _number(moment.low),
                "high": _number(moment.high),
                "sd": _number(moment.sd),
                "share": moment.share,
            }
            for moment in answer.moments
        ],
        "numbers": [
            {
                "group": number.group,
                "name": number.name,
                "symbol": number.symbol,
                "value": _number(number.value),
                "unit": number.unit,
            }
            for number in answer.numbers
        ],
        "warnings": list(answer.warnings),
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


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
