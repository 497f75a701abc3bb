"""The answer to `jitter power` as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.hits import WAYS, Hits
from jitter.answers.intervals import Estimate
from jitter.answers.power.answer import Confirmed, PowerAnswer
from jitter.answers.power.keeping import MEANS, Setting
from jitter.answers.power.moments import Band
from jitter.answers.power.rungs import Rung, Tried
from jitter.answers.power.several import Several
from jitter.report.plain import plain_head, plain_layout, plain_number, plain_ways
from jitter.report.power.rows import share_lost
from jitter.report.power.words import findings
from jitter.stages.verdict import REASONS
from jitter.trial import single

SCHEMA = "jitter.power/1"


def power_document(answer: PowerAnswer) -> dict[str, Any]:
    """Return the answer to `jitter power` as plain objects, in SI, undefined numbers as None.

    Shares and gains are fractions of 1, exposures in stops over a right one. ``powers`` come from
    the draws of the search, ``own``, ``best``, ``beside`` and ``several`` from fresh ones. Gains of
    ``beside`` are over the recommended setting. Where ``relative`` is true the study gives no guide
    number, and distances are multiples of its own. Where ``aimed`` is false the delay alone makes
    even the shot without errors miss, and settings are judged after trimming.

    Parameters
    ----------
    answer
        The answer.
    """
    study, layout, fresh = answer.study, answer.layout, answer.fresh
    return {
        **plain_head(SCHEMA, study),
        **plain_layout(layout),
        "fresh": plain_layout(fresh),
        "judged_by": answer.way,
        "aimed": not answer.unaimed,
        "means": list(answer.means),
        "ends": {
            means: [plain_number(end) for end in answer.ends[means]] for means in answer.means
        },
        "worth_of_a_stop": answer.worth,
        "relative": answer.relative,
        "exposure_off": answer.off,
        "magnification": single(answer.nominal, "magnification"),
        "pixel": study.number("camera.pixel"),
        "circle_of_confusion": single(answer.nominal, "circle_of_confusion"),
        "speeds": {
            "rim": plain_number(answer.speeds.rim),
            "drop": plain_number(answer.speeds.drop),
            "tip": plain_number(answer.speeds.tip),
        },
        "own": {"settings": _settings(answer, study), **plain_ways(answer.own.rates)},
        "best": None if answer.best is None else _confirmed(answer, answer.best, gain=answer.gain),
        "beside": [_confirmed(answer, other, gain=other.gain) for other in answer.beside],
        "powers": [_rung(answer, rung) for rung in answer.rungs],
        "several": [_several(row) for row in answer.several],
        "findings": list(findings(answer)),
        "warnings": list(answer.warnings),
    }


def _settings(answer: PowerAnswer, study: Any) -> dict[str, Any]:
    distance = study.entries[MEANS["distance"]].nominal
    return {
        "flash.power": study.number("flash.power"),
        "camera.aperture": study.number("camera.aperture"),
        "camera.iso": study.number("camera.iso"),
        "flash.distance": (1.0 if answer.relative else None) if distance is None else distance,
        "timer.delay": study.number("timer.delay"),
    }


def _confirmed(answer: PowerAnswer, row: Confirmed, *, gain: dict[str, Estimate]) -> dict[str, Any]:
    setting = row.pick.tried.setting
    return {
        "means": setting.means,
        "settings": _settings(answer, setting.study),
        **plain_ways(row.hits.rates),
        "gain": plain_ways(gain),
    }


def _band(band: Band) -> dict[str, float | None]:
    return {
        "p10": plain_number(band.low),
        "p50": plain_number(band.middle),
        "p90": plain_number(band.high),
    }


def _rung(answer: PowerAnswer, rung: Rung) -> dict[str, Any]:
    return {
        "power": rung.power,
        "t05": {"nominal": rung.half, **_band(rung.bands.half)},
        "t01": {"nominal": rung.tenth, **_band(rung.bands.tenth)},
        "blur": {
            "rim": {"nominal": plain_number(rung.rim), **_band(rung.bands.rim)},
            "drop": plain_number(rung.drop),
            "tip": plain_number(rung.tip),
            "edge_gap": rung.edge_gap,
        },
        "shift": rung.shift,
        "delay": rung.delay,
        "recycle": rung.recycle,
        "by": {means: _tried(answer, tried) for means, tried in rung.tried.items()},
    }


def _tried(answer: PowerAnswer, tried: Tried) -> dict[str, Any]:
    setting: Setting = tried.setting
    return {
        "settings": _settings(answer, setting.study),
        "wanted": setting.wanted,
        "exposure_off": setting.off,
        "reached": setting.reached,
        **plain_ways(tried.hits.rates),
        "reasons": {way: _reasons(tried.hits, way) for way in WAYS},
        "working_aperture": tried.working_aperture,
        "depth_of_field": plain_number(tried.depth_of_field),
        "diffraction": tried.diffraction,
        "room_light": plain_number(tried.ghost),
    }


def _reasons(hits: Hits, way: str) -> dict[str, float]:
    return {reason: share_lost(hits, way, reason) for reason in REASONS}


def _several(row: Several) -> dict[str, Any]:
    return {
        "count": row.count,
        "power": row.power,
        "t01": row.tenth,
        "stagger": row.stagger,
        "drop_blur": row.smear,
        "edge_gap": row.edge_gap,
        **plain_ways(row.hits.rates),
        "gain": plain_ways(row.gain),
    }
