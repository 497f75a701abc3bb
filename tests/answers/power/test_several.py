"""The same light from several flashes: as bright, shorter, staggered as the link staggers them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.power.keeping import DELAY, POWER, absolute
from jitter.answers.power.ladder import ladder
from jitter.answers.power.several import COUNT, STAGGER, Several, share_light, with_flashes
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.quantities import within
from jitter.stages import CHAIN
from jitter.stages.pulse import quenched
from jitter.stages.verdict import REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from tests.conftest import load

LAYOUT = Layout(seed=3, setups=64, shots=8)
SPEED = 3.0


def rig(*settings: str) -> Study:
    """Return a rig whose exposure hangs on its light."""
    study = load("barn-table", *settings)
    return absolute(study, nominal_shot(study, CHAIN))


def shared(study: Study) -> tuple[Several, ...]:
    """Return what more flashes would do for a rig."""
    hits = count_hits(study, CHAIN, LAYOUT)
    return share_light(study, CHAIN, hits, LAYOUT, powers=ladder(study), speed=SPEED)


def alone(power: float) -> float:
    """Return the smear of a single quenched flash, 1.1686 m v t0.1 [m]."""
    return 1.1686 * 0.4 * SPEED * float(quenched(np.array(power)).tenth)


@pytest.mark.parametrize("settings", [(), ("flash.count=3",), ("flash.guide_number=20 m",)])
@pytest.mark.parametrize("times", [2, 4, 7])
def test_so_many_flashes_at_so_much_less_give_the_same_exposure(
    settings: tuple[str, ...], times: int
) -> None:
    study = rig("flash.power=1/8", *settings)
    own = 3 if "flash.count=3" in settings else 1
    more = with_flashes(study, own * times, 0.125 / times)
    # closed form: the light of equal flashes adds up
    expected = single(nominal_shot(study, CHAIN), "exposure")
    assert single(nominal_shot(more, CHAIN), "exposure") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("link", "stagger"), [("wire", 5e-6), ("optical slave", 30e-6), ("radio", 100e-6)]
)
def test_several_flashes_are_staggered_as_their_link_does(link: str, stagger: float) -> None:
    study = rig(f"flash.link={link}")
    assert study.entries[STAGGER].nominal is None
    woken = with_flashes(study, 2, 1.0 / 128.0).entries[STAGGER]
    # The declared default: from none to twice as long, unit by unit.
    assert (woken.nominal, woken.setup) == (stagger, within(stagger))
    read = load("barn-table", f"flash.link={link}", "flash.count=2").entries[STAGGER]
    assert (woken.nominal, woken.setup, woken.shot) == (read.nominal, read.setup, read.shot)
    assert [each.stagger for each in shared(study)] == [stagger]


def test_a_stagger_of_ones_own_is_left_alone() -> None:
    study = rig("flash.count=2", 'flash.stagger={ nominal = "70 us", setup = "none" }')
    more = with_flashes(study, 4, 1.0 / 128.0)
    assert more.entries[STAGGER] is study.entries[STAGGER]
    assert (more.number(COUNT), more.number(POWER)) == (4.0, 1.0 / 128.0)


@pytest.mark.parametrize("power", [1.0, 0.5, 1.0 / 8.0, 1.0 / 32.0])
def test_flashes_that_fire_together_never_smear_more_than_one(power: float) -> None:
    study = rig(
        f"flash.power={power}", "flash.count=2", 'flash.stagger={nominal="0 us",setup="none"}'
    )
    found = shared(study)
    assert len(found) == 2
    for each in found:
        # closed form: what fires together is a single light, and a quenched one at less power is
        # shorter
        assert each.smear == pytest.approx(alone(2.0 * power / each.count), rel=1e-12)
        assert each.smear <= alone(power)
        assert (each.stagger, each.edge_gap) == (0.0, 0.0)
    assert found[1].smear < alone(power)


def test_a_stagger_draws_edges_twice_and_smears() -> None:
    (each, _) = shared(rig("flash.power=1/16", "flash.link=radio"))
    # closed form: m v Δ between the edges, 1.1686 m v √(t0.1² + (1.8101 Δ)²) as a disc
    tenth = float(quenched(np.array(1.0 / 32.0)).tenth)
    assert each.tenth == pytest.approx(tenth, rel=1e-12)
    assert each.edge_gap == pytest.approx(0.4 * SPEED * 100e-6, rel=1e-12)
    length = math.hypot(tenth, 1.8101 * 100e-6)
    assert each.smear == pytest.approx(1.1686 * 0.4 * SPEED * length, rel=1e-12)
    # On a radio two flashes at half the power are worse than one.
    assert each.smear > alone(1.0 / 16.0)


def test_the_studys_own_count_is_multiplied() -> None:
    study = rig("flash.count=3", "flash.power=1/16")
    found = shared(study)
    assert [(each.count, each.power) for each in found] == [(6, 1.0 / 32.0), (12, 1.0 / 64.0)]
    # As bright as it was, so no more frames are too dark than of the three.
    dark = REASONS.index("wrong exposure")
    before = count_hits(study, CHAIN, LAYOUT).as_set[:, dark].sum()
    assert [each.hits.as_set[:, dark].sum() for each in found] == [before, before]


def test_it_stops_where_the_range_of_powers_ends() -> None:
    def counts(*settings: str) -> list[int]:
        return [each.count for each in shared(rig(*settings))]

    assert counts("flash.power=1/32") == [2, 4]
    assert counts("flash.power=1/64") == [2]
    assert counts("flash.power=1/128") == []
    assert counts("flash.power=1/64", "flash.lowest_power=1/256") == [2, 4]
    assert counts("flash.kind=full discharge", "flash.power=1") == []
    # No study may have more than 64 flashes.
    assert counts("flash.power=1/8", "flash.count=32") == [64]
    assert counts("flash.power=1/8", "flash.count=33") == []


def test_the_keepers_are_those_of_that_rig_its_light_where_it_was() -> None:
    study = rig("flash.power=1/4")
    hits = count_hits(study, CHAIN, LAYOUT)
    age = single(nominal_shot(study, CHAIN), "age")
    found = shared(study)
    for each in found:
        more = with_flashes(study, each.count, each.power)
        # closed form: the centroid comes sooner, and half the stagger later
        centroids = [float(quenched(np.array(power)).centroid) for power in (0.25, each.power)]
        delay = study.number(DELAY) + centroids[0] - centroids[1] - 0.5 * 5e-6
        moved = with_values(more, {DELAY: delay})
        assert single(nominal_shot(moved, CHAIN), "age") == pytest.approx(age, abs=1e-11)
        counted = count_hits(moved, CHAIN, LAYOUT)
        for way in WAYS:
            np.testing.assert_array_equal(each.hits.keepers(way), counted.keepers(way))
            # On the same draws as the setting itself: the mean of the differences.
            gain = float((counted.shares(way) - hits.shares(way)).mean())
            assert each.gain[way].value == pytest.approx(gain, abs=1e-12)
    assert found[1].gain["as_trimmed"].value > found[0].gain["as_trimmed"].value > 0.0
