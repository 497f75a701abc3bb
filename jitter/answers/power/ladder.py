"""The powers that a flash can be set to."""

from __future__ import annotations

import math

from jitter.study.study import Study

USUAL_LOWEST = 1.0 / 128.0
LEAST = 1.0 / 1024.0
"""Where the laws of the pulse end, and `flash.power` with them."""
TABLES = ("flash.half_durations", "flash.tenth_durations")
SAME = 1e-6


def table_of(study: Study) -> tuple[float, ...]:
    """Return the powers of the user's table of durations, rising; none without one."""
    for key in TABLES:
        pairs = study.entries[key].nominal
        if isinstance(pairs, tuple):
            return tuple(pair[0] for pair in pairs if isinstance(pair, tuple))
    return ()


def ladder(study: Study) -> tuple[float, ...]:
    """Return the powers that a flash can be set to, full first [1].

    Steps of `flash.power_step` from full down to `flash.lowest_power`; of a table of one's own, its
    powers, and the steps between them where the study says the step; none below 1/1024, where the
    model ends. A flash that discharges fully has one power. The study's own power is always one of
    them.

    Parameters
    ----------
    study
        The rig.
    """
    own = study.number("flash.power")
    if study.entries["flash.kind"].nominal == "full discharge":
        return (own,)
    tabled = table_of(study)
    told = study.entries["flash.lowest_power"].nominal
    usual = tabled[0] if tabled else min(USUAL_LOWEST, own)
    lowest = max(float(told) if isinstance(told, float) else usual, LEAST)
    ends = (max(lowest, tabled[0]), tabled[-1]) if tabled else (lowest, 1.0)
    found = [own, *(power for power in tabled if power >= lowest * (1.0 - SAME))]
    if not tabled or "nominal" in study.entries["flash.power_step"].given:
        found += _steps(study.number("flash.power_step"), ends)
    return _once(found)


def _steps(step: float, ends: tuple[float, float]) -> list[float]:
    """Return the powers from full power down, so many stops apart, between two ends."""
    count = math.floor(-math.log2(ends[0]) / step + SAME)
    powers = [2.0 ** (-step * place) for place in range(count + 1)]
    return [power for power in powers if power <= ends[1] * (1.0 + SAME)]


def _once(powers: list[float]) -> tuple[float, ...]:
    """Return powers falling, each once; what was named first stands for those alike."""
    kept: list[float] = []
    for power in powers:
        if all(abs(math.log2(power / other)) > 1e-3 for other in kept):
            kept.append(power)
    return tuple(sorted(kept, reverse=True))
