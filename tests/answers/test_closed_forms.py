"""The main answer against the closed forms of linear normal timing errors."""

from __future__ import annotations

import math
from functools import cache

import pytest

from jitter.answers.intervals import Estimate
from jitter.answers.ranking import Gain
from jitter.answers.run import RunAnswer
from jitter.quantities import Level
from tests.toy import (
    MS,
    answer_toy,
    deviation,
    hit_share,
    rate_quantile,
    toy_study,
)

SETUPS, SHOTS = 4096, 32
WIDTH = 4.0
SIZES = {"a": 3.0, "b": 2.0, "c": 1.0, "d": 0.5}
FRAMES, READING = 8, 1.0
SETUP_INPUTS = ("", "a", "b", "ac", "abd", "abcd")


def agrees(found: Estimate, truth: float) -> bool:
    """Whether the truth is within 4.5 standard errors, 1.96 of which the interval reaches."""
    error = (found.high - found.low) / (2.0 * 1.96)
    return abs(found.value - truth) <= 4.5 * error


@cache
def fired(at_setup: str) -> RunAnswer:
    """Return the answer with the named inputs at set-up level and the others at shot level."""
    setup = {name: size for name, size in SIZES.items() if name in at_setup}
    shot = {name: size for name, size in SIZES.items() if name not in at_setup}
    study = toy_study(
        half_width=WIDTH,
        setup={**setup, "idle": 1.0},
        shot={**shot, "idle": 1.0},
        reading=READING,
        frames=FRAMES,
    )
    return answer_toy(study, setups=SETUPS, shots=SHOTS)


def as_set_share(sizes: dict[str, float]) -> float:
    return hit_share(WIDTH, deviation(*sizes.values()))


def as_trimmed_share(sizes: dict[str, float], at_setup: str, reading: float = READING) -> float:
    """Return the trimmed hit rate.

    Trimming takes out what a set-up fixes, and puts in the mean of its frames' own errors:
    variance = shot² (1 + 1/N) + reading²/N.
    """
    shot = deviation(*(size for name, size in sizes.items() if name not in at_setup))
    total = deviation(shot * math.sqrt(1.0 + 1.0 / FRAMES), reading / math.sqrt(FRAMES))
    return 1.0 if total == 0.0 else hit_share(WIDTH, total)


def gains(answer: RunAnswer, key: str, level: Level) -> tuple[Gain, Gain, float]:
    ranks = [
        rank for rank in answer.ranking if rank.source.keys == (key,) and rank.source.level is level
    ]
    assert len(ranks) == 1
    return ranks[0].as_set, ranks[0].as_trimmed, ranks[0].age_share


@pytest.mark.parametrize("at_setup", SETUP_INPUTS)
def test_hit_rate_is_the_normal_probability(at_setup: str) -> None:
    answer = fired(at_setup)
    # closed form: 2 Φ(W/sd) - 1 with sd² = 3² + 2² + 1² + 0.5²
    assert as_set_share(SIZES) == pytest.approx(0.710685167618012, abs=1e-14)
    assert agrees(answer.as_set.hit_rate, as_set_share(SIZES))
    assert agrees(answer.as_trimmed.hit_rate, as_trimmed_share(SIZES, at_setup))


def test_misses_are_early_and_late_alike() -> None:
    reasons = fired("a").as_set.reasons
    for reason, found in reasons.items():
        # closed form: the error is symmetrical
        truth = (1.0 - as_set_share(SIZES)) / 2.0 if reason in ("early", "late") else 0.0
        assert agrees(found, truth), reason


@pytest.mark.parametrize("at_setup", SETUP_INPUTS)
@pytest.mark.parametrize(("factor", "name"), [(0.0, "removed"), (0.5, "halved")])
def test_gain_is_the_rise_of_the_closed_form(at_setup: str, factor: float, name: str) -> None:
    answer = fired(at_setup)
    for key in SIZES:
        less = SIZES | {key: factor * SIZES[key]}
        level = Level.SETUP if key in at_setup else Level.SHOT
        as_set, as_trimmed, _ = gains(answer, f"toy.{key}", level)
        rise = as_set_share(less) - as_set_share(SIZES)
        assert agrees(getattr(as_set, name), rise), key
        rise = as_trimmed_share(less, at_setup) - as_trimmed_share(SIZES, at_setup)
        assert agrees(getattr(as_trimmed, name), rise), key


def test_gain_is_the_tabled_curve() -> None:
    # closed form: 2 Φ(4/sd(k)) - 1 with sd(k)² = 9 k² + 5.25, at k = 0 and 0.5
    assert as_set_share(SIZES | {"a": 0.0}) == pytest.approx(0.91914440163, abs=1e-11)
    assert as_set_share(SIZES | {"a": 1.5}) == pytest.approx(0.855872965184, abs=1e-12)
    as_set, _, _ = gains(fired("a"), "toy.a", Level.SETUP)
    assert agrees(as_set.removed, 0.91914440163 - 0.710685167618)
    assert agrees(as_set.halved, 0.855872965184 - 0.710685167618)


def test_reading_error_costs_only_when_trimmed() -> None:
    as_set, as_trimmed, share = gains(fired("a"), "trim.reading", Level.SHOT)
    whole = as_trimmed_share(SIZES, "a")
    assert as_set.removed.value == 0.0
    assert share == 0.0
    assert agrees(as_trimmed.removed, as_trimmed_share(SIZES, "a", 0.0) - whole)
    assert agrees(as_trimmed.halved, as_trimmed_share(SIZES, "a", 0.5 * READING) - whole)
    assert as_trimmed.removed.clear


@pytest.mark.parametrize("at_setup", ["a", "ac"])
def test_trimming_hides_what_a_setup_fixes(at_setup: str) -> None:
    answer = fired(at_setup)
    for name in at_setup:
        _, as_trimmed, _ = gains(answer, f"toy.{name}", Level.SETUP)
        assert not as_trimmed.removed.clear, name
        # Not exactly 0: rounding may carry a frame over the limit.
        assert abs(as_trimmed.removed.value) < 1e-4, name


@pytest.mark.parametrize("at_setup", SETUP_INPUTS)
def test_age_share_is_the_share_of_the_variance(at_setup: str) -> None:
    answer = fired(at_setup)
    variance = deviation(*SIZES.values()) ** 2
    # A variance from N normal numbers has a relative standard error √(2/N); numerator and
    # denominator have one each, of no more than that of the set-ups where any input has them.
    error = 2.0 * math.sqrt(2.0 / (SETUPS if at_setup else SETUPS * SHOTS))
    total = 0.0
    for key, size in SIZES.items():
        level = Level.SETUP if key in at_setup else Level.SHOT
        _, _, share = gains(answer, f"toy.{key}", level)
        # closed form: c²/Σc²
        assert share == pytest.approx(size**2 / variance, rel=4.5 * error), key
        total += share
    assert total == pytest.approx(1.0, abs=4.5 * error)


@pytest.mark.parametrize("level", list(Level))
def test_an_input_that_does_nothing_is_not_told_from_zero(level: Level) -> None:
    as_set, as_trimmed, share = gains(fired("a"), "toy.idle", level)
    assert share == 0.0
    for gain in (as_set, as_trimmed):
        for found in (gain.removed, gain.halved):
            assert found.value == 0.0
            assert not found.clear


def test_ranking_is_by_cost() -> None:
    ranks = fired("a").ranking
    # closed form: the gain when removed rises with c
    assert [rank.source.keys[0][-1] for rank in ranks[:4]] == ["a", "b", "c", "d"]


@pytest.mark.parametrize("at_setup", ["", "a", "abcd"])
def test_age_spreads_are_those_of_the_levels(at_setup: str) -> None:
    ages = fired(at_setup).as_set.ages
    setup = deviation(*(size for name, size in SIZES.items() if name in at_setup))
    shot = deviation(*(size for name, size in SIZES.items() if name not in at_setup))
    # Standard error of a mean, and of the mean squares between and within normal set-ups.
    mean_error = math.sqrt((setup**2 + shot**2 / SHOTS) / SETUPS)
    between = (setup**2 + shot**2 / SHOTS) * math.sqrt(2.0 / (SETUPS - 1))
    within = shot**2 * math.sqrt(2.0 / (SETUPS * (SHOTS - 1)))
    assert abs(ages.mean / MS) <= 4.5 * mean_error
    assert (ages.shot / MS) ** 2 == pytest.approx(shot**2, abs=4.5 * within + 1e-9)
    assert (ages.setup / MS) ** 2 == pytest.approx(setup**2, abs=4.5 * between)


# closed form, (between, within, W): p = 2 Φ(W/√(between² + within²)) - 1; Var p(s) by
# P(|U| < w, |V| < w) - p² with correlation between²/(between² + within²); 10 % quantile as in
# `rate_quantile`.
NESTED = [
    (1.0, 1.0, 2.0, 0.84270079295, 0.0220123453102, 0.638626259298),
    (2.0, 1.0, 2.0, 0.628906630477, 0.0983958868565, 0.0985760987705),
    (0.5, 1.0, 2.0, 0.92636172988, 0.00166137306914, 0.878133512707),
]


@pytest.mark.parametrize(("between", "within", "width", "rate", "variance", "low"), NESTED)
def test_nested_family(
    between: float, within: float, width: float, rate: float, variance: float, low: float
) -> None:
    setups, shots = 8192, 32
    # One input, with errors at both levels.
    study = toy_study(half_width=width, setup={"a": between}, shot={"a": within})
    way = answer_toy(study, setups=setups, shots=shots).as_set
    assert hit_share(width, deviation(between, within)) == pytest.approx(rate, abs=1e-11)
    assert agrees(way.hit_rate, rate)
    # closed form: Var = (Var p(s) + (p(1-p) - Var p(s))/n)/s; a variance seen in s set-ups has
    # a relative standard error of about √(2/s), more where its law is heavy-tailed: twice that.
    error = math.sqrt((variance + (rate * (1.0 - rate) - variance) / shots) / setups)
    half = 0.5 * (way.hit_rate.high - way.hit_rate.low)
    assert half == pytest.approx(1.96 * error, rel=4.5 * math.sqrt(2.0 / setups))
    assert rate_quantile(0.1, between=between, within=within, half_width=width) == pytest.approx(
        low, abs=1e-11
    )


@pytest.mark.parametrize(("between", "within", "width"), [row[:3] for row in NESTED])
@pytest.mark.parametrize(("setups", "shots"), [(8192, 32), (4096, 600)])
def test_nested_percentiles(
    between: float, within: float, width: float, setups: int, shots: int
) -> None:
    study = toy_study(half_width=width, setup={"a": between}, shot={"a": within})
    found = answer_toy(study, setups=setups, shots=shots).as_set.by_setup
    for share, rate in ((0.1, found.p10), (0.5, found.p50), (0.9, found.p90)):
        truth, above, below = (
            rate_quantile(at, between=between, within=within, half_width=width)
            for at in (share, share + 0.01, share - 0.01)
        )
        # Standard error of a quantile √(q(1-q)/s) times the slope of the quantiles; on top the
        # 0.01 that the deconvolution promises for 8192 set-ups of 32 shots.
        error = math.sqrt(share * (1.0 - share) / setups) * (above - below) / 0.02
        assert abs(rate - truth) <= 0.01 + 4.5 * error, share
