"""The smooth road against closed forms and against the plain road, by rigs of every sort."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.smooth_hits import REPLICATES, SmoothHits, smooth_what_ifs
from jitter.answers.variants import scaled, shifted, with_spread, with_values
from jitter.answers.what_ifs import open_wide
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.quantities import Level, Shape, Spread
from jitter.smooth import shots
from jitter.smooth.plan import make_plan
from jitter.smooth.points import sobol
from jitter.smooth.shots import chances
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import STUDIES, load
from tests.independent_twins import CROWDS
from tests.toy import TOY, deviation, hit_share, toy_study

ERRORS = 4.5
# Student's t of as many sets as there are is passed as seldom as 4.5 by a normal number.
STUDENT = 6.4
SHOTS = 32768
NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


def smooth(study: Study, *, points: int = 32, ways: tuple[str, ...] = WAYS) -> SmoothHits:
    road = open_road(study, CHAIN, wanted=("reason",))
    (found,) = smooth_what_ifs(road, [study], points=points, ways=ways)
    return found


def error(shares: Array) -> float:
    return float(np.std(shares, ddof=1)) / math.sqrt(REPLICATES)


@pytest.mark.parametrize("half_width", [0.5, 4.0, 30.0])
def test_a_straight_age_is_integrated_exactly(half_width: float) -> None:
    study = toy_study(
        half_width=half_width, setup={"a": 1.0, "b": 2.0}, shot={"a": 1.0, "c": 1.5}, frames=3
    )
    road = open_road(study, TOY, wanted=("reason",))
    (found,) = smooth_what_ifs(road, [study], ways=("as_set",), points=1)
    truth = hit_share(half_width, deviation(1.0, 2.0, 1.0, 1.5))
    np.testing.assert_allclose(found.shares("as_set"), truth, rtol=1e-9)


@pytest.mark.parametrize(("half_width", "share"), [(1.0, 1.0), (-1.0, 0.0)])
def test_where_nothing_strays_all_or_none_are_keepers(half_width: float, share: float) -> None:
    road = open_road(toy_study(half_width=half_width), TOY, wanted=("reason",))
    (found,) = smooth_what_ifs(road, [road.study], points=2)
    for way in WAYS:
        np.testing.assert_allclose(found.shares(way), share, atol=1e-12)


def test_a_trimmed_delay_is_integrated_nearly_so() -> None:
    study = toy_study(
        half_width=4.0, setup={"a": 1.0, "b": 2.0}, shot={"a": 1.0, "c": 1.5}, reading=1.0, frames=4
    )
    road = open_road(study, TOY, wanted=("reason",))
    (found,) = smooth_what_ifs(road, [study], ways=("as_trimmed",), points=256)
    # closed form: the shot's 1 and 1.5 ms, and the mean of four such frames and four readings.
    shot = deviation(1.0, 1.5)
    truth = hit_share(4.0, deviation(shot, shot / 2.0, 0.5))
    shares = found.shares("as_trimmed")
    assert float(shares.mean()) == pytest.approx(truth, abs=STUDENT * error(shares))
    # Plain draws of 4096 would leave 0.0035.
    assert error(shares) < 3e-4


@pytest.mark.parametrize("name", ["barn-table", "porch-milk-open-bottle"])
def test_corrections_are_the_same_worked_apart_or_together(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    study = load(name)
    what_ifs = [
        study,
        scaled(study, [("valve.latency", Level.SHOT)], 0.5),
        scaled(study, [("sensor.height", Level.SETUP)], 0.0),
        with_values(study, {"timer.delay": study.number("timer.delay") + 1e-3}),
        with_values(study, {"valve.interval": study.number("valve.interval") - 1e-3}),
    ]
    road = open_wide(study, CHAIN, widest=study)
    plan = make_plan(road, trimmed=True)
    points = sobol(plan.columns, seed=5, replicates=2, points=16)
    monkeypatch.setattr(shots, "APART", math.inf)
    together = chances(plan, what_ifs, points)
    monkeypatch.setattr(shots, "APART", 0)
    np.testing.assert_allclose(chances(plan, what_ifs, points), together, rtol=1e-9, atol=1e-12)
    # And they do differ from one another.
    assert (np.abs(np.diff(together.mean(axis=1))) > 1e-6).all()


@pytest.mark.parametrize("name", NAMES)
def test_both_roads_agree_on_shipped_rigs(name: str) -> None:
    agree(load(name))


@pytest.mark.parametrize("name", CROWDS)
def test_both_roads_agree_where_every_reason_spoils_frames(name: str) -> None:
    twin = CROWDS[name]
    settings = (f"timer.start={twin.start}", *twin.settings)
    if twin.study:
        agree(load(twin.study, *settings))
    else:
        agree(read_study("version = 1", source="twin", chain=CHAIN, settings=settings, seed=3))


@pytest.mark.parametrize("seed", range(24))
def test_both_roads_agree_on_random_rigs(seed: int) -> None:
    agree(random_rig(seed))


def agree(study: Study) -> None:
    # As many shots as the session has frames, so that both roads see all of them alike.
    frames = int(study.number("session.frames"))
    setups = SHOTS // frames
    plain = count_hits(study, CHAIN, Layout(3, setups, frames))
    found = smooth(study)
    for way in WAYS:
        shares, hits = found.shares(way), plain.shares(way)
        spread = math.hypot(error(shares), float(np.std(hits, ddof=1)) / math.sqrt(len(hits)))
        # A set of points without a miss, or draws without a hit, may know no error: one frame.
        spread = max(spread, 1.0 / (setups * frames))
        assert float(shares.mean()) == pytest.approx(float(hits.mean()), abs=STUDENT * spread), way


@pytest.mark.parametrize("name", NAMES)
def test_lines_take_nothing_away(name: str) -> None:
    # What a line integrates the verdict judges without it: the same mean, only less smooth.
    road = open_road(load(name), CHAIN, wanted=("reason",))
    plan = make_plan(road, trimmed=False)
    points = sobol(plan.columns, seed=4, replicates=REPLICATES, points=1024)
    found = []
    for courses in (plan.courses, plan.courses[:1]):
        shares = chances(replace(plan, courses=courses), [road.study], points)
        found.append(shares.reshape(REPLICATES, -1).mean(axis=1))
    both = math.hypot(*(error(shares) for shares in found)) + 1e-6
    assert float(found[0].mean()) == pytest.approx(float(found[1].mean()), abs=STUDENT * both)


def random_rig(seed: int) -> Study:
    """Return a shipped rig in which some spreads and values differ."""
    draws = np.random.default_rng(seed)
    study = load(NAMES[seed % len(NAMES)])
    strays = [
        (key, level)
        for key, entry in study.entries.items()
        for level, spread in ((Level.SETUP, entry.setup), (Level.SHOT, entry.shot))
        if spread.size > 0.0 and not key.startswith("trim.")
    ]
    for place in draws.choice(len(strays), size=6, replace=False):
        study = scaled(study, [strays[place]], float(draws.choice([0.0, 0.3, 1.5, 2.5])))
    shapes = [Shape.RECTANGULAR, Shape.TRIANGULAR, Shape.ARCSINE, Shape.NORMAL]
    spread = Spread(shapes[seed % 4], 0.4e-3 * float(draws.uniform(0.2, 2.0)))
    study = with_spread(study, ["valve.scatter" if seed % 2 else "jet.lean"], Level.SHOT, spread)
    study = with_spread(
        study, ["valve.latency"], Level.SHOT, Spread(shapes[(seed + 1) % 4], 0.5e-3)
    )
    off = float(draws.normal(0.0, 3e-3))
    study = with_values(study, {"timer.delay": study.number("timer.delay") + off})
    return shifted(study, ["sensor.height"], float(draws.normal(0.0, 2e-3)))


def test_what_ifs_in_a_batch_are_as_each_by_itself() -> None:
    study = load("barn-table")
    what_ifs = [
        study,
        scaled(study, [("valve.release_speed", Level.SHOT)], 0.0),
        scaled(study, [("valve.scatter", Level.SHOT)], 2.0),
        scaled(study, [("sensor.miss_chance", Level.SHOT)], 0.0),
        shifted(study, ["sensor.height"], 0.004),
        with_values(study, {"timer.delay": 0.300, "valve.interval": 0.1}),
    ]
    road = open_wide(study, CHAIN, widest=scaled(study, [("valve.release_speed", Level.SHOT)], 2.0))
    for trimmed in (False, True):
        plan = make_plan(road, trimmed=trimmed)
        points = sobol(plan.columns, seed=2, replicates=2, points=16)
        every = chances(plan, what_ifs, points)
        assert every.shape == (6, 32)
        for row, what_if in zip(every, what_ifs, strict=True):
            np.testing.assert_array_equal(row, chances(plan, [what_if], points)[0])
    # More of what harms, fewer keepers; no more misses, more of them.
    means = every.mean(axis=1)
    assert means[1] > means[0]
    assert means[2] < means[0]
    # closed form: the chance that the sensor sees the drop is a factor.
    np.testing.assert_allclose(every[3], every[0] / 0.99, rtol=1e-12)


def test_frames_of_a_session_count_alike() -> None:
    settings = ("session.frames=10", "timer.step=0 us")
    still = smooth(load("barn-table", *settings), points=64, ways=("as_set",))
    drifts = load("barn-table", *settings, "sensor.miss_chance.drift=0.03")
    fewer = smooth(drifts, points=64, ways=("as_set",))
    # closed form: frames 0 to 9 lose 1 % and 3 % more each: 0.99 less 3 % of 4.5.
    ratio = (0.99 - 0.03 * 4.5) / 0.99
    found = fewer.shares("as_set") / still.shares("as_set")
    assert float(found.mean()) == pytest.approx(ratio, abs=STUDENT * error(found) + 1e-9)
    # Known well enough to tell a tenth of what drifts away.
    assert STUDENT * error(found) < (1.0 - ratio) / 10.0


def test_the_blocks_and_threads_change_no_digit(monkeypatch: pytest.MonkeyPatch) -> None:
    study = load("barn-table")
    what_ifs = [scaled(study, [("valve.latency", Level.SETUP)], f) for f in (0.0, 0.5, 1.0, 2.0)]
    road = open_road(what_ifs[-1], CHAIN, wanted=("reason",))
    whole = smooth_what_ifs(road, what_ifs, points=8, workers=1)
    monkeypatch.setattr("jitter.answers.smooth_hits.ROWS", 256)
    parts = smooth_what_ifs(road, what_ifs, points=8, workers=2)
    for one, other in zip(whole, parts, strict=True):
        for way in WAYS:
            np.testing.assert_array_equal(one.shares(way), other.shares(way))


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    text = (STUDIES / "barn-table.toml").read_text(encoding="utf-8")
    study = read_study(text, source="barn", chain=CHAIN)
    truth = float(smooth(study, points=4096, ways=("as_set",)).shares("as_set").mean())
    held, runs = 0, 150
    for seed in range(runs):
        other = read_study(text, source="barn", chain=CHAIN, seed=1000 + seed)
        rate = smooth(other, points=16, ways=("as_set",)).rates["as_set"]
        held += rate.low <= truth <= rate.high
    # Bounds: binomial, 3.5 standard errors about 95 %.
    assert held / runs == pytest.approx(0.95, abs=3.5 * math.sqrt(0.95 * 0.05 / runs))


def test_the_default_study_takes_far_fewer_points_than_plain_draws() -> None:
    shares = smooth(load("barn-table"), points=128, ways=("as_set",)).shares("as_set")
    rate = float(shares.mean())
    plain = rate * (1.0 - rate) / error(shares) ** 2
    # The law, not the number: plain draws of as small an error are hundreds of times as many.
    assert plain > 100 * 16 * 128


@pytest.mark.parametrize(
    "setting", ["valve.interval=400 ms", "timer.delay=100 ms", "flash.dark_chance=100 %"]
)
def test_no_keepers_are_none(setting: str) -> None:
    found = smooth(load("barn-table", setting), points=8)
    for way in WAYS:
        if way == "as_set" or "delay" not in setting:
            assert float(found.shares(way).max()) < 1e-9
        assert 0.0 <= found.rates[way].low <= found.rates[way].high <= 1.0
