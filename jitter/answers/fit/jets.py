"""Heights of the jet at several delays: how high it rises, and when it is at its top."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.linalg import lstsq
from scipy.special import stdtrit

from jitter.answers.fit.found import Finding, Number, counted
from jitter.answers.fit.subjects import subject, write_toml
from jitter.answers.intervals import Estimate
from jitter.answers.variants import with_values
from jitter.arrays import Array
from jitter.records.faults import Place
from jitter.records.measurements import JET_HEIGHT, Reading
from jitter.stage import Chain
from jitter.stages.jet import EMERGES, PEAKS
from jitter.study.rewriting import NewValue
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_difference, write_value

HEIGHT, TIME = "jet.height", "jet.time"
SCALES = {HEIGHT: "jet.height_scale", TIME: "jet.time_scale"}
FEWEST = 3
ROUNDS = 50
SHAPE = (PEAKS - EMERGES) / PEAKS
"""From its emergence to its top, of the time from landing to top."""


def fit_jets(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    source: str,
    place: Place,
) -> Finding:
    """Turn heights of the jet against time into its height and the time of its top.

    Least squares of the parabola that the jet's law has, h = H (1 - ((t - t_p)/(0.547 t_p))²), t
    counted from the landing of the study's first drop. The uncertainty is the scatter about it,
    with Student's interval; that the landing itself strays from frame to frame is part of that
    scatter.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        Of the jet.
    source
        The file of the measurements.
    place
        Takes what is wrong with a reading.
    """
    setups = len({one.setup for one in readings})
    times = _times(study, chain, readings, place)
    if times is None:
        return Finding(JET_HEIGHT, len(readings), setups)
    heights = np.array([one.value for one in readings])
    if len(readings) < FEWEST or len(np.unique(times)) < 2:
        note = "two delays and three readings at least make a parabola: photograph more of the jet"
        return Finding(JET_HEIGHT, len(readings), setups, notes=(note,))
    fitted = parabola(times, heights)
    if fitted is None:
        note = "no jet of the law's shape passes through these heights: check delays and starts"
        return Finding(JET_HEIGHT, len(readings), setups, notes=(note,))
    found, covariance, scatter = fitted
    freedom = len(readings) - 2
    reach = float(stdtrit(freedom, 0.975))
    basis = f"{counted(len(readings), 'frame')} of the jet in {source}"
    numbers, values = [], []
    for key, value, variance in zip((HEIGHT, TIME), found, np.diag(covariance), strict=True):
        target, doubt = subject(study, key), math.sqrt(float(variance))
        if not target.lower <= value <= target.upper:
            note = f"{key} would be {write_value(float(value), target.unit)}, which no jet has"
            return Finding(JET_HEIGHT, len(readings), setups, notes=(note,))
        ends = (float(value) - reach * doubt, float(value) + reach * doubt)
        old = _study_value(study, chain, key)
        estimate = Estimate(float(value), *ends)
        number = Number(
            key, target.unit, estimate, uncertainty=doubt, old=old, place=f"{key}, nominal"
        )
        numbers.append(number)
        parts = {"nominal": write_toml(float(value), target.unit)}
        if doubt > 0.0:
            parts["setup"] = target.spread(doubt, "setup", float(value))
        values.append(NewValue(key, parts, basis, (SCALES[key],)))
    notes = [
        f"heights scatter about the parabola by {write_difference(scatter, 'm')}; the jet's spread"
        " from shot to shot stays as the study has it",
    ]
    if setups > 1:
        notes.append("set-ups are taken together: their jets are not told apart")
    if np.ptp(times) < 0.25 * found[1]:
        notes.append("the delays lie close together, so that height and time are known poorly")
    return Finding(JET_HEIGHT, len(readings), setups, tuple(numbers), tuple(values), tuple(notes))


def _times(study: Study, chain: Chain, readings: Sequence[Reading], place: Place) -> Array | None:
    """Return when each frame was lit, counted from the first drop's landing (n,) [s]."""
    known: dict[tuple[str, float], float] = {}
    found, good = [], True
    for one in readings:
        how = (one.start, one.delay or 0.0)
        if how not in known:
            rig = with_values(study, {"timer.start": how[0], "timer.delay": how[1]})
            shot = nominal_shot(rig, chain)
            known[how] = single(shot, "flash_time") - single(shot, "first_landing")
        after = known[how]
        found.append(after)
        if math.isnan(after):
            wrong = "the beam of this study sees no drop"
            place(one.line, "start", wrong, "mend the study, or check what started it")
            good = False
        elif after <= 0.0:
            early = write_difference(-after, "s")
            wrong = f"the light falls {early} before the study's first drop lands"
            place(one.line, "delay", wrong, "check the delay and what started it")
            good = False
        if one.value < 0.0:
            wrong = f"{write_value(one.value, 'm')} is under the surface"
            place(one.line, "value", wrong, "write the height of the jet's tip over it")
            good = False
    return np.array(found) if good else None


def parabola(times: Array, heights: Array) -> tuple[Array, Array, float] | None:
    """Return height and time of the top, their covariance and the scatter about the parabola.

    Parameters
    ----------
    times : array (n,) [s]
        After the landing; three at least, two of them different.
    heights : array (n,) [m]
        Of the tip over the surface.

    Returns
    -------
    top : array (2,) [m], [s]
    covariance : array (2, 2) [m2], [m s], [s2]
    scatter : float [m]
        Standard deviation about the parabola.

    References
    ----------
    Gauss-Newton; JCGM 100:2008, H.3 for the covariance of a fit.
    """
    start = _start(times, heights)
    best = None
    for peak in start:
        found = _descend(times, heights, peak)
        if found is not None and (best is None or found[1] < best[1]):
            best = found
    if best is None:
        return None
    (height, peak), square = best
    jacobian = _jacobian(times, height, peak)
    normal = jacobian.T @ jacobian
    if float(np.linalg.cond(normal)) > 1e20:
        return None
    variance = square / (len(times) - 2)
    covariance: Array = variance * np.asarray(np.linalg.inv(normal), dtype=np.float64)
    return np.array([height, peak]), covariance, math.sqrt(variance)


def _start(times: Array, heights: Array) -> Array:
    """Return times of the top to begin with: about the highest frame, and wide around it."""
    highest = float(times[int(np.argmax(heights))])
    return highest * np.array([0.6, 0.8, 1.0, 1.2, 1.5])


def _shape(times: Array, peak: float) -> Array:
    return np.asarray(1.0 - ((times - peak) / (SHAPE * peak)) ** 2)


def _jacobian(times: Array, height: float, peak: float) -> Array:
    share = (times - peak) / (SHAPE * peak)
    # With a fixed shape the parabola's time scale goes with the time of its top.
    return np.stack([1.0 - share**2, 2.0 * height * share * times / (SHAPE * peak**2)], axis=1)


def _descend(times: Array, heights: Array, peak: float) -> tuple[tuple[float, float], float] | None:
    shape = _shape(times, peak)
    height = float(shape @ heights / (shape @ shape))
    for _ in range(ROUNDS):
        if not (height > 0.0 and peak > 0.0):
            return None
        left = heights - height * _shape(times, peak)
        step = lstsq(_jacobian(times, height, peak), left)[0]
        height, peak = height + float(step[0]), peak + float(step[1])
        if abs(step[0]) < 1e-12 * abs(height) and abs(step[1]) < 1e-12 * abs(peak):
            break
    else:
        return None
    if not (height > 0.0 and peak > 0.0):
        return None
    left = heights - height * _shape(times, peak)
    return (height, peak), float(left @ left)


def _study_value(study: Study, chain: Chain, key: str) -> float:
    """Return the height or the time of the top where nothing strays."""
    if study.entries[key].nominal is not None:
        return study.number(key)
    shot = nominal_shot(study, chain)
    if key == HEIGHT:
        return single(shot, "jet_top")
    return single(shot, "jet_peaks") - single(shot, "first_landing")
