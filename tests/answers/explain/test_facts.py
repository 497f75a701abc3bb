"""What a log says by itself: intervals and chances against libraries, closed forms and luck."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import binomtest, t

from jitter.answers.explain import facts as module
from jitter.answers.explain.facts import FEWEST, find_facts, longest_run
from jitter.answers.intervals import wilson
from jitter.arrays import Array
from jitter.records.log import Log
from jitter.stages.look import EARLY, KEPT, LOOKS
from tests.answers.explain.made import frame


def kept(hits: Array | list[int], setups: list[str] | None = None) -> Log:
    """Return a log of keepers and early frames."""
    names = setups or [""] * len(hits)
    frames = [
        frame(2 + place, KEPT if hit else EARLY, name)
        for place, (hit, name) in enumerate(zip(hits, names, strict=True))
    ]
    return Log(tuple(frames), "made.csv", ())


def test_one_setup_has_the_exact_interval() -> None:
    found = find_facts(kept([1] * 13 + [0] * 7), seed=1)
    # reference library: scipy, binomtest(...).proportion_ci(method="exact").
    exact = binomtest(13, 20).proportion_ci(method="exact")
    assert (found.keepers.value, found.clustered) == (0.65, False)
    assert found.keepers.low == pytest.approx(exact.low, abs=1e-9)
    assert found.keepers.high == pytest.approx(exact.high, abs=1e-9)


@pytest.mark.parametrize(
    ("hits", "effective"),
    [
        # closed form: set-ups alike, so that all 32 frames count; set-ups that are all or nothing,
        # so that only the 8 set-ups do.
        ([1, 0, 1, 0] * 8, 32.0),
        (([1] * 4 + [0] * 4) * 4, 8.0),
    ],
)
def test_several_setups_count_as_far_as_they_differ(hits: list[int], effective: float) -> None:
    found = find_facts(kept(hits, [str(place // 4) for place in range(32)]), seed=1)
    # reference library: scipy, Student's t; and Wilson's interval as tested elsewhere.
    number = effective / float(t.ppf(0.975, 7) / 1.959964) ** 2
    truth = wilson(0.5 * number, number)
    assert found.clustered
    assert found.keepers.value == 0.5
    assert found.keepers.low == pytest.approx(truth.low, abs=1e-6)
    assert found.keepers.high == pytest.approx(truth.high, abs=1e-6)
    assert found.by_setup["0"] == (sum(hits[:4]), 4)
    assert found.setups == 8


def test_the_interval_covers_the_share_of_setups_to_come(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PERMUTATIONS", 1)
    draws, logs, covered = np.random.default_rng(1), 400, 0
    names = [str(place // 10) for place in range(80)]
    for _ in range(logs):
        # closed form: shares beta(3, 2) have the mean 0.6, and differ much between set-ups.
        hits = draws.random(80) < np.repeat(draws.beta(3.0, 2.0, 8), 10)
        one = find_facts(kept(hits.astype(float), names), seed=1).keepers
        covered += one.low <= 0.6 <= one.high
    # Nineteen in twenty, less 4.5 standard errors; frames taken for independent cover 0.73.
    assert covered / logs > 0.95 - 4.5 * math.sqrt(0.95 * 0.05 / logs)


def test_chances_are_fair_where_there_is_only_luck(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "PERMUTATIONS", 199)
    draws, logs = np.random.default_rng(2), 300
    chances = []
    for place in range(logs):
        found = find_facts(kept((draws.random(40) < 0.6).astype(float)), seed=place)
        assert found.trend is not None
        assert found.change is not None
        chances.append((found.trend.chance, found.change.chance, found.long_run))
    for many in (0.05, 0.2, 0.5):
        share = (np.array(chances) <= many).mean(axis=0)
        bound = 4.5 * math.sqrt(many * (1.0 - many) / logs)
        # closed form: the chance of a permutation test is at most so small as often as it says.
        assert (share <= many + bound).all()
        # Trend and change have hardly any ties, so that it is so small as often too.
        assert (share[:2] >= 0.8 * many - bound).all()


def test_a_trend_is_found() -> None:
    draws = np.random.default_rng(3)
    found = find_facts(kept((draws.random(80) < np.linspace(0.95, 0.1, 80)).astype(float)), seed=1)
    assert found.trend is not None
    assert found.trend.chance < 0.01
    assert found.trend.first > found.trend.last + 0.2


def test_a_change_is_found_where_it_is() -> None:
    hits = [1] * 19 + [0] + [1] * 10 + [0] * 15 + [1] + [0] * 14
    log = kept(hits)
    # A frame that tells nothing stands in the log and moves the lines.
    log = Log(
        (frame(2, None), *(frame(3 + i, one.look) for i, one in enumerate(log.frames))), "", ()
    )
    found = find_facts(log, seed=1)
    assert found.change is not None
    # closed form: the first frame after the 30 good ones is the 31st, in line 33.
    assert found.change.line == 33
    assert found.change.before == pytest.approx(29 / 30)
    assert found.change.after == pytest.approx(1 / 30)
    # The least that so many permutations can say.
    assert found.change.chance == pytest.approx(1.0 / (1.0 + module.PERMUTATIONS))
    assert (found.longest, found.frames, found.told) == (15, 61, 60)
    assert found.long_run < 0.01


def test_setups_that_differ_are_no_trend() -> None:
    found = find_facts(kept([1] * 20 + [0] * 20, ["a"] * 20 + ["b"] * 20), seed=1)
    assert found.trend is not None
    assert found.change is not None
    # closed form: within its set-up every order is the same.
    assert (found.trend.chance, found.change.chance, found.long_run) == (1.0, 1.0, 1.0)


@pytest.mark.parametrize("count", [0, 1, 3, FEWEST - 1])
def test_a_few_frames_say_little(count: int) -> None:
    found = find_facts(kept([1] * count), seed=1)
    assert (found.trend, found.change) == (None, None)
    assert math.isnan(found.long_run)
    assert (found.frames, found.longest, sum(found.looks)) == (count, 0, count)
    # closed form: (0.025)^(1/n) is the lower end where all of n frames are keepers.
    assert found.keepers.low == pytest.approx(0.025 ** (1.0 / count) if count else 0.0)
    assert found.keepers.high == 1.0


def test_runs_are_counted_in_many_logs_at_once() -> None:
    draws = np.random.default_rng(4)
    logs = (draws.random((50, 30)) < 0.5).astype(float)
    for hits, found in zip(logs, longest_run(logs), strict=True):
        # closed form: the longest piece between keepers.
        words = "".join(str(int(hit)) for hit in hits).split("1")
        assert found == max(len(word) for word in words)


def test_pieces_of_the_permutations_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    log = kept([1, 0, 1, 1, 0, 0, 0, 1, 1, 0] * 3, [str(place % 4) for place in range(30)])
    whole = find_facts(log, seed=1)
    monkeypatch.setattr(module, "CELLS", 7 * 30)
    assert find_facts(log, seed=1) == whole


def test_every_look_is_counted() -> None:
    log = Log(tuple(frame(2 + look, look) for look in range(len(LOOKS))), "", ())
    assert find_facts(log, seed=1).looks == (1,) * len(LOOKS)
