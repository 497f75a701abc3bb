"""What small steady errors do: derivatives of closed forms, and signs that sense demands."""

from __future__ import annotations

import math

import pytest
from scipy.special import ndtr

from jitter.answers.effort import Effort, Net
from jitter.answers.hits import WAYS
from jitter.answers.rank.steady import PART, SETTINGS, answer_steady
from jitter.answers.ranking import sources
from jitter.draws.layout import Layout
from jitter.quantities import sd
from jitter.stages import CHAIN
from jitter.study.study import Entry, Study, default_entry
from jitter.trial import open_road
from tests.conftest import load
from tests.toy import MS
from tests.tuning_toy import BEST, DEVIATION, HALF, WINDOW
from tests.tuning_toy import CHAIN as TOY


def toy(delay: float) -> Study:
    entries = {key: default_entry(declared, {}) for key, declared in TOY.declarations.items()}
    entries["timer.delay"] = Entry(TOY.declarations["timer.delay"], delay)
    entries["keeper.age"] = Entry(TOY.declarations["keeper.age"], WINDOW)
    entries["trim.reading"] = Entry(TOY.declarations["trim.reading"], 0.0, shot=sd(1.0 * MS))
    return Study("Toy", 5, entries)


def share(off: float) -> float:
    """Return P(|e + off| < W), e normal."""
    return float(ndtr((HALF - off) / DEVIATION) - ndtr((-HALF - off) / DEVIATION))


@pytest.mark.parametrize("effort", [Net(5, 32), Layout(5, 8192, 16)])
@pytest.mark.parametrize("off", [-2.0 * MS, 0.0, 3.0 * MS])
def test_slopes_are_those_of_the_closed_form(off: float, effort: Effort) -> None:
    study = toy(BEST + off)
    found = {one.key: one for one in answer_steady(open_road(study, TOY), sources(study), effort)}
    delay = found["timer.delay"]
    assert delay.size == SETTINGS["timer.delay"]
    # closed form: the difference over a quarter of a millisecond to either side.
    step = PART * MS
    truth = (share(off + step) - share(off - step)) / (2.0 * PART)
    slope = delay.slopes["as_set"]
    half = slope.high - slope.value
    assert slope.value == pytest.approx(truth, abs=2.25 * half)
    if isinstance(effort, Net):
        assert slope.value == pytest.approx(truth, abs=1e-8)
    # Trimming undoes a steady error, but for its step.
    assert delay.slopes["as_trimmed"].value == pytest.approx(0.0, abs=0.05)
    # An error of mean 0 adds to the age as the delay does, for its own uncertainty.
    a = found["toy.a"]
    assert a.size == pytest.approx(1.5 * MS)
    if isinstance(effort, Net):
        step = PART * a.size
        truth = (share(off + step) - share(off - step)) / (2.0 * PART)
        assert a.slopes["as_set"].value == pytest.approx(truth, abs=1e-8)


def test_a_rig_that_is_late_gains_by_a_shorter_delay() -> None:
    study = load("barn-table", "timer.delay=298 ms")
    found = {
        one.key: one for one in answer_steady(open_road(study, CHAIN), sources(study), Net(11, 32))
    }
    # A longer delay lights later, a lower beam starts later, a longer interval meets later.
    assert found["timer.delay"].slopes["as_set"].high < 0.0
    assert found["sensor.height"].slopes["as_set"].low > 0.0
    assert found["valve.interval"].slopes["as_set"].low > 0.0
    assert found["sensor.height"].size == pytest.approx(1e-3 / math.sqrt(3.0))
    # What lies in a plane has no side, and mishaps have no value.
    assert not {"valve.scatter", "jet.lean", "sensor.miss_chance", "timer.step"} & set(found)
    for one in found.values():
        assert set(one.slopes) == set(WAYS)


def test_a_value_at_its_limit_can_be_off_to_one_side_only() -> None:
    study = load("barn-table", "sensor.response={nominal='0 us', shot='sd 10 us'}")
    found = answer_steady(open_road(study, CHAIN), sources(study), Net(11, 8))
    assert "sensor.response" not in {one.key for one in found}
