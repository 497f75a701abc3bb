"""Settings of a log's frames: near ones are taken together, too many are sent back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jitter.answers.explain.settings import MOST, few_settings
from jitter.answers.explain.views import conditions
from jitter.errors import MistakeError
from jitter.records.log import Log, read_log


def log_of(delays: list[float]) -> Log:
    rows = "\n".join(f"{place},keeper,{delay:g}" for place, delay in enumerate(delays, start=1))
    return read_log(f"frame,verdict,delay (ms)\n{rows}\n".encode(), source="log.csv")


def test_few_settings_are_left_alone() -> None:
    log = log_of([290.0 + 0.1 * place for place in range(MOST)])
    assert few_settings(log) is log


def test_near_delays_are_taken_together_by_the_finest_step_that_does() -> None:
    log = log_of([290.0 + 0.1 * place for place in range(40)])
    rounded = few_settings(log)
    assert len(conditions(rounded)) <= MOST
    assert rounded.notes[-1].startswith("delays and intervals were rounded to 0.5 ms")
    for before, after in zip(log.frames, rounded.frames, strict=True):
        assert before.delay is not None
        assert after.delay is not None
        # Half a step, and rounding of the numbers themselves.
        assert abs(after.delay - before.delay) <= 0.25e-3 + 1e-12
        assert replace(after, delay=before.delay) == before


def test_a_sweep_is_sent_back() -> None:
    with pytest.raises(MistakeError) as raised:
        few_settings(log_of([200.0 + 5.0 * place for place in range(MOST + 1)]))
    (fault,) = raised.value.faults
    assert fault.file == "log.csv"
    assert f"{MOST + 1} different settings" in fault.wrong
    assert str(MOST) in fault.right
