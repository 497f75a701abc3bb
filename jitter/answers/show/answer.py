"""The question "did you understand me?": the study as it will be run, and one shot's time line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from jitter.answers.show.moments import COMMANDS, happenings
from jitter.answers.show.numbers import Number, numbers
from jitter.answers.warnings import find_warnings
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.stage import Chain, Events, walk
from jitter.stages.fall import fall_distance
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road, single

SETUPS, SHOTS = 512, 4
"""They give the ends of a band to a twentieth of its width, about."""
MOST = 200_000
"""Shots at the most: they are all kept at once."""
BAND = (0.05, 0.95)
POINTS = 241


@dataclass(frozen=True)
class Moment:
    """Something that happens in a shot.

    Attributes
    ----------
    what
        In words.
    nominal
        When, in the shot in which nothing strays, from the first valve command [s].
    low, high
        Nine in ten shots of all set-ups, as set by ruler, have it between these [s].
    sd
        Standard deviation over all shots [s].
    share
        Of the shots in which it happens at all.
    """

    what: str
    nominal: float
    low: float
    high: float
    sd: float
    share: float


@dataclass(frozen=True)
class Paths:
    """Where things are against time: bands that hold nine in ten shots.

    Attributes
    ----------
    times : array (t,) [s]
    first, second, jet : array (3, t) [m]
        Heights above the datum: low end, nominal, high end; of the drops' centres until they land
        or meet the jet, of the jet's tip while it stands. NaN where there is nothing.
    """

    times: Array
    first: Array
    second: Array
    jet: Array


@dataclass(frozen=True)
class ShowAnswer:
    """The answer to `jitter show`.

    Attributes
    ----------
    study
        The rig.
    layout
        Seed, set-ups and shots behind the bands.
    nominal
        Events of the shot in which nothing strays.
    moments
        In the order of time.
    events
        Events of the shots behind the bands.
    numbers
        The numbers that an engineer asks for.
    warnings
        Where the model or the study is out of its depth, and what that means.
    """

    study: Study
    layout: Layout
    nominal: Events
    moments: tuple[Moment, ...]
    events: Events
    numbers: tuple[Number, ...]
    warnings: tuple[str, ...]


def answer_show(
    study: Study, chain: Chain, *, setups: int = SETUPS, shots: int = SHOTS
) -> ShowAnswer:
    """Say how a study was understood.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    setups, shots
        Set-ups, and shots of each, behind the bands.

    Returns
    -------
    ShowAnswer
    """
    nominal = nominal_shot(study, chain)
    road = open_road(study, chain)
    layout = Layout(study.seed, setups, shots)
    deviates = draw(study, Block(layout, 0, setups, 0, shots))
    events = walk(road.shot, {**road.fixed, **values(study, deviates)})
    return ShowAnswer(
        study=study,
        layout=layout,
        nominal=nominal,
        moments=_moments(study, nominal, events, (setups, shots)),
        events=events,
        numbers=numbers(study, nominal),
        warnings=find_warnings(study, nominal),
    )


def _moments(
    study: Study, nominal: Events, events: Events, shape: tuple[int, int]
) -> tuple[Moment, ...]:
    commands = dict.fromkeys(COMMANDS, np.zeros((1, 1)))
    commands["second_command"] = events["valve_interval"] * (1.0 + events["timer_clock_error"])
    seen = events | commands
    return tuple(
        _moment(what, when, np.broadcast_to(seen[event], shape))
        for what, event, when in happenings(study, nominal)
    )


def _moment(what: str, when: float, seen: Array) -> Moment:
    told = seen[~np.isnan(seen)]
    if told.size == 0:
        return Moment(what, when, math.nan, math.nan, math.nan, 0.0)
    low, high = (float(end) for end in np.quantile(told, BAND))
    return Moment(what, when, low, high, float(np.std(told)), told.size / seen.size)


def _times(nominal: Events, count: int) -> Array:
    last = max(single(nominal, "jet_gone"), np.nan_to_num(single(nominal, "light_time")))
    return np.linspace(0.0, 1.04 * last, count)


def nominal_paths(nominal: Events) -> Paths:
    """Return where drops and jet are against time in the shot in which nothing strays.

    Parameters
    ----------
    nominal
        Its events.
    """
    times = _times(nominal, 4 * POINTS)
    rows = [_drop_heights(nominal, which, times, (1, 1)) for which in ("first", "second")]
    rows.append(_jet_heights(nominal, times, (1, 1)))
    first, second, jet = (np.repeat(heights.T, 3, axis=0) for heights in rows)
    return Paths(times, first, second, jet)


def shot_paths(answer: ShowAnswer) -> Paths:
    """Return where drops and jet are against time, in the nominal shot and in nine of ten.

    Parameters
    ----------
    answer
        The answer.
    """
    nominal = answer.nominal
    times = _times(nominal, POINTS)
    cases = ((nominal, (1, 1)), (answer.events, (answer.layout.setups, answer.layout.shots)))
    drops = [
        _band([_drop_heights(events, which, times, shape) for events, shape in cases])
        for which in ("first", "second")
    ]
    jets = _band([_jet_heights(events, times, shape) for events, shape in cases])
    return Paths(times, drops[0], drops[1], jets)


def _band(heights: list[Array]) -> Array:
    """Return low end, nominal and high end (3, t) of heights (t, shots) of both cases."""
    nominal, all_shots = heights
    there = ~np.isnan(all_shots)
    # Where fewer than half the shots have it there is no band to speak of.
    enough = there.mean(axis=1) >= 0.5
    ends = np.full((2, len(nominal)), np.nan)
    if enough.any():
        ends[:, enough] = np.nanquantile(all_shots[enough], BAND, axis=1)
    return np.stack([ends[0], nominal[:, 0], ends[1]])


def _drop_heights(events: Events, which: str, times: Array, shape: tuple[int, int]) -> Array:
    """Return the height of a drop's centre in each shot (t, shots) [m]."""
    end = events[f"{which}_landing"]
    if which == "second":
        end = np.where(np.isnan(events["meeting_time"]), end, events["meeting_time"])
    rows = []
    for time in times:
        elapsed = time - events[f"{which}_release"]
        fallen = fall_distance(events[f"{which}_fall"], elapsed)
        height = events["valve_nozzle_height"] - fallen
        rows.append(
            np.broadcast_to(np.where((elapsed >= 0.0) & (time <= end), height, np.nan), shape)
        )
    return np.stack(rows).reshape(len(times), -1)


def _jet_heights(events: Events, times: Array, shape: tuple[int, int]) -> Array:
    """Return the height of the jet's tip in each shot (t, shots) [m]."""
    peaks = np.broadcast_to(events["jet_peaks"], shape).reshape(-1)
    life = np.broadcast_to(events["jet_peaks"] - events["jet_emerges"], shape).reshape(-1)
    top = np.broadcast_to(events["jet_top"], shape).reshape(-1)
    surface = np.broadcast_to(events["surface"], shape).reshape(-1)
    share = (times[:, None] - peaks) / life
    return np.where(np.abs(share) <= 1.0, surface + top * (1.0 - share**2), np.nan)
