"""Where a curve of hit rates crosses a target, against the linear normal family."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Line, Lineup, far_sizes, near_sizes
from jitter.answers.require.requirement import HitCurve, hit_curve, requirement, sizes_between
from jitter.answers.require.subject import Subject, subject_of
from jitter.draws.layout import Layout
from jitter.study.study import Study
from tests.answers.test_closed_forms import agrees
from tests.toy import MS, TOY, deviation, hit_share, toy_study

LAYOUT = Layout(seed=5, setups=4096, shots=32)
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


@cache
def fired(level: str, target: float) -> tuple[Line, Line, Line]:
    study = study_of(level)
    return Lineup(study, TOY, subject_in(study), target, LAYOUT).fire()


@pytest.mark.parametrize("level", ["setup", "shot"])
@pytest.mark.parametrize("factor", CURVE)
def test_the_curve_is_the_closed_form(level: str, factor: float) -> None:
    assert hit_share(WIDTH, deviation(3.0 * factor, REST)) == pytest.approx(CURVE[factor])
    study = study_of(level)
    subject = subject_in(study)
    hits = count_hits(subject.sized(study, 3.0 * MS * factor), TOY, LAYOUT)
    curve = hit_curve({3.0 * MS * factor: hits})
    assert agrees(curve.rates["as_set"][0], CURVE[factor])


@pytest.mark.parametrize("level", ["setup", "shot"])
@pytest.mark.parametrize("target", [0.65, 0.75, 0.85, 0.9])
def test_the_largest_spread_is_the_closed_form(level: str, target: float) -> None:
    need = requirement(hit_curve(fired(level, target)[0].hits), "as_set", target)
    limit = need.limit
    assert limit is not None
    assert (limit.least, limit.whole) == (0.0, False)
    # closed form: Φ(W/sd) = (1 + target)/2, and sd² = a² + 5.25.
    truth = MS * math.sqrt((WIDTH / float(ndtri(0.5 + 0.5 * target))) ** 2 - REST**2)
    # 1.96 of the standard errors lie on either side, 4.5 of them may.
    assert limit.low - 1.3 * (limit.most - limit.low) < truth
    assert truth < limit.high + 1.3 * (limit.high - limit.most)
    assert limit.low < limit.most < limit.high


@pytest.mark.parametrize("target", [0.5, 0.65, 0.7])
def test_the_largest_offset_is_the_closed_form(target: float) -> None:
    _, down, up = fired("shot", target)
    whole = deviation(3.0, REST)

    def short(offset: float) -> float:
        # closed form: P(|e + m| < W) for e normal.
        ends = [float(ndtr((end * WIDTH - offset) / whole)) for end in (-1.0, 1.0)]
        return ends[1] - ends[0] - target

    truth = MS * float(brentq(short, 0.0, 20.0))
    for line in (down, up):
        limit = requirement(hit_curve(line.hits), "as_set", target).limit
        assert limit is not None
        assert limit.low - 1.3 * (limit.most - limit.low) < truth
        assert truth < limit.high + 1.3 * (limit.high - limit.most)


def test_trimming_takes_a_steady_offset_out() -> None:
    _, down, up = fired("shot", 0.65)
    for line in (down, up):
        limit = requirement(hit_curve(line.hits), "as_trimmed", 0.65).limit
        # closed form: the delay follows the mean age, however far off.
        assert limit is not None
        assert limit.whole


def test_out_of_reach_is_the_rate_without_the_spread() -> None:
    for way in WAYS:
        need = requirement(hit_curve(fired("shot", 0.95)[0].hits), way, 0.95)
        assert need.limit is None
        assert need.best_at == 0.0
    need = requirement(hit_curve(fired("shot", 0.95)[0].hits), "as_set", 0.95)
    assert agrees(need.best, CURVE[0.0])


def test_a_wider_spread_may_help_where_the_aim_is_off() -> None:
    # closed form: e ~ N(m, s²), m beyond W: P rises from 0 and falls again.
    study = study_of("shot")
    subject = subject_in(study)
    off = subject.off(study, 6.0 * MS)
    line = Lineup(off, TOY, subject_in(off), 0.25, LAYOUT, offsets=False).fire()[0]
    curve = hit_curve(line.hits)
    assert not curve.falls["as_set"]
    limit = requirement(curve, "as_set", 0.25).limit

    def over(size: float) -> float:
        whole = deviation(size, REST)
        return float(ndtr((WIDTH - 6.0) / whole) - ndtr((-WIDTH - 6.0) / whole)) - 0.25

    assert over(0.0) < 0.0 < over(3.0)
    assert limit is not None
    least = MS * float(brentq(over, 0.0, 3.0))
    most = MS * float(brentq(over, 4.0, 40.0))
    # The rate is known to 4.5 standard errors, 0.13 points each at the most; its slopes here
    # are 1.9 points a millisecond at the near end and 2.5 at the far one, 0.6 points in 0.3 ms.
    slopes = [abs(over(size / MS + 0.01) - over(size / MS - 0.01)) / 0.02 for size in (least, most)]
    error = 4.5 * math.sqrt(0.25 * 0.75 / (LAYOUT.setups * LAYOUT.shots))
    assert abs(limit.least - least) < MS * (error / slopes[0]) + 0.06 * least
    assert abs(limit.most - most) < MS * (error / slopes[1]) + 0.01 * most


def rates(*values: float, half: float = 0.01) -> tuple[Estimate, ...]:
    return tuple(Estimate(value, value - half, value + half) for value in values)


def curve_of(*values: float) -> HitCurve:
    made = rates(*values)
    sizes = np.arange(len(values), dtype=float)
    return HitCurve(sizes, dict.fromkeys(WAYS, made), dict.fromkeys(WAYS, True))


@pytest.mark.parametrize(
    ("values", "ends"),
    [
        # closed form: straight lines between the points of a drawn curve, target 0.8.
        ((0.9, 0.85, 0.75, 0.6), (0.0, 1.5, 1.4, 1.6, False)),
        ((0.9, 0.85, 0.83, 0.82), (0.0, 3.0, 3.0, 3.0, True)),
        ((0.9, 0.85, 0.83, 0.805), (0.0, 3.0, 2.8, 3.0, True)),
        ((0.7, 0.9, 0.9, 0.7), (0.5, 2.5, 2.45, 2.55, False)),
        ((0.805, 0.7, 0.95, 0.9), (0.0, 0.5 / 10.5, 0.0, 1.5 / 10.5, False)),
        ((0.9, 0.7, 0.95, 0.9), (0.0, 0.5, 0.45, 0.55, False)),
    ],
)
def test_the_first_stretch_that_reaches_counts(
    values: tuple[float, ...], ends: tuple[float, float, float, float, bool]
) -> None:
    limit = requirement(curve_of(*values), "as_set", 0.8).limit
    assert limit is not None
    found = (limit.least, limit.most, limit.low, limit.high)
    assert found == pytest.approx(ends[:4])
    assert limit.whole is ends[4]


def test_a_curve_below_the_target_has_no_limit() -> None:
    need = requirement(curve_of(0.7, 0.75, 0.75, 0.6), "as_set", 0.8)
    assert need.limit is None
    # The smaller of two sizes that are as good.
    assert (need.best.value, need.best_at) == (0.75, 1.0)


def test_it_is_looked_closer_where_a_band_crosses_only() -> None:
    wanted = sizes_between(curve_of(0.9, 0.85, 0.75, 0.6), 0.8)
    assert sorted(wanted) == pytest.approx([2.0**0.25, 2.0**0.5, 2.0**0.75])
    assert sizes_between(curve_of(0.9, 0.85, 0.83, 0.82), 0.8) == set()


def test_sizes_go_from_none_to_the_end() -> None:
    assert near_sizes(1.0, 3.0) == {0.0, 0.125, 0.25, 0.5, 1.0, 2.0, 3.0}
    assert near_sizes(1.0, 1.0) == {0.0, 0.125, 0.25, 0.5, 1.0}
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
        parts = Lineup(study, TOY, subject_in(study), target, layout, offsets=False, workers=1)
        limit = requirement(hit_curve(parts.fire()[0].hits), "as_set", target).limit
        covered += limit is not None and limit.low <= truth <= limit.high
    # closed form: 4.5 standard errors of a share of 0.95.
    error = math.sqrt(0.95 * 0.05 / repetitions)
    assert abs(covered / repetitions - 0.95) < 4.5 * error
