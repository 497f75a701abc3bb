"""Many what-ifs in one array: each row as its own study has it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from jitter.answers.variants import scaled, shifted, with_values
from jitter.draws.deviates import Deviates, draw
from jitter.draws.values import value
from jitter.quantities import Level, argument
from jitter.smooth.batch import Batch
from jitter.smooth.points import asked, rows, sobol
from tests.conftest import load

POINTS = 16


@pytest.mark.parametrize("drifting", [False, True])
def test_every_row_is_as_its_own_study_has_it(drifting: bool) -> None:
    drift = ("valve.latency.drift=0.01 ms", "sensor.miss_chance.drift=0.01") if drifting else ()
    base = load("barn-table", *drift)
    studies = (
        base,
        scaled(base, [("valve.release_speed", Level.SHOT)], 0.0),
        scaled(base, [("sensor.height", Level.SETUP), ("sensor.miss_chance", Level.SHOT)], 2.0),
        shifted(base, ["sensor.height"], 0.002),
        with_values(base, {"timer.delay": 0.31}),
    )
    batch = Batch(base, studies, POINTS)
    assert batch.changed == {
        "valve.release_speed": [1],
        "sensor.height": [2, 3],
        "sensor.miss_chance": [2],
        "timer.delay": [4],
    }
    scores = sobol(asked(base).columns, seed=2, replicates=1, points=POINTS)
    frame = np.arange(POINTS, dtype=float)[:, None] if drifting else np.zeros((1, 1))
    alone = replace(draw(base, rows(POINTS), source=scores), frame_number=frame)
    every = draw(base, rows(POINTS * len(studies)), source=scores.repeated(len(studies)))
    many = np.tile(frame, (len(studies), 1)) if drifting else frame
    keys = [*dict.fromkeys((*every.setup, *every.shot, *batch.changed))]
    made = batch.values(replace(every, frame_number=many), keys)
    assert made.keys() == {argument(key) for key in keys} | {"frame_number"}
    for place, study in enumerate(studies):
        mine = slice(place * POINTS, (place + 1) * POINTS)
        for key in keys:
            own = np.asarray(value(study, key, alone, {}))
            found = made[argument(key)]
            if found.shape[-2] > 1:
                found = found[..., mine, :]
            np.testing.assert_array_equal(found, np.broadcast_to(own, found.shape), key)


def test_what_nobody_changes_and_nothing_draws_stays_small() -> None:
    base = load("barn-table")
    batch = Batch(base, (base, base), POINTS)
    still = Deviates({}, {}, np.zeros((1, 1)))
    assert batch.values(still, ["timer.delay"])["timer_delay"].shape == (1, 1)
