"""The answer to `jitter tune` as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.effort import Rated
from jitter.answers.hits import WAYS
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.changes import Change
from jitter.answers.tune.confirmed import Started
from jitter.answers.tune.plateau import PlateauMap, Slack
from jitter.answers.tune.settings import SETTINGS, has_part
from jitter.quantities import Quantity
from jitter.report.plain import plain_effort, plain_head, plain_number, plain_ways
from jitter.report.tune.words import findings

SCHEMA = "jitter.tune/2"


def tune_document(answer: TuneAnswer) -> dict[str, Any]:
    """Return the answer to `jitter tune` as plain objects, in SI, undefined numbers as None.

    Shares and gains are fractions of 1 and come from the fresh points, or draws; ``searched`` is
    the hit rate of the recommended settings in the search. ``offered`` is the gain of the best
    settings found, which are recommended unless it is slight. ``withheld`` is what was found and
    is not worth changing, with its ``worth`` among the rest. In a slack, ``open`` says that the
    setting was not tried further. In the plateau, rows of ``delays``, ``as_set``, ``loss`` and
    ``level`` are intervals.

    Parameters
    ----------
    answer
        The answer.
    """
    study, limits = answer.study, answer.limits
    return {
        **plain_head(SCHEMA, study),
        **plain_effort(answer.effort),
        "fresh": plain_effort(answer.fresh),
        "fell_back_to_draws": answer.fell_back,
        "judged_by": answer.way,
        "kept": list(answer.kept),
        "limits": {
            "sensor.height": _ends(limits.height),
            "valve.interval": _ends(limits.interval),
            "phase": list(limits.phase),
        },
        "leave_as_is": not answer.changes,
        "settings": _settings(answer),
        "withheld": [_withheld(change) for change in answer.withheld],
        "own": _rates(answer.own_hits),
        "best": _rates(answer.best_hits),
        "searched": answer.searched,
        "gain": plain_ways(answer.gain),
        "offered": plain_ways(answer.offered),
        "starts": [_started(row) for row in answer.starts],
        "phase": {"own": plain_number(answer.phases[0]), "best": plain_number(answer.phases[1])},
        "plateau": None if answer.plateau is None else _plateau(answer.plateau),
        "findings": list(findings(answer)),
        "warnings": list(answer.warnings),
    }


def _ends(ends: tuple[float, float] | None) -> list[float] | None:
    return None if ends is None else list(ends)


def _rates(hits: Rated) -> dict[str, Any]:
    return plain_ways(hits.rates)


def _slack(slack: Slack) -> dict[str, Any]:
    return {
        "low": {"value": slack.low.value, "open": slack.low.open},
        "high": {"value": slack.high.value, "open": slack.high.open},
    }


def _settings(answer: TuneAnswer) -> list[dict[str, Any]]:
    changes = {change.key: change for change in answer.changes}
    found = []
    for key in SETTINGS:
        if key not in answer.study.entries:
            continue
        declared = answer.study.entries[key].declaration
        slack, change = answer.slack.get(key), changes.get(key)
        worth = None if change is None or change.worth is None else plain_ways(change.worth)
        found.append(
            {
                "key": key,
                "unit": declared.unit if isinstance(declared, Quantity) else None,
                "own": _setting(answer.study.entries[key].nominal, has_part(answer.study, key)),
                "best": _setting(answer.best.entries[key].nominal, has_part(answer.best, key)),
                "changed": change is not None,
                "worth": worth,
                "slack": None if slack is None else {way: _slack(slack[way]) for way in WAYS},
            }
        )
    return found


def _withheld(change: Change) -> dict[str, Any]:
    worth = None if change.worth is None else plain_ways(change.worth)
    return {"key": change.key, "own": change.own, "found": change.best, "worth": worth}


def _setting(nominal: Any, part: bool) -> Any:
    return nominal if part else None


def _started(row: Started) -> dict[str, Any]:
    entries = row.study.entries
    values = {
        key: _setting(entries[key].nominal, has_part(row.study, key))
        for key in SETTINGS
        if key in entries
    }
    return {"settings": values, **_rates(row.hits), "behind": plain_ways(row.behind)}


def _plateau(plateau: PlateauMap) -> dict[str, Any]:
    return {
        "intervals": plateau.intervals.tolist(),
        "delays": plateau.delays.tolist(),
        "as_set": plateau.as_set.tolist(),
        "as_trimmed": plateau.as_trimmed.tolist(),
        "loss": plateau.loss.tolist(),
        "level": plateau.level.tolist(),
    }
