"""The exposure is kept right at every power by each means, as the chain itself sees it."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.power.keeping import (
    DELAY,
    DISTANCE,
    GUIDE,
    LIMITS,
    MEANS,
    POWER,
    Setting,
    absolute,
    is_relative,
    keep,
    limits,
)
from jitter.answers.tune.prepared import prepared
from jitter.answers.variants import with_values
from jitter.draws.layout import Block, Layout
from jitter.quantities import NONE
from jitter.stage import Chain
from jitter.stages import CHAIN
from jitter.study.study import Nominal, Study
from jitter.trial import fire, nominal_shot, open_road, single
from tests.conftest import load

HALF_A_THIRD = 1.0 / 6.0
CHANGED = (
    *(POWER, DELAY, GUIDE, DISTANCE, "flash.count", "flash.loss", "camera.aperture", "camera.iso"),
    *("camera.magnification", "camera.pupil_ratio"),
)


@cache
def measured() -> tuple[Study, Chain]:
    """Return a rig with a guide number, and the chain with the table of its falls."""
    study = load("barn-table", "flash.guide_number=20 m", "flash.distance=1 m", "flash.count=2")
    return study, prepared(study, CHAIN, CHANGED)


def shot(study: Study, name: str) -> float:
    """Return an event of the shot of a variant of `measured` in which nothing strays."""
    return single(nominal_shot(study, measured()[1]), name)


def kept(study: Study, means: str, power: float, *, relative: bool = False) -> Setting:
    """Return what keeps a variant of `measured` right at a power."""
    return keep(
        study,
        means=means,
        ends=limits(load("barn-table") if relative else study, means),
        power=power,
        exposure=shot(with_values(study, {POWER: power}), "exposure"),
        delay=0.25,
        relative=relative,
    )


def beside_a_mark(means: str, own: float) -> float:
    """Return by how many stops one's own value is off the mark that it stands for."""
    if means == "distance":
        return 0.0
    thirds = 6.0 * math.log2(own) if means == "aperture" else 3.0 * math.log2(own / 100.0)
    return abs(thirds - round(thirds)) / 3.0


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Draw evenly in stops."""
    return st.floats(math.log2(low), math.log2(high)).map(lambda stops: 2.0**stops)


RIGS = st.fixed_dictionaries(
    {
        POWER: between(1.0 / 1024.0, 1.0),
        "camera.aperture": between(1.0, 64.0),
        "camera.iso": between(25.0, 12800.0),
        "camera.magnification": between(0.05, 5.0),
        "camera.pupil_ratio": between(0.3, 3.0),
        GUIDE: between(1.0, 200.0),
        DISTANCE: between(0.06, 5.0),
        "flash.count": st.integers(1, 16).map(float),
        "flash.loss": st.floats(0.0, 8.0),
    }
)


@settings(deadline=None, max_examples=150)
@given(values=RIGS, power=between(1.0 / 1024.0, 1.0), means=st.sampled_from(sorted(MEANS)))
def test_the_chain_sees_the_exposure_that_a_setting_promises(
    values: dict[str, Nominal], power: float, means: str
) -> None:
    study = with_values(measured()[0], values)
    setting = kept(study, means, power)
    # closed form: light goes with GN² p k S 2^-L / (N (1 + m/P) d)², and the chain alone knows how
    # much of it there is; what is left over is what the setting says.
    assert shot(setting.study, "exposure") == pytest.approx(2.0**setting.off, rel=1e-9)
    low, high = limits(study, means)
    assert low <= setting.value <= high
    if low < setting.wanted < high:
        exact = with_values(setting.study, {MEANS[means]: setting.wanted})
        assert shot(exact, "exposure") == pytest.approx(1.0, rel=1e-9)
        own = study.number(MEANS[means])
        # closed form: a mark is at most half a third of a stop off; one's own value may be as much
        # farther off as it is beside the mark it stands for.
        idle = beside_a_mark(means, own) if setting.value == own else 0.0
        assert abs(setting.off) <= HALF_A_THIRD + idle + 1e-9
    assert setting.reached == (abs(setting.off) <= study.number("keeper.exposure") + 1e-9)
    changed = {POWER: power, DELAY: 0.25, MEANS[means]: setting.value}
    assert setting.study == with_values(study, dict(changed))


@settings(deadline=None, max_examples=60)
@given(values=RIGS, power=between(1.0 / 1024.0, 1.0), means=st.sampled_from(sorted(MEANS)))
def test_a_study_whose_exposure_is_relative_is_kept_right_against_its_own_settings(
    values: dict[str, Nominal], power: float, means: str
) -> None:
    study = with_values(measured()[0], {**values, GUIDE: None, DISTANCE: None, "flash.loss": None})
    based = absolute(study, nominal_shot(study, measured()[1]))
    # closed form: its own settings are right, whatever guide number and distance stand for them,
    # be they beyond what a flash or a room can be
    assert shot(based, "exposure") == pytest.approx(1.0, rel=1e-9)
    setting = kept(based, means, power, relative=True)
    assert shot(setting.study, "exposure") == pytest.approx(2.0**setting.off, rel=1e-9)
    if means == "distance":
        # closed form: light goes with the square of the distance; three figures are told, so that
        # at most a half in a hundred is lost, twice log2(1.005) of a stop
        ratio = math.sqrt(power / study.number(POWER))
        assert setting.wanted == pytest.approx(ratio, rel=1e-9)
        assert setting.value == pytest.approx(ratio, rel=0.005)
        assert float(f"{setting.value:.3g}") == setting.value
        assert abs(setting.off) <= 2.0 * math.log2(1.0 / 0.995) + 1e-9


def test_where_the_gear_ends_the_setting_ends_and_says_by_how_much() -> None:
    values: dict[str, Nominal] = {"camera.aperture": 16.0, "camera.iso": 100.0, DISTANCE: 0.3}
    study = with_values(measured()[0], values)
    shut, full = (kept(study, means, 1.0) for means in ("aperture", "iso"))
    over = math.log2(shot(with_values(study, {POWER: 1.0}), "exposure"))
    # closed form: from f/16 to the lens's end at f/32 are two stops; ISO 100 is the end already
    assert (shut.value, full.value) == (32.0, 100.0)
    assert shut.off == pytest.approx(over - 2.0)
    assert full.off == pytest.approx(over)
    assert over > 2.5
    assert not shut.reached
    assert not full.reached
    assert (shut.wanted > 32.0, full.wanted < 100.0) == (True, True)


def test_the_ends_are_the_users_or_the_usual_ones_or_ones_own() -> None:
    study = measured()[0]
    # common practice, no source: what a question takes lenses, cameras and rooms to reach
    assert limits(study, "aperture") == (2.8, 32.0)
    assert limits(study, "iso") == (100.0, 1600.0)
    assert limits(study, "distance") == (0.15, 3.0)
    for means, low, high in (
        ("aperture", 2.0, 45.0),
        ("iso", 50.0, 6400.0),
        ("distance", 0.1, 4.0),
    ):
        key = MEANS[means]
        assert limits(with_values(study, {key: low}), means) == (low, LIMITS[means][3])
        assert limits(with_values(study, {key: high}), means) == (LIMITS[means][2], high)


def test_the_ends_that_a_study_gives_are_read() -> None:
    study = load(
        "barn-table",
        *("flash.guide_number=20 m", "flash.nearest=20 cm", "flash.farthest=80 cm"),
        *("camera.widest_aperture=f/4", "camera.narrowest_aperture=f/22"),
        *("camera.lowest_iso=64", "camera.highest_iso=800"),
    )
    assert limits(study, "aperture") == (4.0, 22.0)
    assert limits(study, "iso") == (64.0, 800.0)
    assert limits(study, "distance") == (0.2, 0.8)
    assert limits(load("barn-table", "camera.narrowest_aperture=f/22"), "aperture") == (2.8, 22.0)
    # Without a guide number nobody knows how far away one is: the distance has no ends.
    assert limits(load("barn-table"), "distance") == (0.0, math.inf)


@pytest.mark.parametrize("power", [0.25, 0.1, 1.0 / 32.0, 0.021])
def test_what_is_set_is_a_mark(power: float) -> None:
    # The mark of f/10 is 2^(20/6).
    study = with_values(measured()[0], {"camera.aperture": 2.0 ** (20.0 / 6.0), DISTANCE: 1.1})
    aperture, speed, away = (kept(study, means, power) for means in MEANS)
    assert all(setting.reached for setting in (aperture, speed, away))
    # closed form: thirds of a stop are sixths of a doubling of the aperture number, counted from
    # f/1, and thirds of one of the speed, counted from ISO 100
    for marks in (
        6.0 * math.log2(aperture.value),
        3.0 * math.log2(speed.value / 100.0),
        away.value / 0.005,
    ):
        assert marks == pytest.approx(round(marks), abs=1e-9)


def test_ones_own_value_stays_where_nothing_else_is_wanted() -> None:
    # f/13 is written for f/12.7, ISO 125 for 126, and nobody moves a flash by 2 mm.
    own: dict[str, Nominal] = {"camera.aperture": 13.0, "camera.iso": 125.0, DISTANCE: 0.303}
    study = with_values(measured()[0], own)
    # A guide number that makes its own settings right.
    right = with_values(study, {GUIDE: 20.0 / math.sqrt(shot(study, "exposure"))})
    for means, key in MEANS.items():
        at_home = kept(right, means, right.number(POWER))
        assert at_home.value == own[key]
        assert at_home.off == pytest.approx(0.0, abs=1e-9)
        # A third of a stop on there is another mark.
        assert kept(right, means, right.number(POWER) * 2.0 ** (1.0 / 3.0)).value != own[key]


@pytest.mark.parametrize("name", ["barn-table", "kitchen-glycerol", "hill-hut-dimmed-strobe"])
@pytest.mark.parametrize("count", [(), ("flash.count=3",)])
def test_a_relative_study_made_absolute_changes_no_event_of_a_shot(
    name: str, count: tuple[str, ...]
) -> None:
    study = load(name, *count)
    nominal = nominal_shot(study, CHAIN)
    based = absolute(study, nominal)
    assert is_relative(study)
    assert not is_relative(based)
    again = nominal_shot(based, CHAIN)
    for event in (event for stage in CHAIN.stages for event in stage.gives):
        if event == "exposure":
            assert single(again, event) == pytest.approx(single(nominal, event), rel=1e-12)
        elif isinstance(nominal[event], np.ndarray):
            np.testing.assert_array_equal(again[event], nominal[event])
    layout = Layout(study.seed, 128, 16)
    drawn, drawn_again = (
        fire(open_road(each, CHAIN), Block(layout, 0, 128, 0, 16)) for each in (study, based)
    )
    for way in WAYS:
        one, other = getattr(drawn, way), getattr(drawn_again, way)
        # closed form: guide number and distance do not stray, so the flash's energy alone does
        np.testing.assert_allclose(other["exposure"], one["exposure"], rtol=1e-12)
        np.testing.assert_array_equal(other["reasons"], one["reasons"])
    hits, hits_again = (count_hits(each, CHAIN, layout) for each in (study, based))
    np.testing.assert_array_equal(hits.as_set, hits_again.as_set)
    np.testing.assert_array_equal(hits.as_trimmed, hits_again.as_trimmed)


def test_a_study_with_a_guide_number_is_left_alone() -> None:
    study = measured()[0]
    assert absolute(study, {}) is study


def test_a_relative_study_has_no_tape_measure() -> None:
    study = load(
        "barn-table", "camera.aperture=f/32", "camera.magnification=2", "flash.power=1/128"
    )
    based = absolute(study, nominal_shot(study, CHAIN))
    for key in (GUIDE, DISTANCE):
        assert (based.entries[key].setup, based.entries[key].shot) == (NONE, NONE)
    # closed form: GN = N (1 + m) d / √(p S/100) = 32 · 3 · √(128/2) at a distance of 1
    assert based.number(GUIDE) == pytest.approx(768.0)
    # At half the speed and a quarter of the power it would be 2172 m, more than any flash has: no
    # matter, since it stands for a trial.
    far = with_values(study, {"camera.iso": 100.0, POWER: 1.0 / 512.0})
    beyond = absolute(far, nominal_shot(far, CHAIN))
    assert beyond.number(GUIDE) == pytest.approx(96.0 * math.sqrt(512.0))
    assert single(nominal_shot(beyond, CHAIN), "exposure") == pytest.approx(1.0)
