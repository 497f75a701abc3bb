"""Frames of a single drop: how late it is against the study, told from its height."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from jitter.answers.ages import Ages, ages, join_ages, sum_ages
from jitter.answers.variants import scaled, with_values
from jitter.arrays import Array
from jitter.draws.deviates import draw
from jitter.draws.layout import BLOCK, Layout, blocks
from jitter.draws.values import values
from jitter.quantities import Level
from jitter.stage import Chain, Events, walk
from jitter.stages.fall import Fall, fall_distance, fall_duration, fall_speed
from jitter.study.study import Study
from jitter.trial import open_road

RELEASE = ("valve.latency", "valve.release_speed")
"""What lets a drop go earlier or later than the study says, as far as frames can tell."""
SETUPS, SHOTS = 512, 32
STEP = {"valve.latency": 1e-5, "valve.release_speed": 1e-4}
EVENTS = ("first_fall", "first_release", "first_diameter", "surface", "flash_time")


@dataclass(frozen=True)
class SingleDrop:
    """A drop photographed a delay after a start, as the study has it.

    Attributes
    ----------
    start, delay
        What started the timer, and the delay [s].
    height
        Of its lower edge over the surface where nothing strays [m].
    elapsed
        From its release to the light [s].
    landing
        From its release to its landing [s].
    speed
        At the light [m/s].
    slopes
        By how much it is later at the light, for each unit of latency and of release speed.
    rest
        How far its lateness strays from set-up to set-up and from shot to shot by everything but
        latency and release speed [s].
    """

    start: str
    delay: float
    height: float
    elapsed: float
    landing: float
    speed: float
    slopes: dict[str, float]
    rest: Ages
    _fall: Fall
    _top: float

    def lateness(self, height: Array) -> Array:
        """Return by how much a drop is later than in the study, told from its height [s].

        The time that it takes from there to where the study has it, by the law of its fall.

        Parameters
        ----------
        height : array (n,) [m]
            Of its lower edge over the surface, below the nozzle.
        """
        fallen = (self._top - height)[None, :]
        return np.asarray(self.elapsed - fall_duration(self._fall, fallen)[0])

    def speed_at(self, height: float) -> float:
        """Return how fast the drop falls at a height [m] that it passes [m/s]."""
        taken = fall_duration(self._fall, np.array([[self._top - height]]))
        return float(fall_speed(self._fall, taken).item())

    def falls_to(self, height: float) -> bool:
        """Return whether the drop passes a height [m] after its release."""
        return 0.0 <= height < self._top - 1e-6


def single_drop(study: Study, chain: Chain, *, start: str, delay: float) -> SingleDrop:
    """Return the single drop of a study.

    Lateness is told from the height alone; the drop's swinging, and that a drop may be larger or
    slower than the study says, are among what strays otherwise.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    start
        "valve" or "first drop".
    delay
        From the start to the light [s].

    References
    ----------
    Closed form: differences of the study's own fall times; what else strays by simulation.
    """
    rig = with_values(study, {"timer.start": start, "timer.delay": delay})
    events = _nominal(rig, chain)
    elapsed, fall = _elapsed(events), events["first_fall"]
    top = float(_tops(events).item())
    landing = float(fall_duration(fall, np.array([[top]])).item())
    made = SingleDrop(
        start=start,
        delay=delay,
        height=top - float(fall_distance(fall, np.array([[elapsed]])).item()),
        elapsed=elapsed,
        landing=landing,
        speed=float(fall_speed(fall, np.array([[elapsed]])).item()),
        slopes=dict.fromkeys(RELEASE, 0.0),
        rest=Ages(0.0, 0.0, 0.0),
        _fall=fall,
        _top=top,
    )
    if not 0.0 < elapsed < landing:
        return made
    for key in RELEASE:
        moved = with_values(rig, {key: rig.number(key) + STEP[key]})
        shown = _heights(_nominal(moved, chain))
        made.slopes[key] = float(made.lateness(shown[0])[0]) / STEP[key]
    still = scaled(rig, [(key, level) for key in RELEASE for level in Level], 0.0)
    return replace(made, rest=_rest(still, chain, made))


def _nominal(rig: Study, chain: Chain) -> Events:
    road = open_road(rig, chain, wanted=EVENTS)
    return walk(road.shot, dict(road.fixed))


def _elapsed(events: Events) -> float:
    return float(np.asarray(events["flash_time"] - events["first_release"]).item())


def _tops(events: Events) -> Array:
    """Return the height of the lower edge over the surface at the release, (s, n) [m]."""
    edge = events["valve_nozzle_height"] - 0.5 * events["first_diameter"]
    return np.asarray(edge - events["surface"])


def _heights(events: Events) -> Array:
    """Return the height of the lower edge over the surface at the light, (s, n) [m]."""
    elapsed = events["flash_time"] - events["first_release"]
    return _tops(events) - np.asarray(fall_distance(events["first_fall"], elapsed))


def shoot(rig: Study, chain: Chain, layout: Layout) -> Iterable[Array]:
    """Yield the heights that frames of single drops would show, block by block, (s, n) [m].

    Parameters
    ----------
    rig
        With the start and the delay that are used.
    chain
        The stages of a shot.
    layout
        Seed, set-ups and shots.
    """
    road = open_road(rig, chain, wanted=EVENTS)
    for block in blocks(layout, size=BLOCK):
        drawn = values(rig, draw(rig, block))
        shown = _heights(walk(road.shot, {**road.fixed, **drawn}))
        yield np.broadcast_to(shown, (block.setups, block.shots))


def _rest(still: Study, chain: Chain, drop: SingleDrop) -> Ages:
    layout = Layout(still.seed, SETUPS, SHOTS)
    sums = []
    for shown in shoot(still, chain, layout):
        late = drop.lateness(np.minimum(shown, drop._top - 1e-6).ravel()).reshape(shown.shape)
        sums.append(sum_ages(late))
    return ages(join_ages(sums, setups=SETUPS))
