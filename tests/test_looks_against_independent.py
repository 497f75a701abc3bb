"""The looks of frames against a second simulation that shares nothing with the package.

Label of every check value here: *closed form* in the sense that both sides answer the same
questions about the same physics; the bounds are 4.5 standard errors of the difference, from the
scatter between set-ups and their number.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS, Look
from jitter.study.reader import read_study
from jitter.trial import fire, open_road
from tests.independent_simulation import simulate
from tests.independent_twins import Twin

SETUPS, SHOTS = 400, 30
ERRORS = 4.5
APPROXIMATE = 2e-6
"""The falls promise 1 µs, at some metres a second; no more than this in the mean [m]."""

# fmt: off
RIGS = {
    "default": (Twin(), (
        "dark", "drop above the column", "merged without a sheet", "umbrella early",
        "umbrella late", "lopsided", "keeper")),
    "too soon, too dim": (
        Twin(("timer.delay=283 ms", "flash.energy={nominal=0.1, shot='sd 0.02'}"),
             {"timer_delay": 0.283, "flash_energy": {"nominal": 0.1, "shot": 0.02, "least": 0.01}}),
        ("dark", "column only", "drop above the column", "umbrella early")),
    "two flashes, drops astray": (
        Twin(("timer.delay=292 ms", "flash.count=2", "camera.aperture=f/5.6",
              "flash.stagger={nominal='0.2 ms', setup='within 0.2 ms'}",
              "valve.scatter.shot=sd 0.9 mm", "camera.focus.setup=within 8 mm"),
             {"timer_delay": 0.292, "flash_count": 2.0, "camera_aperture": 5.6,
              "flash_stagger": {"nominal": 2e-4, "within": 2e-4},
              "valve_scatter": {"shot": 0.0009}, "camera_focus": {"within": 0.008}}),
        ("two images", "smeared", "soft", "lopsided", "keeper")),
    "long after the meeting": (
        Twin(("timer.delay=379 ms", "valve.interval=165 ms",
              "valve.release_speed.shot=sd 0.06 m/s"),
             {"timer_delay": 0.379, "valve_interval": 0.165,
              "valve_release_speed": {"shot": 0.06}}),
        ("umbrella late", "column only", "nothing there")),
    "swinging drops, by the valve, before the jet": (
        Twin(("timer.delay=353 ms", "valve.wobble=0.2", "camera.frame_height=10 mm",
              "camera.surface_place=0.3"),
             {"timer_delay": 0.353, "valve_wobble": 0.2, "camera_frame_height": 0.010,
              "camera_surface_place": 0.3}, start="valve"),
        ("nothing there", "one drop in the air")),
}
# fmt: on


def _share(ours: Array, theirs: Array, name: str) -> None:
    """Compare shares of the frames of each set-up (s,)."""
    error = np.sqrt((ours.var(ddof=1) + theirs.var(ddof=1)) / SETUPS) + 2.0 / (SETUPS * SHOTS)
    assert abs(ours.mean() - theirs.mean()) < ERRORS * error, name


def _mean(ours: Array, theirs: Array, doubt: float, name: str) -> None:
    """Compare what is measured in the frames that show it, from set-up to set-up."""
    sides = []
    for made in (ours, theirs):
        there = np.isfinite(made)
        some = there.sum(axis=1) > 0
        sums = np.where(there, made, 0.0).sum(axis=1)[some]
        sides.append(sums / there.sum(axis=1)[some])
    one, other = sides
    # That as many frames show it is held elsewhere; of a single set-up nobody knows the scatter.
    if min(len(one), len(other)) > 1:
        error = np.sqrt(one.var(ddof=1) / len(one) + other.var(ddof=1) / len(other))
        assert abs(one.mean() - other.mean()) < ERRORS * error + doubt, name


@pytest.mark.parametrize("name", RIGS)
def test_looks_agree(name: str) -> None:
    twin, expected = RIGS[name]
    settings = (f"timer.start={twin.start}", *twin.settings)
    study = read_study("version = 1", source="twin", chain=CHAIN, settings=settings, seed=11)
    layout = Layout(study.seed, SETUPS, SHOTS)
    firing = fire(open_road(study, CHAIN, wanted=("look",)), Block(layout, 0, SETUPS, 0, SHOTS))
    theirs = simulate(
        start=twin.start, setups=SETUPS, shots=SHOTS, seed=5, looks=True, **twin.changes
    )
    for way in ("as_set", "as_trimmed"):
        made: dict[str, Any] = getattr(firing, way)
        ours = {each: np.broadcast_to(made[each], (SETUPS, SHOTS)) for each in Look._fields}
        events = theirs[way]["events"]
        assert set(events["look"].flat) <= set(LOOKS)
        for code, word in enumerate(LOOKS):
            own = (ours["look"] == code).mean(axis=1)
            _share(own, (events["look"] == word).mean(axis=1), word)
            assert way == "as_trimmed" or word not in expected or own.mean() > 0.005, word
        for each in Look._fields[1:]:
            _share(
                np.isfinite(ours[each]).mean(axis=1), np.isfinite(events[each]).mean(axis=1), each
            )
            _mean(ours[each], events[each], APPROXIMATE, each)
            # How far it strays, from shot to shot and from set-up to set-up.
            size = float(np.nanmax(np.abs(events[each]), initial=0.0))
            one, other = (np.square(made[each]) for made in (ours, events))
            _mean(one, other, 2.0 * size * APPROXIMATE, f"square of {each}")
