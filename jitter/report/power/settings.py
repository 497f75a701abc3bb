"""Settings of the light in the words that stand on flash, lens and camera."""

from __future__ import annotations

from jitter.answers.power.answer import PowerAnswer
from jitter.answers.power.choosing import Pick
from jitter.answers.power.keeping import Setting
from jitter.answers.power.rungs import Rung
from jitter.study.study import Study
from jitter.units.writing import (
    write_aperture,
    write_iso,
    write_number,
    write_power,
    write_value,
)

WHICH = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}
BY = {"aperture": "aperture", "iso": "ISO", "distance": "distance"}


def name_power(power: float) -> str:
    """Name a power as photographers do.

    Examples
    --------
    >>> name_power(1.0), name_power(1 / 32)
    ('full', '1/32')
    """
    return "full" if power == 1.0 else write_power(power)


def write_means(answer: PowerAnswer, means: str, value: float) -> str:
    """Write the value of a means: an aperture, a speed, a way of the light.

    Parameters
    ----------
    answer
        Tells whether distances are multiples of one's own.
    means
        One of `jitter.answers.power.keeping.MEANS`.
    value
        In SI, or a multiple.
    """
    if means == "aperture":
        return write_aperture(value)
    if means == "iso":
        return write_iso(value)
    if answer.relative:
        return "as far as now" if value == 1.0 else f"{write_number(value)} times as far"
    return write_value(value, "m", digits=3)


def tell_means(answer: PowerAnswer, means: str, value: float) -> str:
    """Write the value of a means for a table: short.

    Parameters
    ----------
    answer
        Tells whether distances are multiples of one's own.
    means
        One of `jitter.answers.power.keeping.MEANS`.
    value
        In SI, or a multiple.
    """
    if means == "distance" and answer.relative:
        return f"× {write_number(value)}"
    return write_means(answer, means, value)


def in_full(answer: PowerAnswer, study: Study) -> str:
    """Write power, aperture, speed and, where it is known or changed, distance of a rig.

    Parameters
    ----------
    answer
        The answer.
    study
        The rig, or one of its settings.
    """
    said = (
        f"{_spoken(study.number('flash.power'))} at"
        f" {write_aperture(study.number('camera.aperture'))},"
        f" {write_iso(study.number('camera.iso'))}"
    )
    distance = study.entries["flash.distance"].nominal
    if not isinstance(distance, float) or (answer.relative and distance == 1.0):
        return said
    away = write_means(answer, "distance", distance)
    return f"{said}, the flash {away}{'' if answer.relative else ' away'}"


def in_short(answer: PowerAnswer, pick: Pick) -> str:
    """Write the power of a setting, and the value of its means."""
    setting = pick.tried.setting
    said = _spoken(pick.rung.power)
    value = write_means(answer, setting.means, setting.value)
    return f"{said}, {value}" if setting.means == "distance" else f"{said} at {value}"


def _spoken(power: float) -> str:
    return "full power" if power == 1.0 else write_power(power)


def beyond(setting: Setting) -> str:
    """Say by how much a setting is over (+) or under a right exposure; empty where it is right.

    Parameters
    ----------
    setting
        A power with one means.
    """
    if setting.reached:
        return ""
    return f"{write_off(setting.off)} stops"


def write_off(off: float) -> str:
    """Write an exposure's error with its sign, never as none.

    Examples
    --------
    >>> write_off(3.4), write_off(-0.012)
    ('+3.4', '-0.01')
    """
    return f"{off:+.1f}" if abs(off) >= 0.05 else f"{off:+.1g}"


def reaches(answer: PowerAnswer, means: str) -> bool:
    """Return whether some power is exposed right by a means."""
    return any(rung.tried[means].setting.reached for rung in answer.rungs)


def is_own(answer: PowerAnswer, rung: Rung) -> bool:
    """Return whether a power is the user's own."""
    return rung.power == answer.study.number("flash.power")


def is_best(answer: PowerAnswer, rung: Rung) -> bool:
    """Return whether a power is the recommended one."""
    return answer.best is not None and rung.power == answer.best.pick.rung.power
