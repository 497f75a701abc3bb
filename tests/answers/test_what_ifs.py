"""Many what-ifs fired at once: the same as each by itself."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.ranking import sources
from jitter.answers.variants import scaled, shifted
from jitter.answers.what_ifs import count_what_ifs, open_wide, widest
from jitter.draws.layout import Layout
from jitter.draws.values import entry_reach
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import load
from tests.toy import TOY, toy_study

LAYOUT = Layout(seed=11, setups=300, shots=70)


@pytest.fixture(scope="module")
def toy() -> Study:
    setup, shot = {"a": 3.0}, {"b": 2.0, "c": 1.0}
    return toy_study(half_width=4.0, setup=setup, shot=shot, reading=1.0)


def test_a_what_if_is_the_study_fired_by_itself(toy: Study) -> None:
    what_ifs = [
        toy,
        scaled(toy, [("toy.a", Level.SETUP)], 0.5),
        scaled(toy, [("toy.b", Level.SHOT), ("toy.c", Level.SHOT)], 2.0),
        scaled(toy, [("trim.reading", Level.SHOT)], 0.0),
        shifted(toy, ["toy.d"], 0.001),
    ]
    found = count_what_ifs(open_road(toy, TOY, wanted=("reason",)), what_ifs, LAYOUT)
    for what_if, hits in zip(what_ifs, found, strict=True):
        alone = count_hits(what_if, TOY, LAYOUT)
        for way in WAYS:
            # closed form: the same draws through the same sums, to the last frame.
            np.testing.assert_array_equal(getattr(hits, way), getattr(alone, way))


def test_the_threads_change_nothing(toy: Study) -> None:
    road = open_road(toy, TOY, wanted=("reason",))
    what_ifs = [scaled(toy, [("toy.a", Level.SETUP)], factor) for factor in (0.0, 1.0, 3.0)]
    for one, two in zip(
        *(count_what_ifs(road, what_ifs, LAYOUT, workers=workers) for workers in (1, 3)),
        strict=True,
    ):
        np.testing.assert_array_equal(one.as_trimmed, two.as_trimmed)


def test_every_spread_of_a_rig_is_scaled_as_by_itself() -> None:
    study = load("barn-table")
    what_ifs = [
        scaled(study, [(key, source.level) for key in source.keys], 0.25)
        for source in sources(study)
    ]
    road = open_road(study, CHAIN, wanted=("reason",))
    for what_if, hits in zip(what_ifs, count_what_ifs(road, what_ifs, LAYOUT), strict=True):
        alone = count_hits(what_if, CHAIN, LAYOUT)
        for way in WAYS:
            # The fall's table is fitted anew, so a fall may differ by 0.8 µs: of ages with an sd
            # of 2.5 ms one in 3000 lies so near an end of the window, at most.
            moved = np.abs(hits.keepers(way) - alone.keepers(way)).sum()
            assert moved <= LAYOUT.setups * LAYOUT.shots / 1000, what_if


def test_the_widest_study_reaches_as_far_as_every_what_if() -> None:
    study = load("barn-table")
    low, high = (shifted(study, ["sensor.height"], offset) for offset in (-0.02, 0.05))
    wide = widest(study, ["sensor.height"], [low, high])
    ends = entry_reach(wide.entries["sensor.height"])
    for what_if in (low, high):
        reached = entry_reach(what_if.entries["sensor.height"])
        # But for one draw in ten million at either end.
        assert ends[0] <= reached[0] + 1e-7
        assert reached[1] <= ends[1] + 1e-7
    road = open_wide(study, CHAIN, widest=wide)
    assert road.study is study
    (hits,) = count_what_ifs(road, [high], LAYOUT)
    alone = count_hits(high, CHAIN, LAYOUT)
    moved = np.abs(hits.keepers("as_trimmed") - alone.keepers("as_trimmed")).sum()
    assert moved <= LAYOUT.setups * LAYOUT.shots / 1000


def test_a_search_that_runs_off_where_no_jet_stands_is_no_word_on_the_screen() -> None:
    # The tests take every warning for an error.
    study = load("workshop-thick-water")
    far = shifted(study, ["valve.interval"], 4.9)
    wide = widest(study, ["valve.interval"], [far])
    road = open_wide(study, CHAIN, widest=wide)
    (hits,) = count_what_ifs(road, [far], Layout(seed=11, setups=64, shots=8))
    # A drop that comes five seconds later finds no jet.
    assert hits.keepers("as_set").sum() == 0
