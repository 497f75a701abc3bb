"""Where a curve of hit rates crosses a target, against the linear normal family."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from jitter.answers.effort import Effort, Net, rates_of
from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Lineup, close_by, far_sizes, fire_all, near_sizes
from jitter.answers.require.requirement import HitCurve, hit_curve, requirement, sizes_wanted
from jitter.answers.require.roads import open_near
from jitter.answers.require.subject import Subject, subject_of
from jitter.draws.layout import Layout
from jitter.study.study import Study
from jitter.trial import open_road
from tests.answers.test_closed_forms import agrees
from tests.toy import MS, TOY, deviation, hit_share, toy_study

LAYOUT, NET = Layout(seed=5, setups=4096, shots=32), Net(seed=5, points=32)
WIDTH, REST = 4.0, deviation(2.0, 1.0, 0.5)
FRAMES = 8
# closed form: 2 Φ(4/√(9 k² + 5.25)) - 1, the first input's spread scaled by k.
CURVE = {
    0.0: 0.91914440163,
    0.5: 0.855872965184,
    0.75: 0.787088097188,
    1.25: 0.637287278662,
    1.35: 0.610000860113,
}


def study_of(level: str, **more: float) -> Study:
    """Return the toy with a first input of 3 ms at a level, and the others from shot to shot."""
    shot = {"b": 2.0, "c": 1.0, "d": 0.5}
    setup: dict[str, float] = {}
    (setup if level == "setup" else shot)["a"] = 3.0
    return toy_study(half_width=WIDTH, setup=setup, shot=shot, frames=FRAMES, **more)  # type: ignore[arg-type]


def subject_in(study: Study, key: str = "toy.a") -> Subject:
    (source,) = (one for one in sources(study) if one.keys == (key,))
    return subject_of(study, TOY, source)


def worked(
    study: Study, target: float, effort: Effort, *, key: str = "toy.a", offsets: bool = True
) -> Lineup:
    """Return the lines of a toy's input, worked out."""
    subject = subject_in(study, key)
    (reach,) = open_near(study, TOY, [close_by(subject, offsets=offsets)])
    lineup = Lineup(study, subject, reach, target)
    fire_all([lineup], effort)
    return lineup


@cache
def fired(level: str, target: float, effort: Effort = NET) -> Lineup:
    return worked(study_of(level), target, effort)


@pytest.mark.parametrize("level", ["setup", "shot"])
@pytest.mark.parametrize("factor", CURVE)
def test_the_curve_is_the_closed_form(level: str, factor: float) -> None:
    assert hit_share(WIDTH, deviation(3.0 * factor, REST)) == pytest.approx(CURVE[factor])
    study = study_of(level)
    road, size = open_road(study, TOY, wanted=("reason",)), 3.0 * MS * factor
    for effort in (LAYOUT, NET):
        (found,) = rates_of(road, [subject_in(study).sized(study, size)], effort)
        assert agrees(hit_curve({size: found}).rates["as_set"][0], CURVE[factor])


@pytest.mark.parametrize("level", ["setup", "shot"])
@pytest.mark.parametrize("target", [0.65, 0.75, 0.85, 0.9])
@pytest.mark.parametrize("effort", [LAYOUT, NET])
def test_the_largest_spread_is_the_closed_form(level: str, target: float, effort: Effort) -> None:
    need = requirement(hit_curve(fired(level, target, effort).spread.hits), "as_set", target)
    limit = need.limit
    assert limit is not None
    assert (limit.least, limit.whole) == (0.0, False)
    # closed form: Φ(W/sd) = (1 + target)/2, and sd² = a² + 5.25.
    truth = MS * math.sqrt((WIDTH / float(ndtri(0.5 + 0.5 * target))) ** 2 - REST**2)
    assert limit.low < limit.most < limit.high
    # 1.96 of the standard errors lie on either side, 4.5 of them may.
    assert limit.low - 1.3 * (limit.most - limit.low) < truth
    assert truth < limit.high + 1.3 * (limit.high - limit.most)


@pytest.mark.parametrize("target", [0.3, 0.7, 0.9])
def test_where_one_input_strays_alone_points_are_exact(target: float) -> None:
    study = toy_study(half_width=WIDTH, shot={"a": 3.0})
    curve = hit_curve(worked(study, target, NET).spread.hits)
    for size, rate in zip(curve.sizes[1:], curve.rates["as_set"][1:], strict=True):
        assert rate.value == pytest.approx(hit_share(WIDTH, float(size) / MS), abs=1e-9)
    limit, half = requirement(curve, "as_set", target).limit, 1.0 / (NET.sets * NET.points)
    assert limit is not None
    ends = ((limit.most, target), (limit.low, target + half), (limit.high, target - half))
    for end, reached in ends:
        # closed form: 2 Φ(W/a) - 1 is the rate, and no interval is narrower than a point is worth.
        truth = MS * WIDTH / float(ndtri(0.5 + 0.5 * reached))
        assert end == pytest.approx(truth, rel=1e-3)


@pytest.mark.parametrize("target", [0.5, 0.65, 0.7])
@pytest.mark.parametrize("effort", [LAYOUT, NET])
def test_the_largest_offset_is_the_closed_form(target: float, effort: Effort) -> None:
    lines, whole = fired("shot", target, effort), deviation(3.0, REST)

    def short(offset: float) -> float:
        # closed form: P(|e + m| < W) for e normal.
        ends = [float(ndtr((end * WIDTH - offset) / whole)) for end in (-1.0, 1.0)]
        return ends[1] - ends[0] - target

    truth = MS * float(brentq(short, 0.0, 20.0))
    for line in (lines.down, lines.up):
        limit = requirement(hit_curve(line.hits), "as_set", target).limit
        assert limit is not None
        assert limit.low - 1.3 * (limit.most - limit.low) < truth
        assert truth < limit.high + 1.3 * (limit.high - limit.most)


def test_trimming_takes_a_steady_offset_out() -> None:
    lines = fired("shot", 0.65)
    for line in (lines.down, lines.up):
        limit = requirement(hit_curve(line.hits), "as_trimmed", 0.65).limit
        # closed form: the delay follows the mean age, however far off.
        assert limit is not None
        assert limit.whole


def test_the_present_rate_is_worked_out_once_for_all_lines() -> None:
    lines = fired("shot", 0.65)
    present = lines.spread.hits[3.0 * MS]
    assert lines.down.hits[0.0] is present
    assert lines.up.hits[0.0] is present


def test_out_of_reach_is_the_rate_without_the_spread() -> None:
    curve = hit_curve(fired("shot", 0.95).spread.hits)
    for way in WAYS:
        need = requirement(curve, way, 0.95)
        assert need.limit is None
        assert need.best_at == 0.0
    assert agrees(requirement(curve, "as_set", 0.95).best, CURVE[0.0])


@pytest.mark.parametrize("effort", [LAYOUT, NET])
def test_a_wider_spread_may_help_where_the_aim_is_off(effort: Effort) -> None:
    # closed form: e ~ N(m, s²), m beyond W: P rises from 0 and falls again.
    study = study_of("shot")
    off = subject_in(study).off(study, 6.0 * MS)
    curve = hit_curve(worked(off, 0.25, effort, offsets=False).spread.hits)
    assert not curve.falls["as_set"]
    limit = requirement(curve, "as_set", 0.25).limit

    def over(size: float) -> float:
        whole = deviation(size, REST)
        return float(ndtr((WIDTH - 6.0) / whole) - ndtr((-WIDTH - 6.0) / whole)) - 0.25

    assert over(0.0) < 0.0 < over(3.0)
    assert limit is not None
    least = MS * float(brentq(over, 0.0, 3.0))
    most = MS * float(brentq(over, 4.0, 40.0))
    # The rate of draws is known to 4.5 standard errors, 0.13 points each at the most; its slopes
    # here are 1.9 points a millisecond at the near end and 2.5 at the far one.
    slopes = [abs(over(size / MS + 0.01) - over(size / MS - 0.01)) / 0.02 for size in (least, most)]
    error = 0.0
    if isinstance(effort, Layout):
        error = 4.5 * math.sqrt(0.25 * 0.75 / (LAYOUT.setups * LAYOUT.shots))
    assert abs(limit.least - least) < MS * (error / slopes[0]) + 0.01 * least
    assert abs(limit.most - most) < MS * (error / slopes[1]) + 0.01 * most


def rates(*values: float, half: float = 0.01) -> tuple[Estimate, ...]:
    return tuple(Estimate(value, value - half, value + half) for value in values)


def curve_of(*values: float) -> HitCurve:
    made = rates(*values)
    sizes = np.arange(len(values), dtype=float)
    return HitCurve(sizes, dict.fromkeys(WAYS, made), dict.fromkeys(WAYS, True))


def middle(one: float, other: float) -> float:
    return math.sinh(0.5 * (math.asinh(one) + math.asinh(other)))


@pytest.mark.parametrize(
    ("values", "ends"),
    [
        # closed form: the curve goes through its points; target 0.8.
        ((0.83, 0.82, 0.81, 0.8, 0.79, 0.78, 0.77), (0.0, 3.0, 2.0, 4.0, False)),
        ((0.9, 0.85, 0.83, 0.82), (0.0, 3.0, 3.0, 3.0, True)),
        ((0.83, 0.82, 0.81, 0.8), (0.0, 3.0, 2.0, 3.0, True)),
        # closed form: between two levels, or turns, it is half way at the middle of arsinh.
        ((0.7, 0.7, 0.9, 0.9, 0.7, 0.7), (middle(1.0, 2.0), middle(3.0, 4.0), None, None, False)),
        ((0.7, 0.9, 0.7, 0.9, 0.7), (None, middle(1.0, 2.0), None, None, False)),
        # None of the sizes is sure to reach it.
        ((0.805, 0.7, 0.95, 0.9), (0.0, None, 0.0, None, False)),
    ],
)
def test_the_first_stretch_that_reaches_counts(
    values: tuple[float, ...],
    ends: tuple[float | None, float | None, float | None, float | None, bool],
) -> None:
    limit = requirement(curve_of(*values), "as_set", 0.8).limit
    assert limit is not None
    found = (limit.least, limit.most, limit.low, limit.high)
    for one, truth in zip(found, ends[:4], strict=True):
        assert truth is None or one == pytest.approx(truth, abs=1e-9)
    assert limit.low <= limit.most <= limit.high
    assert limit.whole is ends[4]


def test_a_curve_below_the_target_has_no_limit() -> None:
    need = requirement(curve_of(0.7, 0.75, 0.75, 0.6), "as_set", 0.8)
    assert need.limit is None
    # The smaller of two sizes that are as good.
    assert (need.best.value, need.best_at) == (0.75, 1.0)


def test_it_is_looked_closer_where_the_curve_crosses_only() -> None:
    straight = (0.83, 0.82, 0.81, 0.795, 0.785, 0.775)
    limit = requirement(curve_of(*straight), "as_set", 0.8).limit
    assert limit is not None
    assert sizes_wanted(curve_of(*straight), 0.8) == {limit.most}
    assert sizes_wanted(curve_of(0.9, 0.85, 0.83, 0.82), 0.8) == set()
    # Nothing is looked for so near a size that is known.
    assert sizes_wanted(curve_of(0.83, 0.82, 0.81, 0.8, 0.79), 0.8) == set()
    # Where it is reached to the end, how far it surely is.
    (sure,) = sizes_wanted(curve_of(0.84, 0.83, 0.82, 0.815, 0.805), 0.8)
    assert 3.0 < sure < 4.0


def test_a_curve_turns_nowhere_between_its_sizes() -> None:
    curve = curve_of(0.9, 0.89, 0.7, 0.69, 0.3)
    fine = np.linspace(0.0, 4.0, 401)
    for part in curve.between("as_set", fine):
        assert (np.diff(part) <= 1e-12).all()
    for place, rate in enumerate(curve.rates["as_set"]):
        assert curve.at("as_set", float(place)) == pytest.approx(rate.value)


def test_sizes_go_from_none_to_the_end() -> None:
    assert near_sizes(1.0, 3.0) == {0.0, 0.5, 1.0, 2.0, 3.0}
    assert near_sizes(1.0, 1.0) == {0.0, 0.5, 1.0}
    assert max(near_sizes(0.0, 8.0)) == 8.0
    assert far_sizes(4.0, 100.0) == {16.0, 64.0, 100.0}


def test_noise_does_not_make_a_curve_rise() -> None:
    # Trimming in steps of 1 ms takes a set-up error out but for half a step, whatever its size.
    study = study_of("setup", step=1.0)
    subject = subject_in(study)
    small = Layout(seed=9, setups=200, shots=20)
    sizes = np.linspace(3.0, 40.0, 20) * MS
    hits = {float(size): count_hits(subject.sized(study, size), TOY, small) for size in sizes}
    raw = [hits[size].rates["as_trimmed"].value for size in sorted(hits)]
    assert raw != sorted(raw, reverse=True)
    curve = hit_curve(hits)
    assert curve.falls["as_trimmed"]
    values = [rate.value for rate in curve.rates["as_trimmed"]]
    assert values == sorted(values, reverse=True)
    # closed form: isotonic regression keeps the mean.
    assert np.mean(values) == pytest.approx(np.mean(raw))


@pytest.mark.parametrize("level", ["setup", "shot"])
def test_the_interval_covers_as_often_as_it_says(level: str) -> None:
    target, repetitions, covered = 0.75, 300, 0
    truth = MS * math.sqrt((WIDTH / float(ndtri(0.5 + 0.5 * target))) ** 2 - REST**2)
    for seed in range(repetitions):
        study = replace(study_of(level), seed=seed)
        layout = Layout(seed, setups=256, shots=16)
        lines = worked(study, target, layout, offsets=False)
        limit = requirement(hit_curve(lines.spread.hits), "as_set", target).limit
        covered += limit is not None and limit.low <= truth <= limit.high
    # closed form: 4.5 standard errors of a share of 0.95.
    error = math.sqrt(0.95 * 0.05 / repetitions)
    assert abs(covered / repetitions - 0.95) < 4.5 * error
