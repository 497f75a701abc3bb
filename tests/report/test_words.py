"""The sentences that open an answer: what to fix first, in a photographer's words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jitter.answers.intervals import Estimate
from jitter.answers.run import RunAnswer, answer_run
from jitter.report.page import run_page
from jitter.report.words import findings, interval, leading_reasons, listed
from jitter.stages import CHAIN
from tests.conftest import load
from tests.report.test_screen import printed


def missing(answer: RunAnswer, **shares: float) -> RunAnswer:
    """Return an answer in which frames are lost to these reasons only."""
    reasons = {
        name: Estimate(shares.get(name, 0.0), 0.0, 1.0) for name in answer.as_trimmed.reasons
    }
    return replace(answer, as_trimmed=replace(answer.as_trimmed, reasons=reasons))


@pytest.mark.parametrize(
    ("shares", "told"),
    [
        ({"early": 0.2, "late": 0.1, "soft": 0.05}, ["early", "late"]),
        # Told to a tenth of a per cent, late and soft are as frequent as each other.
        ({"early": 0.2, "late": 0.1001, "soft": 0.0999}, ["early", "late", "soft"]),
        ({"late": 0.1, "soft": 0.1, "early": 0.1}, ["early", "late", "soft"]),
        ({"late": 0.1}, ["late"]),
        ({}, []),
    ],
)
def test_what_is_as_frequent_is_named_too(
    barn: RunAnswer, shares: dict[str, float], told: list[str]
) -> None:
    answer = missing(barn, **shares)
    assert [name for name, _ in leading_reasons(answer.as_trimmed)] == told
    said = [sentence for sentence in findings(answer) if "the rest miss mostly" in sentence]
    assert len(said) == bool(told)
    assert all(name in sentence for sentence in said for name in told)


def test_words_are_listed() -> None:
    assert listed(["early"]) == "early"
    assert listed(["early", "late"]) == "early and late"


def test_an_interval_that_rounds_to_nothing_says_what_it_is_under() -> None:
    assert interval(Estimate(0.0, 0.0, 0.0)) == "0.0 to 0.0 %"
    assert interval(Estimate(1e-4, 0.0, 4.9e-4)) == "under 0.1 %"
    assert interval(Estimate(1e-4, 0.0, 5.1e-4)) == "0.0 to 0.1 %"
    assert interval(Estimate(1e-4, 0.0, 4.9e-4), digits=2) == "0.00 to 0.05 %"


def test_an_unaimed_rig_is_told_so_at_once_and_once() -> None:
    """closed form: a delay 60 ms longer makes every age as much larger, far beyond the window."""
    answer = answer_run(load("barn-table", "timer.delay=354 ms"), CHAIN, setups=64, shots=8)
    second = findings(answer)[1]
    assert "late" in second
    assert "(now 354 ms)" in second
    assert second in answer.warnings
    assert run_page(answer).count("(now 354 ms)") == 1
    assert printed(answer, 140).count("(now 354 ms)") == 1


def test_an_aimed_rig_is_not(barn: RunAnswer) -> None:
    assert not any("timer.delay" in sentence for sentence in findings(barn))


def test_too_few_setups_rank_nothing_and_say_so() -> None:
    answer = answer_run(load("barn-table"), CHAIN, setups=2, shots=4)
    assert "On 2 set-ups no single spread costs" in " ".join(findings(answer))
    screen = printed(answer, 80)
    assert "by removing or halving a spread" not in screen
    assert "* this spread is an assumption" not in screen
    assert "what each spread costs is not distinguishable from 0" in " ".join(screen.split())
