"""Whether the shot in which nothing strays is a keeper, and the delay that brings it there."""

from __future__ import annotations

from jitter.answers.variants import with_values
from jitter.stage import Chain
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot, single

DELAY = "timer.delay"
TIMING = ("early", "late")


def aims(study: Study, chain: Chain) -> dict[str, bool]:
    """Return whether the shot in which nothing strays is a keeper, both ways.

    Trimming mends a delay that brings the light too early or too late, and nothing else.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    """
    reason = _reason(study, chain)
    mended = reason
    if reason in [REASONS.index(word) for word in TIMING]:
        mended = _reason(aimed(study, chain), chain)
    return {"as_set": reason == KEEPER, "as_trimmed": mended == KEEPER}


def _reason(study: Study, chain: Chain) -> int:
    return int(single(nominal_shot(study, chain), "reason"))


def aimed(study: Study, chain: Chain) -> Study:
    """Return a study whose delay aims the shot in which nothing strays at the window's middle.

    Where no delay from 0 on does, or that shot has no age, the study as it is.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    """
    if DELAY not in study.entries:
        return study
    low, high = study.window("keeper.age")
    age = single(nominal_shot(study, chain), "age")
    delay = study.number(DELAY) + 0.5 * (low + high) - age
    return with_values(study, {DELAY: delay}) if delay >= 0.0 else study
