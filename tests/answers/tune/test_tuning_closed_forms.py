"""The best delay and its slack against the closed form of a normal error and a window."""

from __future__ import annotations

from functools import cache

import pytest

from jitter.answers.hits import count_hits, difference
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.plateau import SLIGHT
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from tests.toy import MS
from tests.tuning_toy import BEST, CHAIN, rate, rig, slack_end, tuned

SETUPS, SHOTS = 2048, 16
OWN = BEST - 3.3 * MS


@cache
def answer() -> TuneAnswer:
    return tuned(rig(OWN), setups=SETUPS, shots=SHOTS)


def test_the_best_delay_is_the_windows_middle_less_the_mean() -> None:
    # closed form: delay = middle of the window + MEETING, a whole millisecond here. The plateau's
    # middle is told to a millisecond; that of draws strays by less than half of one.
    assert pytest.approx(306.0 * MS, abs=1e-12) == BEST
    assert answer().best.number("timer.delay") == pytest.approx(BEST, abs=1e-9)


@pytest.mark.parametrize("offset", [-20.0, -0.4, 7.0, 250.0])
def test_wherever_the_study_begins(offset: float) -> None:
    found = tuned(rig(BEST + offset * MS), setups=SETUPS, shots=SHOTS)
    kept = abs(rate(BEST + offset * MS) - rate(BEST)) < SLIGHT
    expected = BEST + offset * MS if kept else BEST
    assert found.best.number("timer.delay") == pytest.approx(expected, abs=1e-9)
    assert bool(found.changes) is not kept


def test_the_slack_is_where_the_closed_form_loses_a_frame_in_a_hundred() -> None:
    found = answer()
    delay = found.best.number("timer.delay")
    slack = found.slack["timer.delay"]["as_set"]
    for end, direction in ((slack.low, -1.0), (slack.high, 1.0)):
        assert not end.open
        truth = slack_end(delay, direction)
        # The loss is a paired mean over the set-ups of the search: its own standard error there,
        # over the slope of the closed form, is that of the end.
        layout = found.layout
        here, there = (
            count_hits(with_values(found.best, {"timer.delay": at}), CHAIN, layout)
            for at in (delay, truth)
        )
        loss = difference(here, there, "as_set")
        error = (loss.high - loss.low) / (2.0 * 1.96)
        slope = abs(rate(truth + 0.01 * MS) - rate(truth - 0.01 * MS)) / (0.02 * MS)
        assert 4.5 * error / slope < 0.3 * MS < abs(truth - delay)
        assert end.value == pytest.approx(truth, abs=4.5 * error / slope)


def test_the_rates_are_the_closed_form_on_fresh_draws() -> None:
    found = answer()
    for hits, study in ((found.own_hits, found.study), (found.best_hits, found.best)):
        seen = hits.rates["as_set"]
        error = (seen.high - seen.low) / (2.0 * 1.96)
        truth = rate(study.number("timer.delay"))
        assert abs(seen.value - truth) <= 4.5 * error
    gain = found.gain["as_set"]
    truth = rate(found.best.number("timer.delay")) - rate(OWN)
    assert abs(gain.value - truth) <= 4.5 * (gain.high - gain.low) / (2.0 * 1.96)
    assert found.fresh.seed != found.layout.seed


def test_after_trimming_the_delay_hardly_matters() -> None:
    found = answer()
    slack = found.slack["timer.delay"]["as_trimmed"]
    assert slack.low.open
    assert slack.high.open
    assert slack.high.value - slack.low.value > 0.05
    assert not found.gain["as_trimmed"].clear


def test_a_whole_millisecond_off_the_top_is_left_alone_and_three_are_not() -> None:
    # closed form: 0.4 ms costs under a frame in 100, 3.3 ms far more
    assert rate(BEST) - rate(BEST + 0.4 * MS) < SLIGHT < rate(BEST) - rate(OWN)
    assert [change.key for change in answer().changes] == ["timer.delay"]
    left = tuned(rig(BEST + 0.4 * MS), setups=SETUPS, shots=SHOTS)
    assert left.changes == ()
    assert left.best is left.study


def test_asked_twice_and_by_more_threads_the_same() -> None:
    again = tuned(rig(OWN), setups=SETUPS, shots=SHOTS, workers=1)
    assert again.best == answer().best
    assert again.slack == answer().slack
    assert again.gain == answer().gain


def test_a_kept_delay_stays() -> None:
    found = tuned(rig(OWN), keep=("timer.delay",), setups=64, shots=8)
    assert found.changes == ()
    assert found.best.number("timer.delay") == OWN


def test_no_other_delay_does_clearly_better_on_fresh_draws() -> None:
    layout = Layout(seed=977, setups=8192, shots=16)
    best = answer().best
    whole = count_hits(best, CHAIN, layout)
    for off in (-2.0, -1.0, 1.0, 2.0):
        moved = with_values(best, {"timer.delay": BEST + off * MS})
        other = count_hits(moved, CHAIN, layout)
        assert other.rates["as_set"].value < whole.rates["as_set"].value
