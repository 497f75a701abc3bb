"""What cameras see: the same as firing each variant by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from jitter.answers.explain.suspects import CHANCE, STRAYS, Rig, drawable, find_suspects
from jitter.answers.explain.views import Condition, Views, conditions, count_looks, view
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.records.log import Log
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS
from jitter.study.study import Study
from tests.answers.explain.made import frame, shot
from tests.conftest import load

LAYOUT = Layout(11, 128, 8)


def seen(base: Study, studies: list[Study], *, way: str = "as_set") -> list[Views]:
    return view(
        base, CHAIN, [Rig(study) for study in studies], LAYOUT, lambda views: views, way=way
    )


def same(one: Views, other: Views) -> None:
    # The fall's table is made for all variants at once: microseconds, so that a frame at the very
    # edge of a look may change its name.
    assert (one.look != other.look).mean() < 0.005
    told = (one.look == other.look) & ~np.isnan(one.measures) & ~np.isnan(other.measures)
    np.testing.assert_allclose(one.measures[told], other.measures[told], rtol=0.0, atol=2e-5)
    assert (np.isnan(one.measures) != np.isnan(other.measures)).mean() < 0.005


@pytest.mark.parametrize("way", ["as_set", "as_trimmed"])
def test_every_suspect_is_seen_as_if_fired_by_itself(way: str) -> None:
    base = drawable(load("barn-table"))
    rigs = [suspect.applied(base) for suspect in find_suspects(base)[::4]]
    for rig, found in zip(rigs, seen(base, rigs, way=way), strict=True):
        same(found, shot(rig, seed=11, setups=128, frames=8, way=way))


@pytest.mark.parametrize("way", ["as_set", "as_trimmed"])
def test_each_setup_has_its_own_share_of_a_spread_and_of_a_chance(way: str) -> None:
    base = drawable(load("barn-table", "sensor.miss_chance=30 %"))
    every = {(one.key, one.how): one for one in find_suspects(base)}
    for name in (("valve.release_speed", STRAYS), ("sensor.miss_chance", CHANCE)):
        suspect = every[name]
        rig = suspect.rig(base, LAYOUT)
        shares = suspect.shares(LAYOUT)[:, 0]
        (found,) = view(base, CHAIN, [rig], LAYOUT, lambda views: views, way=way)
        for row in (0, 77):
            size = replace(suspect.spread, size=suspect.spread.size * shares[row])
            so_much = replace(suspect, spread=size, chance=suspect.chance * shares[row])
            (whole,) = seen(base, [so_much.applied(base)], way=way)
            one, other = (
                Views(views.look[row : row + 1], views.measures[:, row : row + 1])
                for views in (found, whole)
            )
            same(one, other)


def test_conditions_are_what_a_frame_was_shot_with() -> None:
    base = drawable(load("barn-table"))
    told = Condition(delay=0.288, interval=0.1, power=0.25)
    so_set = with_values(base, {"timer.delay": 0.288, "valve.interval": 0.1, "flash.power": 0.25})
    assert told.applied(base) == so_set
    assert Condition().applied(base) is base
    assert told.under(Rig(base)) == Rig(so_set)
    (plain, later) = seen(base, [base, told.applied(base)])
    same(later, shot(so_set, seed=11, setups=128, frames=8))
    assert (plain.look != later.look).mean() > 0.2


def test_conditions_of_a_log_are_each_told_once() -> None:
    frames = [frame(2 + place, 13, delay=delay) for place, delay in enumerate([None, 0.3, None])]
    log = Log(tuple(frames), "", ())
    assert conditions(log) == (Condition(), Condition(delay=0.3))


def test_looks_are_counted_by_setup() -> None:
    found = shot(load("barn-table"), seed=1, setups=16, frames=9)
    counted = count_looks(found.look)
    for row, looks in zip(counted, found.look, strict=True):
        assert row.tolist() == [int((looks == look).sum()) for look in range(len(LOOKS))]


def test_the_threads_change_nothing() -> None:
    base = drawable(load("barn-table"))
    rigs = [suspect.rig(base, LAYOUT) for suspect in find_suspects(base)[:6]]
    one, two = (
        view(base, CHAIN, rigs, LAYOUT, lambda views: views, way="as_set", workers=workers)
        for workers in (1, 3)
    )
    for first, second in zip(one, two, strict=True):
        np.testing.assert_array_equal(first.look, second.look)
        np.testing.assert_array_equal(first.measures, second.measures)
