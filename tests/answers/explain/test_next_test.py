"""The next test: information that is right at its ends, and series that separate what they must."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.explain import next_test
from jitter.answers.explain.next_test import BINS, FRAMES, NextTest, best_test, possible
from jitter.answers.explain.suspects import OFF, STRAYS, Suspect, drawable, find_suspects
from jitter.arrays import Array
from jitter.draws.layout import Layout
from jitter.stages import CHAIN
from jitter.trial import nominal_shot, single
from tests.conftest import load

SETUPS = 256
EVEN = np.full(SETUPS, 1.0 / SETUPS)


def information(read: list[Array], shares: list[float]) -> float:
    return next_test._information(read, [EVEN] * len(read), np.array(shares))


def shown(middle: float, seed: int) -> Array:
    draws = np.random.default_rng(seed)
    return np.stack([draws.normal(middle, 1.0, SETUPS), draws.gamma(5.0, 0.2, SETUPS)])


def test_the_same_twice_tells_nothing() -> None:
    one = shown(0.0, 1)
    assert information([one, one], [0.3, 0.7]) == pytest.approx(0.0, abs=1e-12)
    assert information([one], [1.0]) == pytest.approx(0.0, abs=1e-12)


# closed form: five bins of ranks hold a fifth each. Of two suspects one bin is shared evenly: 1 bit
# less 1/5. Of four three inner bins are shared 1:3, 1:1 and 3:1: 2 bit less 1/5 of their entropies.
PARTED = {2: 1.0 - 0.2, 4: 2.0 - 0.2 * (1.0 + 2.0 * (0.25 * 2.0 + 0.75 * math.log2(4.0 / 3.0)))}


@pytest.mark.parametrize("many", [2, 4])
def test_what_never_overlaps_tells_all(many: int) -> None:
    read = [shown(100.0 * place, place) for place in range(many)]
    # The second number, luck alone, adds no more than a bias.
    assert PARTED[many] - 0.01 < information(read, [1.0 / many] * many) < PARTED[many] + 0.05
    # closed form: log2 of the number of suspects; with shares, their entropy.
    sharp = [np.tile([[100.0 * place], [1.0]], SETUPS) for place in range(many)]
    assert information(sharp, [1.0 / many] * many) == pytest.approx(math.log2(many))
    if many == 2:
        entropy = -0.9 * math.log2(0.9) - 0.1 * math.log2(0.1)
        assert information(sharp, [0.9, 0.1]) == pytest.approx(entropy)


def test_luck_tells_no_more_than_its_bias() -> None:
    found = [information([shown(0.0, 2 * s), shown(0.0, 2 * s + 1)], [0.5, 0.5]) for s in range(20)]
    assert min(found) >= 0.0
    # closed form: (bins - 1)(suspects - 1)/(2 n ln 2) of n frames in all, Miller and Madow 1955
    # (from memory).
    bias = (BINS * BINS - 1) / (2.0 * 2 * SETUPS * math.log(2.0))
    assert np.mean(found) == pytest.approx(bias, rel=0.5)


def test_setups_with_nothing_to_be_read_stand_by_themselves() -> None:
    empty, full = np.full((2, SETUPS), np.nan), shown(5.0, 1)
    assert information([empty, full], [0.5, 0.5]) == pytest.approx(1.0, abs=0.25)
    assert information([empty, empty], [0.5, 0.5]) == pytest.approx(0.0, abs=1e-12)


def blame(*named: tuple[str, str]) -> tuple[tuple[NextTest, ...], list[Suspect]]:
    base = drawable(load("barn-table"))
    every = {(one.key, one.how): one for one in find_suspects(base)}
    suspects = [every[name] for name in named]
    weights = [0.2, *(0.8 / len(suspects) for _ in suspects)]
    found = best_test(
        base,
        CHAIN,
        suspects,
        weights,
        [{"": EVEN}] * len(weights),
        Layout(11, SETUPS, 24),
        way="as_set",
    )
    return found, suspects


def test_the_beam_tells_release_speed_from_latency() -> None:
    tests, _ = blame(("valve.release_speed", STRAYS), ("valve.latency", STRAYS))
    by_name = {
        (test.series.what, str(test.series.study.entries["timer.start"].nominal)): test
        for test in tests
    }
    beam, valve = by_name["drop height", "first drop"], by_name["drop height", "valve"]
    sound, speed, latency = (one.spread for one in beam.outcomes)
    # A drop that starts the light itself does not show when the valve let go.
    assert speed > 2.0 * sound
    assert latency == pytest.approx(sound, rel=0.1)
    # With the valve's command both show.
    assert valve.outcomes[1].spread > 1.2 * valve.outcomes[0].spread
    assert valve.outcomes[2].spread > 1.04 * valve.outcomes[0].spread
    assert tests[0].gain >= max(test.gain for test in tests)
    assert all(0.0 <= test.gain <= test.left + 1e-9 for test in tests)
    # closed form: the entropy of 0.2, 0.4, 0.4.
    assert tests[0].left == pytest.approx(-0.2 * math.log2(0.2) - 0.8 * math.log2(0.4))
    assert {test.frames for test in tests} == {FRAMES}


def test_the_valve_tells_a_beam_that_is_off_from_a_delay() -> None:
    tests, _ = blame(("sensor.height", OFF), ("valve.latency", OFF))
    shown_by = {
        (test.series.what, str(test.series.study.entries["timer.start"].nominal)): test
        for test in tests
    }
    valve, beam = shown_by["drop height", "valve"], shown_by["drop height", "first drop"]
    # Without the beam its height does nothing; with it the latency does nothing.
    sound, height, latency = (one.high - one.low for one in valve.outcomes)
    assert height == pytest.approx(sound, rel=0.1)
    assert latency > 2.0 * sound
    sound, height, latency = (one.high - one.low for one in beam.outcomes)
    assert height > 1.3 * sound
    assert latency == pytest.approx(sound, rel=0.1)


def test_single_drops_are_lit_shortly_before_they_land() -> None:
    study = load("barn-table")
    for series in possible(study, CHAIN):
        if series.what != "drop height":
            continue
        shot = nominal_shot(series.study, CHAIN)
        # closed form: v t - g t²/2 with t = 15 mm/v and v = 3.4 m/s is 14.9 mm.
        assert single(shot, "drop_height") == pytest.approx(0.0149, abs=1e-4)


def test_every_rig_has_a_series() -> None:
    for name in ("attic-small-sensor", "garage-second-drop", "porch-milk-open-bottle"):
        found = possible(load(name), CHAIN)
        assert found[-1].what == "looks"
        assert len({series.name for series in found}) == len(found) >= 2
        assert all(series.how for series in found)
