"""The best delay and its slack against the closed form of a normal error and a window."""

from __future__ import annotations

from functools import cache

import pytest

from jitter.answers.effort import LEAST, Net
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.bench import FRESH
from jitter.answers.tune.plateau import SLIGHT
from jitter.draws.layout import Layout
from tests.toy import MS
from tests.tuning_toy import BEST, rate, rig, slack_end, tuned

OWN = BEST - 3.3 * MS


@cache
def answer() -> TuneAnswer:
    return tuned(rig(OWN))


@cache
def drawn() -> TuneAnswer:
    return tuned(rig(OWN), setups=2048, shots=16)


def test_points_are_taken_unless_draws_are_asked_for() -> None:
    assert (answer().effort, answer().fresh) == (Net(3, LEAST), Net(4, FRESH * LEAST))
    assert drawn().effort == Layout(3, 2048, 16)
    assert drawn().fresh == Layout(4, FRESH * 2048, 16)
    assert tuned(rig(OWN), shots=4).effort == Layout(3, 2048, 4)


def test_where_points_do_not_settle_draws_are_taken_and_it_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("jitter.answers.effort.MOST", 0)
    found = tuned(rig(OWN))
    assert found.effort == Layout(3, 2048, 16)
    assert found.fell_back
    assert not answer().fell_back
    assert not drawn().fell_back


def test_the_best_delay_is_the_windows_middle_less_the_mean() -> None:
    # closed form: delay = middle of the window + MEETING, a whole millisecond here. The plateau's
    # middle is told to a millisecond; that of draws strays by less than half of one.
    assert pytest.approx(306.0 * MS, abs=1e-12) == BEST
    for found in (answer(), drawn()):
        assert found.best.number("timer.delay") == pytest.approx(BEST, abs=1e-9)


@pytest.mark.parametrize("offset", [-20.0, -0.4, 7.0, 250.0])
def test_wherever_the_study_begins(offset: float) -> None:
    found = tuned(rig(BEST + offset * MS))
    kept = abs(rate(BEST + offset * MS) - rate(BEST)) < SLIGHT
    expected = BEST + offset * MS if kept else BEST
    assert found.best.number("timer.delay") == pytest.approx(expected, abs=1e-9)
    assert bool(found.changes) is not kept


def test_the_slack_is_where_the_closed_form_loses_a_frame_in_a_hundred() -> None:
    delay, slack = answer().best.number("timer.delay"), answer().slack["timer.delay"]["as_set"]
    for end, direction in ((slack.low, -1.0), (slack.high, 1.0)):
        assert not end.open
        truth = slack_end(delay, direction)
        # The ends lie from 0.5 to 1 ms off, so that they were sought in eighths of a millisecond.
        # Straight between those, a loss c x² errs by less than h²/(8 x) = 0.004 ms there.
        assert 0.5 * MS < abs(truth - delay) < 1.0 * MS
        assert end.value == pytest.approx(truth, abs=0.004 * MS)


def test_the_rates_are_the_closed_form() -> None:
    found = answer()
    # closed form: all that moves the age lies on the line that is integrated.
    for hits, study in ((found.own_hits, found.study), (found.best_hits, found.best)):
        truth = rate(study.number("timer.delay"))
        assert hits.rates["as_set"].value == pytest.approx(truth, abs=1e-12)
    truth = rate(found.best.number("timer.delay")) - rate(OWN)
    assert found.gain["as_set"].value == pytest.approx(truth, abs=1e-12)
    assert found.searched == pytest.approx(rate(BEST), abs=1e-12)


def test_the_rates_of_draws_are_the_closed_form_within_their_errors() -> None:
    found = drawn()
    for hits, study in ((found.own_hits, found.study), (found.best_hits, found.best)):
        seen = hits.rates["as_set"]
        error = (seen.high - seen.low) / (2.0 * 1.96)
        assert abs(seen.value - rate(study.number("timer.delay"))) <= 4.5 * error
    gain = found.gain["as_set"]
    truth = rate(found.best.number("timer.delay")) - rate(OWN)
    assert abs(gain.value - truth) <= 4.5 * (gain.high - gain.low) / (2.0 * 1.96)


def test_after_trimming_the_delay_hardly_matters() -> None:
    found = answer()
    slack = found.slack["timer.delay"]["as_trimmed"]
    assert slack.low.open
    assert slack.high.open
    assert slack.high.value - slack.low.value > 0.05
    assert not found.gain["as_trimmed"].clear


def test_a_fraction_of_a_millisecond_off_the_top_is_left_alone_and_three_are_not() -> None:
    # closed form: 0.4 ms costs under a frame in 100, 3.3 ms far more
    assert rate(BEST) - rate(BEST + 0.4 * MS) < SLIGHT < rate(BEST) - rate(OWN)
    assert [change.key for change in answer().changes] == ["timer.delay"]
    assert answer().changes[0].worth == answer().gain
    left = tuned(rig(BEST + 0.4 * MS))
    assert left.changes == ()
    assert left.best is left.study


@pytest.mark.parametrize("found", [answer, drawn])
def test_asked_twice_and_by_more_threads_the_same(found: object) -> None:
    first = found()  # type: ignore[operator]
    sizes = {"setups": 2048, "shots": 16} if found is drawn else {}
    again = tuned(rig(OWN), workers=1, **sizes)
    assert again.best == first.best
    assert again.slack == first.slack
    assert again.gain == first.gain


def test_a_kept_delay_stays() -> None:
    found = tuned(rig(OWN), keep=("timer.delay",))
    assert found.changes == ()
    assert found.best.number("timer.delay") == OWN
