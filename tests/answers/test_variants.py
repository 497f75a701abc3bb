"""What-ifs as studies: the same draws, scaled, shifted or set otherwise."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.hits import WAYS, count_hits, difference
from jitter.answers.ranking import Source, sources
from jitter.answers.variants import scaled, shifted, with_spread, with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import value
from jitter.quantities import Level, Shape, Spread
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.study.study import Study
from jitter.trial import fire, open_road, refire
from tests.conftest import load

LAYOUT = Layout(seed=11, setups=40, shots=25)
BLOCK = Block(LAYOUT, 0, 40, 0, 25)
SMALL = Layout(seed=11, setups=60, shots=40)


@pytest.fixture(scope="module")
def study() -> Study:
    return load("barn-table", "reservoir.constant_head=no")


@pytest.mark.parametrize("factor", [0.0, 0.5, 1.0])
def test_a_scaled_study_fires_as_the_same_draws_scaled(study: Study, factor: float) -> None:
    road = open_road(study, CHAIN)
    firing = fire(road, BLOCK)

    def agree(source: Source) -> None:
        again = refire(road, firing, source.scaled(factor))
        variant = scaled(study, [(key, source.level) for key in source.keys], factor)
        other = fire(open_road(variant, CHAIN), BLOCK)
        for way in WAYS:
            one, two = (
                np.broadcast_to(getattr(made, way)["age"], (40, 25)) for made in (again, other)
            )
            # A table is fitted anew, so fall times agree to a microsecond.
            np.testing.assert_allclose(one, two, atol=4e-6)

    for source in sources(study):
        agree(source)


def test_a_spread_may_be_doubled_and_a_chance_stays_one(study: Study) -> None:
    doubled = scaled(study, [("valve.latency", Level.SHOT)], 2.0).entries["valve.latency"]
    # closed form: twice 0.3 ms; the other level stays.
    assert doubled.shot.size == pytest.approx(0.0006)
    assert doubled.setup == study.entries["valve.latency"].setup
    missed = scaled(study, [("sensor.miss_chance", Level.SHOT)], 500.0)
    assert missed.number("sensor.miss_chance") == 1.0
    # closed form: twice 4 µs.
    assert scaled(study, [("timer.step", Level.SHOT)], 2.0).number("timer.step") == 8e-6


def test_a_shift_moves_every_shot_and_no_default(study: Study) -> None:
    variant = shifted(study, ["sensor.height"], 0.002)
    deviates = draw(study, BLOCK)
    moved = value(variant, "sensor.height", deviates, {}) - value(
        study, "sensor.height", deviates, {}
    )
    # closed form: 2 mm in every shot.
    assert moved == pytest.approx(0.002)
    assert variant.number("sensor.height") == study.number("sensor.height")
    assert variant.digest != study.digest
    assert shifted(study, ["sensor.height"], 0.0).digest == study.digest


def test_a_shifted_beam_shifts_the_light_by_the_fall_between(study: Study) -> None:
    later = open_road(shifted(study, ["sensor.height"], -0.001), CHAIN).fixed
    assert later["sensor_height"].item() == pytest.approx(0.482)
    far = shifted(study, ["pool.level"], 0.05)
    # A table that reaches as far as the shift: no fit is asked for what it was not made for.
    road = open_road(far, CHAIN)
    assert np.isfinite(fire(road, BLOCK).as_set["first_landing"]).all()


def test_another_spread_takes_the_place_of_the_old(study: Study) -> None:
    wide = Spread(Shape.RECTANGULAR, 0.004)
    variant = with_spread(study, ["sensor.height"], Level.SETUP, wide)
    assert variant.entries["sensor.height"].setup == wide
    assert study.entries["sensor.height"].setup != wide


def test_values_set_otherwise_keep_their_spreads(study: Study) -> None:
    variant = with_values(study, {"timer.delay": 0.3, "timer.start": "valve"})
    assert variant.number("timer.delay") == 0.3
    assert variant.entries["timer.start"].nominal == "valve"
    assert variant.entries["timer.delay"].setup == study.entries["timer.delay"].setup


def test_hits_are_those_of_the_shots(study: Study) -> None:
    hits = count_hits(study, CHAIN, SMALL)
    firing = fire(open_road(study, CHAIN), Block(SMALL, 0, 60, 0, 40))
    for way in WAYS:
        kept = np.broadcast_to(getattr(firing, way)["reason"], (60, 40)) == KEEPER
        assert hits.keepers(way).tolist() == kept.sum(axis=1).tolist()
        assert hits.rates[way].value == pytest.approx(kept.mean())
        # closed form: every frame is a keeper or has one reason.
        assert (getattr(hits, way).sum(axis=1) == 40).all()


def test_hits_do_not_depend_on_the_threads(study: Study) -> None:
    one, two = (count_hits(study, CHAIN, LAYOUT, workers=workers) for workers in (1, 2))
    assert (one.as_set == two.as_set).all()
    assert (one.as_trimmed == two.as_trimmed).all()


def test_a_study_differs_from_itself_by_nothing(study: Study) -> None:
    hits = count_hits(study, CHAIN, SMALL)
    nothing = difference(hits, hits, "as_set")
    assert nothing.value == 0.0
    assert not nothing.clear
    without = count_hits(scaled(study, [("valve.release_speed", Level.SHOT)], 0.0), CHAIN, SMALL)
    assert difference(without, hits, "as_trimmed").low > 0.0
