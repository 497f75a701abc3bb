"""How far the settings of a rig may go: the jet's life, and where the sensor can stand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.errors import Fault, MistakeError
from jitter.quantities import Choice
from jitter.stage import Chain
from jitter.study.sense import find_nonsense, nominal_sizes
from jitter.study.study import Nominal, Study
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_value

START, HEIGHT, INTERVAL = "timer.start", "sensor.height", "valve.interval"
CLEAR_OF_JET = 2.0
"""A beam under so many heights of the jet would be crossed by it or splashed; an assumption."""
BELOW_NOZZLE = 0.1
"""The share of the way down at which a drop is free of the nozzle; an assumption."""
WHOLE_LIFE = (-1.0, 1.0)


@dataclass(frozen=True)
class Limits:
    """How far settings may go.

    Attributes
    ----------
    starts
        Start signals; empty where the rig has no choice.
    height
        Lowest and highest place of the sensor's beam [m], or None.
    interval
        Shortest and longest interval [s], or None.
    reach_given
        Whether the user said where the sensor can stand.
    phase
        Where in the jet's life drop and jet may meet: -1 as it emerges, 0 at its top, 1 gone.
    """

    starts: tuple[str, ...] = ()
    height: tuple[float, float] | None = None
    interval: tuple[float, float] | None = None
    reach_given: bool = False
    phase: tuple[float, float] = WHOLE_LIFE


def find_limits(
    study: Study,
    chain: Chain,
    *,
    reach: tuple[float, float] | None = None,
    phase: tuple[float, float] = WHOLE_LIFE,
) -> Limits:
    """Return how far the settings of a rig may go.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot; what it does not know has no limits.
    reach
        Where the sensor can stand [m]; from clear of the jet to clear of the nozzle where None.
    phase
        Where in the jet's life they may meet.

    Raises
    ------
    MistakeError
        If the sensor cannot stand there, or no interval leads to that phase.
    """
    entries = study.entries
    declared = entries[START].declaration if START in entries else None
    return Limits(
        starts=declared.options if isinstance(declared, Choice) else (),
        height=_heights(study, chain, reach) if HEIGHT in entries else None,
        interval=_intervals(study, chain, phase) if INTERVAL in entries else None,
        reach_given=reach is not None,
        phase=phase,
    )


def makes_sense(study: Study, chain: Chain) -> bool:
    """Return whether the values of a variant fit together."""
    sizes = nominal_sizes(study, chain)
    return sizes is None or next(find_nonsense(study, sizes), None) is None


def meets_at(study: Study, chain: Chain) -> float:
    """Return the place in the jet's life of the shot in which nothing strays; NaN without one."""
    if not any("peak_share" in stage.gives for stage in chain.stages):
        return math.nan
    return single(nominal_shot(study, chain), "peak_share")


def clamped(value: float, ends: tuple[float, float]) -> float:
    """Return the value within two ends that is nearest to a value."""
    return min(max(value, ends[0]), ends[1])


def _heights(
    study: Study, chain: Chain, reach: tuple[float, float] | None
) -> tuple[float, float] | None:
    if reach is not None:
        _judge_reach(study, chain, reach)
        return reach
    nozzle, level = study.number("valve.nozzle_height"), study.number("pool.level")
    jet = single(nominal_shot(study, chain), "jet_top")
    # A metre rule tells whole millimetres.
    low = math.ceil(1e3 * (level + CLEAR_OF_JET * jet)) / 1e3
    high = math.floor(1e3 * (nozzle - BELOW_NOZZLE * (nozzle - level))) / 1e3
    own = study.number(HEIGHT)
    if study.entries[START].nominal != "valve":
        low, high = min(low, own), max(high, own)
    return (low, high) if low < high else None


def _judge_reach(study: Study, chain: Chain, reach: tuple[float, float]) -> None:
    sizes = nominal_sizes(study, chain)
    for end in reach:
        values: Mapping[str, Nominal] = {START: "first drop", HEIGHT: end}
        variant = with_values(study, dict(values))
        wrong = [] if sizes is None else list(find_nonsense(variant, sizes))
        for nonsense in wrong:
            if HEIGHT in nonsense.keys:
                fault = Fault(
                    "--reach", None, write_value(end, "m"), nonsense.wrong, nonsense.right
                )
                raise MistakeError([fault])


def _intervals(
    study: Study, chain: Chain, phase: tuple[float, float]
) -> tuple[float, float] | None:
    """Return the intervals at which the second drop finds a jet of the wanted phase."""
    nominal = nominal_shot(study, chain)
    own, landing = study.number(INTERVAL), single(nominal, "second_landing")
    low, high = (own + single(nominal, name) - landing for name in ("jet_emerges", "jet_gone"))
    low = max(low, 1e-3)
    if phase != WHOLE_LIFE:
        low, high = _in_phase(study, chain, phase, (low, high))
    return low, high


def _in_phase(
    study: Study, chain: Chain, phase: tuple[float, float], ends: tuple[float, float]
) -> tuple[float, float]:
    tried: Array = np.linspace(ends[0], ends[1], 13)[1:-1]
    shares = [meets_at(with_values(study, {INTERVAL: float(each)}), chain) for each in tried]
    told = [(at, each) for at, each in zip(shares, tried, strict=True) if not math.isnan(at)]
    if len(told) < 2 or any(late[0] <= early[0] for early, late in pairwise(told)):
        wrong, right = "no interval lets the drop meet a jet", "leave --phase out"
        raise MistakeError([Fault("--phase", None, "", wrong, right)])
    at, each = zip(*told, strict=True)
    low = ends[0] if phase[0] <= at[0] else float(np.interp(phase[0], at, each))
    high = ends[1] if phase[1] >= at[-1] else float(np.interp(phase[1], at, each))
    return low, high
