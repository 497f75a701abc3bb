"""An answer as a document for programs."""

from __future__ import annotations

from typing import Any

from jitter.answers.frames_of_a_run import Frame, FramesOfARun
from jitter.answers.ranking import Gain, Rank
from jitter.answers.run import RunAnswer, Way
from jitter.answers.session import Policy, SessionAnswer
from jitter.report.plain import plain_estimate, plain_head, plain_layout, plain_number
from jitter.stages.verdict import REASONS
from jitter.units.writing import write_spread

SCHEMA = "jitter.run/1"


def run_document(answer: RunAnswer) -> dict[str, Any]:
    """Return the answer to `jitter run` as plain objects, undefined numbers as None.

    Shares and gains are fractions of 1. In the ranking the gains, low and high are those with the
    delay as set by ruler, low and high bound ``gain_removed``; ``as_trimmed`` holds the same four
    after trimming, ``shared_with`` the other quantities that the same draw moves. ``frames`` names
    those that the page draws, with the delay as set by ruler; their verdict is a reason or
    ``keeper``. ``session`` is there where anything drifts.

    Parameters
    ----------
    answer
        The answer.
    """
    return {
        **plain_head(SCHEMA, answer.study),
        **plain_layout(answer.layout),
        "as_set": _way(answer.as_set),
        "as_trimmed": _way(answer.as_trimmed),
        "ranking": [_rank(one) for one in answer.ranking],
        "ranked_setups": answer.ranked_setups,
        "frames": None if answer.frames is None else _frames(answer.frames),
        "session": None if answer.session is None else _session(answer.session),
        "warnings": list(answer.warnings),
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "hit_rate": plain_estimate(way.hit_rate),
        "by_setup": {
            "p10": way.by_setup.p10,
            "p50": way.by_setup.p50,
            "p90": way.by_setup.p90,
        },
        "reasons": [
            {"reason": reason, "share": share.value, "low": share.low, "high": share.high}
            for reason, share in way.reasons.items()
        ],
        "age": {
            "mean_ms": plain_number(1e3 * way.ages.mean),
            "sd_setup_ms": plain_number(1e3 * way.ages.setup),
            "sd_shot_ms": plain_number(1e3 * way.ages.shot),
        },
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {
        "gain_removed": gain.removed.value,
        "gain_halved": gain.halved.value,
        "low": gain.removed.low,
        "high": gain.removed.high,
    }


def _rank(rank: Rank) -> dict[str, Any]:
    source = rank.source
    return {
        "quantity": source.keys[0],
        "level": source.level.value,
        "spread": write_spread(source.spread, source.unit),
        **_gain(rank.as_set),
        "age_share": plain_number(rank.age_share),
        "shared_with": list(source.keys[1:]),
        "as_trimmed": _gain(rank.as_trimmed),
    }


def _frames(frames: FramesOfARun) -> dict[str, Any]:
    return {
        "looked_at": frames.looked_at,
        "at_random": [_frame(frame) for frame in frames.at_random],
        "missed": [_frame(frame) for frame in frames.missed.values()],
        "by_age": [
            {"percentile": percent, **_frame(frame)} for percent, frame in frames.by_age.items()
        ],
    }


def _frame(frame: Frame) -> dict[str, Any]:
    return {
        "setup": frame.setup,
        "shot": frame.shot,
        "verdict": "keeper" if frame.keeper else REASONS[frame.reason],
        "age_ms": plain_number(1e3 * frame.scene.age),
    }


def _session(session: SessionAnswer) -> dict[str, Any]:
    return {
        "frames": session.frames,
        "places": [int(place) for place in session.places],
        "as_set": [plain_estimate(share) for share in session.as_set],
        "trimmed_once": [plain_estimate(share) for share in session.once],
        "just_trimmed": [
            {"frame": int(place), **plain_estimate(share)} for place, share in session.fresh
        ],
        "policies": [_policy(policy) for policy in session.policies],
        "best": _policy(session.best),
        "worn_from_frame": None if session.worn is None else int(session.worn),
    }


def _policy(policy: Policy) -> dict[str, Any]:
    return {
        "trims": policy.trims,
        "every_frames": policy.every,
        "share": plain_estimate(policy.share),
        "gain": plain_estimate(policy.gain),
    }
