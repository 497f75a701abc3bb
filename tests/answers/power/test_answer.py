"""`jitter power` on whole rigs: what it counts, what it recommends, what it leaves alone."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from jitter.answers.hits import WAYS, Hits, count_hits, difference
from jitter.answers.power.answer import FRESH, PowerAnswer, answer_power
from jitter.answers.power.choosing import Pick, best_of, most_keepers
from jitter.answers.power.keeping import MEANS
from jitter.answers.warnings import find_warnings
from jitter.draws.layout import CELL, Layout
from jitter.stages import CHAIN
from jitter.stages.verdict import REASONS
from jitter.trial import single
from tests.conftest import load

SETUPS, SHOTS = 128, 8
STEADY = (
    'flash.duration_scale={ nominal = 1.0, setup = "none", shot = "none" }',
    'timer.clock_error={ nominal = 0, setup = "none" }',
    "keeper.exposure=9 stop",
)
"""A light whose middle is followed to the last digit, and no frame too dark or too bright."""


@cache
def answer(
    name: str,
    *settings: str,
    worth: float = 0.01,
    way: str = "as_set",
    means: tuple[str, ...] = tuple(MEANS),
) -> PowerAnswer:
    study = load(name, *settings)
    return answer_power(study, CHAIN, setups=SETUPS, shots=SHOTS, worth=worth, way=way, means=means)


def recommended(found: PowerAnswer) -> Pick:
    """Return the recommended setting of an answer that has one."""
    assert found.best is not None
    return found.best.pick


def same(one: Hits, other: Hits) -> bool:
    """Return whether two counts are the same in every set-up and reason."""
    tables = zip((one.as_set, one.as_trimmed), (other.as_set, other.as_trimmed), strict=True)
    return all(np.array_equal(mine, theirs) for mine, theirs in tables)


def every(found: PowerAnswer) -> list[Hits]:
    """Return all counts of an answer."""
    best = [] if found.best is None else [found.best, *found.beside]
    return [
        *(tried.hits for rung in found.rungs for tried in rung.tried.values()),
        found.own,
        *(each.hits for each in best),
        *(each.hits for each in found.several),
    ]


def test_the_threads_change_no_digit() -> None:
    study = load("barn-table", "flash.power_step=2 stop", "flash.lowest_power=1/256")
    # More than one piece of work in the search already.
    setups, shots = 512, 64
    assert setups * shots > CELL
    one, two = (
        answer_power(study, CHAIN, means=("distance",), setups=setups, shots=shots, workers=workers)
        for workers in (1, 2)
    )
    # Five powers, the study itself, what is best and its neighbours, four times as many flashes;
    # twice as many would be at a power between two steps.
    assert len(every(one)) == len(every(two)) == 10
    assert all(same(mine, theirs) for mine, theirs in zip(every(one), every(two), strict=True))
    assert [rung.bands for rung in one.rungs] == [rung.bands for rung in two.rungs]
    assert recommended(one).rung.power == recommended(two).rung.power
    assert one.gain == two.gain


@pytest.mark.parametrize("name", ["barn-table", "hill-hut-dimmed-strobe"])
def test_a_setting_is_counted_as_if_fired_by_itself(name: str) -> None:
    found = answer(name)
    assert found.layout == Layout(found.study.seed, SETUPS, SHOTS)
    for rung in found.rungs:
        for tried in rung.tried.values():
            # The same draws, and the same table of falls, since no setting touches a fall.
            assert same(tried.hits, count_hits(tried.setting.study, CHAIN, found.layout))
    # The study itself counts as it does without the question.
    assert same(found.own, count_hits(found.study, CHAIN, found.fresh))


def test_what_is_recommended_is_confirmed_on_fresh_draws() -> None:
    found = answer("barn-table")
    assert found.best is not None
    assert found.fresh == Layout(found.study.seed + 1, FRESH * SETUPS, SHOTS)
    for each in (found.best, *found.beside):
        pick = each.pick
        assert same(each.hits, count_hits(pick.tried.setting.study, CHAIN, found.fresh))
        assert not np.array_equal(each.hits.as_set[:SETUPS], pick.tried.hits.as_set)
        for way in WAYS:
            assert each.gain[way] == difference(each.hits, found.best.hits, way)
    assert [each.pick.rung.power for each in found.beside] == [1.0 / 16.0, 1.0 / 64.0]
    assert found.gain == {way: difference(found.best.hits, found.own, way) for way in WAYS}
    assert found.several[0].gain == {
        way: difference(found.several[0].hits, found.best.hits, way) for way in WAYS
    }


def test_own_settings_are_searched_and_fired_anew() -> None:
    found = answer("barn-table")
    assert same(found.searched, count_hits(found.study, CHAIN, found.layout))
    # One of the settings searched is one's own.
    assert any(
        same(found.searched, tried.hits) for rung in found.rungs for tried in rung.tried.values()
    )


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(
    ("setting", "mistimed"),
    [
        ("timer.delay=308 ms", True),
        ("timer.delay=280 ms", True),
        ("timer.delay=294 ms", False),
        # No delay brings what no drop meets.
        ("valve.interval=400 ms", False),
    ],
)
def test_a_delay_that_misses_by_itself_is_judged_after_trimming(
    setting: str, mistimed: bool, way: str
) -> None:
    found = answer("barn-table", setting, way=way, means=("iso",))
    assert bool(found.unaimed) is mistimed
    assert found.way == ("as_trimmed" if mistimed else way)
    if mistimed:
        assert found.unaimed in found.warnings
        assert found.best is not None
        assert found.by_means["iso"].tried.hits.rates["as_trimmed"].value > 0.5


def test_the_best_power_lies_between_the_brightest_and_the_darkest() -> None:
    found = answer("barn-table")
    pick = recommended(found)
    assert pick.tried.setting.means == "aperture"
    # With the light as dear as it is by default: less of it costs keepers no more, but light.
    assert found.worth == 0.01
    for means in MEANS:
        reached = [rung.power for rung in found.rungs if rung.tried[means].setting.reached]
        assert min(reached) < found.by_means[means].rung.power
    for means in ("aperture", "distance"):
        reached = [rung.power for rung in found.rungs if rung.tried[means].setting.reached]
        assert found.by_means[means].rung.power < max(reached)


def test_a_sheet_that_must_be_deep_has_its_best_power_in_between_whatever_light_is_worth() -> None:
    found = answer("barn-table", "keeper.depth=10 mm", worth=0.0, means=("aperture",))
    kept = {
        rung.power: rung.tried["aperture"].hits.rates["as_set"]
        for rung in found.rungs
        if rung.tried["aperture"].setting.reached
    }
    best = recommended(found).rung.power
    # Brighter light lasts longer and smears; darker light opens the lens, and the ends are soft.
    assert min(kept) < best < max(kept)
    assert best == max(kept, key=lambda power: kept[power].value)
    assert kept[best].low > kept[max(kept)].high
    assert kept[best].low > kept[min(kept)].high
    # closed form: at f/9 the rim 10 mm before the focus draws a disc of 0.16 · 10 mm/(9 · 1.4)
    soft = found.rungs[-1].tried["aperture"]
    assert 0.16 * 0.010 / soft.working_aperture > found.study.number("keeper.blur")
    assert kept[min(kept)].value == 0.0


def test_of_a_flash_that_lasts_longer_with_less_power_the_brightest_is_best() -> None:
    for worth in (0.0, 0.01):
        found = answer("hill-hut-dimmed-strobe", worth=worth)
        assert recommended(found).rung.power == found.rungs[0].power == 1.0
        rates = [rung.tried["distance"].hits.rates["as_set"].value for rung in found.rungs]
        assert rates == sorted(rates, reverse=True)
        assert [each.pick.rung.power for each in found.beside] == [0.25]


def test_an_exposure_that_nobody_can_set_right_is_answered_with_none() -> None:
    found = answer(
        "barn-table",
        *("flash.guide_number=0.5 m", "flash.distance=3 m", "flash.nearest=2.9 m"),
        "camera.widest_aperture=f/8",
    )
    assert found.best is None
    assert (found.gain, found.beside, found.by_means, found.several) == ({}, (), {}, ())
    assert len(found.rungs) == 8
    # closed form: 2 log2(GN √(p S/100)/(N (1 + m) d)) = 2 log2(0.5 √(2/64)/(13 · 1.4 · 3))
    expected = 2.0 * math.log2(0.5 * math.sqrt(2.0 / 64.0) / (13.0 * 1.4 * 3.0))
    assert found.off == pytest.approx(expected)
    assert found.own.keepers("as_set").sum() == 0
    # Whatever else is right with a frame, it is too dark.
    dark = REASONS.index("wrong exposure")
    assert found.own.as_set[:, dark].sum() > 0.5 * found.own.as_set.sum()


def test_where_no_drop_meets_a_jet_no_light_is_recommended() -> None:
    found = answer("barn-table", "valve.interval=400 ms")
    assert found.best is None
    assert most_keepers(found.rungs, found.means, found.way) == 0.0
    assert all(tried.setting.reached for tried in [found.rungs[-2].tried[m] for m in MEANS])
    assert math.isnan(found.speeds.rim)


@pytest.mark.parametrize("settings", [(), ("flash.count=2", "flash.stagger=30 us")])
def test_shorter_light_never_adds_smear(settings: tuple[str, ...]) -> None:
    found = answer(
        "barn-table",
        *(*STEADY, *settings, "keeper.blur=30 um", "flash.power_step=1/3 stop"),
        means=("distance",),
    )
    smeared = REASONS.index("smeared")
    for way in WAYS:
        tables = [getattr(rung.tried["distance"].hits, way) for rung in found.rungs]
        assert len(tables) == 22
        for brighter, darker in pairwise(tables):
            # closed form: the same frames at the same moments, their streaks shorter by a factor
            assert np.all(darker[:, smeared] <= brighter[:, smeared])
            assert np.all(darker[:, -1] >= brighter[:, -1])
        shares = [table[:, smeared].sum() / table.sum() for table in tables]
        assert shares[0] > 2.0 * shares[-1]


def test_each_way_recommends_by_its_own_keepers() -> None:
    both = [answer("church-hall-inches", way=way) for way in WAYS]
    for way, found in zip(WAYS, both, strict=True):
        assert found.way == way
        told = {found.means: recommended(found)}
        for means, pick in (told | {(one,): found.by_means[one] for one in MEANS}).items():
            expected = best_of(found.rungs, means, worth=0.01, way=way)
            assert expected is not None
            assert (pick.rung is expected.rung, pick.tried is expected.tried) == (True, True)
    # On this rig they are not of one mind.
    as_set, as_trimmed = both
    assert recommended(as_set).rung.power != recommended(as_trimmed).rung.power
    assert as_set.rungs[0].bands.rim != as_trimmed.rungs[0].bands.rim


def test_dearer_light_recommends_more_of_it() -> None:
    powers = [
        recommended(answer("barn-table", worth=worth, means=("distance",))).rung.power
        for worth in (0.0, 0.01, 0.05, 0.2, 1.0)
    ]
    assert powers == sorted(powers)
    assert powers[0] < 1.0 / 16.0
    assert powers[-1] == 1.0


def test_only_the_means_asked_for_are_tried() -> None:
    found = answer("barn-table", means=("distance", "iso"))
    assert found.means == tuple(found.ends) == ("iso", "distance")
    assert all(set(rung.tried) == {"iso", "distance"} for rung in found.rungs)
    assert recommended(found).tried.setting.means == "iso"


def test_a_study_with_a_guide_number_is_judged_as_it_is() -> None:
    found = answer("barn-table", "flash.guide_number=20 m")
    assert not found.relative
    # closed form: 20 m · √(2/64) over 13 · 1.4 · 0.3 m, in stops
    assert found.off == pytest.approx(2.0 * math.log2(20.0 * math.sqrt(2.0 / 64.0) / (18.2 * 0.3)))
    assert found.off < -1.0
    # A stop too dark, and half a stop is what a keeper may have.
    assert found.own.rates["as_set"].value < 0.01
    assert found.gain["as_set"].low > 0.5
    # closed form: d = GN √(p S/100)/(N (1 + m)), which a tape measure tells to 5 mm, 15 cm at the
    # nearest
    for rung in found.rungs:
        marks = max(round(20.0 * math.sqrt(2.0 * rung.power) / 18.2 / 0.005), 30)
        assert rung.tried["distance"].setting.value == pytest.approx(0.005 * marks)
    trial = answer("barn-table")
    for rung in trial.rungs:
        # closed form: by trial it is a multiple of one's own distance, at 1/64, to three figures
        times = float(f"{8.0 * math.sqrt(rung.power):.3g}")
        assert rung.tried["distance"].setting.value == times
    assert trial.relative
    assert trial.off == 0.0


def test_the_warnings_are_those_of_the_study() -> None:
    found = answer("barn-table", "pool.depth=10 mm")
    assert found.warnings == find_warnings(found.study, found.nominal)
    assert len(found.warnings) > len(answer("barn-table").warnings)


@pytest.mark.parametrize("width", [13.2, 23.5])
def test_a_smaller_sensor_with_the_same_framing_takes_the_same_light(width: float) -> None:
    def framed(frame: float) -> tuple[float, PowerAnswer]:
        """Return the aperture and the answer for a sensor so wide [mm], 90 mm in the frame."""
        share, size = frame / 36.0, frame / 90.0
        # closed form: discs of defocus, m²/N_eff, and of diffraction, λ N_eff, both shrink with
        # the sensor where the working aperture N (1 + m) does
        aperture = 13.0 * 1.4 * share / (1.0 + size)
        return aperture, answer(
            "church-hall-inches",
            *(f"camera.frame_width={frame} mm", "camera.field_width=90 mm"),
            *(f"camera.aperture=f/{aperture:.12f}", f"camera.pixel={6.0 * share} um"),
            *(f"keeper.blur={90.0 * share} um", "keeper.depth=10 mm"),
        )

    share = width / 36.0
    (_, full), (aperture, small) = framed(36.0), framed(width)
    assert single(small.nominal, "magnification") == pytest.approx(width / 90.0, rel=1e-12)
    assert full.study.number("camera.aperture") == pytest.approx(13.0)
    assert same(full.own, small.own)
    for one, other in zip(full.rungs, small.rungs, strict=True):
        mine, theirs = one.tried["distance"], other.tried["distance"]
        assert mine.setting.value == theirs.setting.value
        # Everything on the sensor shrinks with it, the limit too: the same frames are kept.
        assert same(mine.hits, theirs.hits)
        assert other.drop == pytest.approx(share * one.drop, rel=1e-9)
        assert theirs.diffraction == pytest.approx(share * mine.diffraction, rel=1e-9)
        assert theirs.depth_of_field == pytest.approx(mine.depth_of_field, rel=1e-9)
    best, small_best = recommended(full), recommended(small)
    assert small_best.tried.setting.means == best.tried.setting.means == "aperture"
    assert small_best.rung.power == best.rung.power
    assert small_best.rung.power != full.study.number("flash.power")
    # closed form: two marks, each half a third of a stop off its own wanted aperture at most, but
    # for the twelfth of a stop that f/13 and its like are beside theirs
    ratio = small_best.tried.working_aperture / (share * best.tried.working_aperture)
    assert abs(2.0 * math.log2(ratio)) <= 1.0 / 3.0 + 1.0 / 12.0
    assert small_best.tried.setting.value < best.tried.setting.value
    assert aperture < 13.0


def test_lenses_of_any_length_at_one_size_take_the_same_light() -> None:
    unknown = answer("barn-table", "keeper.depth=10 mm")
    for length in (0.035, 0.060, 0.105, 0.200):
        found = answer("barn-table", "keeper.depth=10 mm", f"camera.focal_length={length} m")
        assert len(every(found)) == len(every(unknown))
        assert all(same(one, two) for one, two in zip(every(found), every(unknown), strict=True))
        assert recommended(found).rung.power == recommended(unknown).rung.power
        assert recommended(found).tried.setting.value == recommended(unknown).tried.setting.value
        # closed form: f (1 + 1/m) from the plane of focus
        expected = length * (1.0 + 1.0 / 0.4)
        assert single(found.nominal, "working_distance") == pytest.approx(expected, rel=1e-12)
        # closed form: the depth of field is longer by 1/(1 - (c N/(f m))²), a hundredth at most
        tried, other = recommended(found).tried, recommended(unknown).tried
        part = 1.0 - (30e-6 * tried.setting.value / (length * 0.4)) ** 2
        assert tried.depth_of_field == pytest.approx(other.depth_of_field / part, rel=1e-9)
        assert part > 0.99
