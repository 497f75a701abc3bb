"""What `jitter power` says where it can recommend nothing."""

from __future__ import annotations

from jitter.answers.power.answer import PowerAnswer
from jitter.answers.power.choosing import HOPELESS, most_keepers
from jitter.report.power.settings import WHICH, name_power, write_means, write_off
from jitter.stages.verdict import KEEPER, REASONS

UNMENDED = "which no light mends. Mend that first; jitter tune finds the delay"
REMEDIES = {
    "no light": "see to the time to recharge (session.cadence), the shutter and the delay",
    "wrong exposure": "allow a larger error (keeper.exposure)",
    "smeared": "allow more blur (keeper.blur), or come less close",
    "soft": "allow more blur (keeper.blur), or come less close",
}
"""What to do where the light itself spoils the frames, whatever its power."""


def nothing_words(answer: PowerAnswer) -> str:
    """Say why nothing is recommended: no right exposure, or frames lost to other things.

    Parameters
    ----------
    answer
        Without a best setting.
    """
    tried = [tried for rung in answer.rungs for tried in rung.tried.values()]
    right = [getattr(one.hits, answer.way) for one in tried if one.setting.reached]
    if right:
        reason = REASONS[int(sum(frames[:, :KEEPER].sum(axis=0) for frames in right).argmax())]
        cure = REMEDIES.get(reason)
        cause = f"{reason}. Mend that first: {cure}" if cure else f"{reason}, {UNMENDED}"
        trimmed = most_keepers(answer.rungs, answer.means, "as_trimmed") >= HOPELESS
        other = ", and --trimmed judges by frames after trimming" if trimmed else ""
        return (
            f"Hardly a frame is a keeper {WHICH[answer.way]} at any power: most are lost as"
            f" {cause}{other}."
        )
    near = min((one.setting for one in tried), key=lambda setting: abs(setting.off))
    value = write_means(answer, near.means, near.value)
    power = name_power(near.study.number("flash.power"))
    side = "over" if near.off > 0.0 else "under"
    return (
        "No power of this flash gives a right exposure within the limits of lens, camera and"
        f" distance: the nearest, {power} with {value}, is {write_off(abs(near.off))[1:]} stops"
        f" {side}."
    )
