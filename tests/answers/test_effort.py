"""Points where they serve, draws where they do not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers import effort
from jitter.answers.effort import HALF, LEAST, Net, rates_of, settle
from jitter.answers.hits import WAYS, Hits
from jitter.answers.smooth_hits import SmoothHits
from jitter.answers.variants import scaled
from jitter.answers.what_ifs import open_wide
from jitter.draws.layout import Layout
from jitter.quantities import Level
from jitter.stages import CHAIN
from jitter.trial import open_road
from tests.conftest import STUDIES, load
from tests.toy import TOY, toy_study

LAYOUT = Layout(5, 1024, 16)
NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


@pytest.mark.parametrize("name", NAMES)
def test_points_serve_every_shipped_rig(name: str) -> None:
    road = open_road(load(name), CHAIN, wanted=("reason",))
    found = settle(road, LAYOUT)
    assert isinstance(found, Net)
    assert found.seed == road.study.seed
    (own,) = rates_of(road, [road.study], found)
    for way in WAYS:
        assert 0.5 * (own.rates[way].high - own.rates[way].low) <= HALF


def test_a_straight_toy_takes_the_fewest() -> None:
    road = open_road(toy_study(half_width=2.0, shot={"a": 1.0}), TOY, wanted=("reason",))
    assert settle(road, LAYOUT, ways=("as_set",)) == Net(5, LEAST)


def test_where_points_do_not_settle_draws_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    road = open_road(load("barn-table"), CHAIN, wanted=("reason",))
    monkeypatch.setattr(effort, "MOST", LEAST)
    assert settle(road, LAYOUT, half=1e-5) is LAYOUT


def test_too_many_dimensions_are_drawn() -> None:
    road = open_road(load("barn-table", "trim.frames=400"), CHAIN, wanted=("reason",))
    assert settle(road, LAYOUT) is LAYOUT
    assert isinstance(settle(road, LAYOUT, ways=("as_set",)), Net)


def test_both_efforts_tell_the_same_gain() -> None:
    study = load("barn-table")
    better = scaled(study, [("valve.scatter", Level.SHOT)], 0.0)
    road = open_wide(study, CHAIN, widest=study)
    gains = {}
    for how, kind in ((Layout(5, 4096, 16), Hits), (Net(5, 64), SmoothHits)):
        one, other = rates_of(road, [better, study], how)
        assert isinstance(one, kind)
        gains[kind] = {way: one.above(other, way) for way in WAYS}  # type: ignore[arg-type]
    for way in WAYS:
        plain, smooth = gains[Hits][way], gains[SmoothHits][way]
        half = math.hypot(plain.high - plain.value, smooth.high - smooth.value)
        # Half widths are two standard errors of each.
        assert smooth.value == pytest.approx(plain.value, abs=2.25 * half)
        assert plain.clear
        assert smooth.clear


def test_one_way_alone_may_be_asked_of_points() -> None:
    road = open_road(load("barn-table"), CHAIN, wanted=("reason",))
    (both,), (one,) = (
        rates_of(road, [road.study], Net(3, 8), ways=ways) for ways in (WAYS, WAYS[:1])
    )
    assert one.rates.keys() == {"as_set"}
    np.testing.assert_array_equal(one.shares("as_set"), both.shares("as_set"))
