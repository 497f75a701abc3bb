"""Settings of a log's frames: near ones are taken together, too many are sent back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from jitter.answers.explain.settings import MOST, few_settings
from jitter.answers.explain.views import conditions
from jitter.errors import MistakeError
from jitter.records.log import Log, read_log


def log_of(times: list[float], *, what: str = "delay") -> Log:
    rows = "\n".join(f"{place},keeper,{time:g}" for place, time in enumerate(times, start=1))
    return read_log(f"frame,verdict,{what} (ms)\n{rows}\n".encode(), source="log.csv")


def test_few_settings_are_left_alone() -> None:
    log = log_of([290.0 + 0.1 * place for place in range(MOST)])
    assert few_settings(log) is log


@pytest.mark.parametrize("what", ["delay", "interval"])
@pytest.mark.parametrize(
    ("apart", "many", "step"),
    # So many times so far apart lie within 1.9, 9.5 and 19.5 ms: 12 of 0.5, 1 and 2 ms hold them.
    [(0.1, 20, 0.5), (0.5, 20, 1.0), (0.5, 40, 2.0)],
)
def test_near_times_are_taken_together_by_the_finest_step_that_does(
    what: str, apart: float, many: int, step: float
) -> None:
    log = log_of([290.0 + apart * place for place in range(many)], what=what)
    log = replace(log, notes=("said before",))
    rounded = few_settings(log)
    assert len(conditions(rounded)) <= MOST
    before, said = rounded.notes
    assert before == "said before"
    assert said.startswith(f"delays and intervals were rounded to {step:g} ms")
    for old, new in zip(log.frames, rounded.frames, strict=True):
        was, now = getattr(old, what), getattr(new, what)
        # Half a step, and rounding of the numbers themselves.
        assert abs(now - was) <= 0.5e-3 * step + 1e-12
        assert replace(new, **{what: was}) == old


def test_as_many_as_are_simulated_are_not_taken_together_further() -> None:
    pairs = [290.0 + 0.5 * place + more for place in range(MOST) for more in (0.0, 0.1)]
    rounded = few_settings(log_of(pairs))
    assert len(conditions(rounded)) == MOST
    assert "rounded to 0.5 ms" in rounded.notes[-1]


def test_a_sweep_is_sent_back() -> None:
    # Farther apart than the coarsest step; the last two are near each other.
    sweep = [200.0 + 2.5 * place for place in range(MOST + 1)]
    with pytest.raises(MistakeError) as raised:
        few_settings(log_of([*sweep, sweep[-1] + 0.1]))
    (fault,) = raised.value.faults
    assert fault.file == "log.csv"
    assert f"{MOST + 2} different settings" in fault.wrong
    assert str(MOST) in fault.right
