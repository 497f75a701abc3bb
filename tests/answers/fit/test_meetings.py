"""Frames of the meeting are held against the study, and change nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.ages import Ages
from jitter.answers.fit import meetings
from jitter.answers.fit.found import Finding, by_setup
from jitter.answers.fit.meetings import fit_meetings
from jitter.answers.variants import with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.errors import MistakeError
from jitter.records.faults import Faults
from jitter.records.measurements import MEETINGS, Reading
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import STUDIES

DELAY = 0.286


def barn() -> Study:
    text = (STUDIES / "barn-table.toml").read_text(encoding="utf-8")
    return read_study(text, source="barn-table.toml", chain=CHAIN)


def readings(
    what: str,
    event: str,
    *,
    setups: int,
    shots: int,
    delay: float,
    start: str = "first drop",
) -> list[Reading]:
    """Return readings of frames that the study itself gives, on draws of their own."""
    rig = with_values(barn(), {"timer.start": start, "timer.delay": delay})
    road = open_road(rig, CHAIN, wanted=(event,))
    block = Block(Layout(99, setups, shots), 0, setups, 0, shots)
    events = walk(road.shot, {**road.fixed, **values(rig, draw(rig, block))})
    shown = np.broadcast_to(events[event], (setups, shots))
    return [
        Reading(line=2, what=what, value=float(value), setup=str(place), delay=delay, start=start)
        for place, row in enumerate(shown)
        for value in row[~np.isnan(row)]
    ]


def found(some: list[Reading], *, reading: float = 0.0) -> Finding:
    faults = Faults("m.csv")
    finding = fit_meetings(barn(), CHAIN, some, reading=reading, place=faults.place)
    faults.judge()
    return finding


@pytest.mark.parametrize(
    ("what", "event", "delay", "start"),
    [
        ("gap", "gap", DELAY, "first drop"),
        ("gap", "gap", 0.445, "valve"),
        ("sheet width", "sheet_width", 0.296, "first drop"),
        ("meeting height", "meeting_height", 0.296, "first drop"),
    ],
)
def test_frames_of_the_study_agree_with_it(what: str, event: str, delay: float, start: str) -> None:
    some = readings(what, event, setups=24, shots=20, delay=delay, start=start)
    finding = found(some)
    assert finding.what == what
    groups = by_setup(some, [one.value for one in some])
    assert (finding.count, finding.setups) == (len(some), len(groups))
    assert finding.values == ()
    (note,) = finding.notes
    assert "jitter explain" in note
    when = f"{what} {1e3 * delay:g} ms after the {start}"
    assert [number.name for number in finding.numbers] == [
        f"{when}, mean",
        f"{when}, sd from set-up to set-up",
        f"{when}, sd from shot to shot",
    ]
    assert [number.spread for number in finding.numbers] == [False, True, True]
    # closed form: the standard error of the mean of the set-ups' means.
    means = [np.mean(group) for group in groups]
    mean, *spreads = finding.numbers
    assert mean.uncertainty == pytest.approx(np.std(means, ddof=1) / math.sqrt(len(means)))
    assert [number.uncertainty for number in spreads] == [None, None]
    for number in finding.numbers:
        assert number.unit == "m"
        assert number.old is not None
        # Intervals of 95 % on one fixed sample, three of them: half as wide again is 99.7 %.
        reach = 0.5 * (number.estimate.high - number.estimate.low)
        middle = 0.5 * (number.estimate.high + number.estimate.low)
        assert abs(number.old - middle) < 1.5 * reach, number.name


def test_frames_that_stray_more_are_told_as_such() -> None:
    some = readings("gap", "gap", setups=12, shots=20, delay=DELAY)
    mean = float(np.mean([one.value for one in some]))
    wide = [
        Reading(
            line=2, what="gap", value=mean + 2.0 * (one.value - mean), setup=one.setup, delay=DELAY
        )
        for one in some
    ]
    *_, shot = found(wide).numbers
    assert shot.old is not None
    assert shot.estimate.low > shot.old


def test_a_delay_that_shows_nothing_is_sent_back_and_all_others_are_told() -> None:
    faults = Faults("m.csv")
    some = [
        Reading(line=line, what="gap", value=0.010 + 0.001 * line, delay=delay)
        for line, delay in ((5, DELAY), (6, DELAY), (7, 0.1), (8, 0.284), (9, 0.284))
    ]
    finding = fit_meetings(barn(), CHAIN, some, reading=0.0, place=faults.place)
    # closed form: the mean of two gaps.
    means = [number for number in finding.numbers if not number.spread]
    assert [number.name for number in means] == [
        f"gap {delay} ms after the first drop, mean" for delay in (286, 284)
    ]
    assert [number.estimate.value for number in means] == pytest.approx([0.0155, 0.0185])
    with pytest.raises(MistakeError) as raised:
        faults.judge()
    (fault,) = raised.value.faults
    assert (fault.line, fault.key) == (7, "delay")
    assert fault.wrong == "this study shows no gap 100 ms after the first drop"


def test_the_error_of_reading_is_taken_off_the_spread_from_shot_to_shot() -> None:
    some = readings("gap", "gap", setups=12, shots=20, delay=DELAY)
    as_read, freed = (found(some, reading=reading).numbers[-1] for reading in (0.0, 0.002))
    # closed form: variances add.
    left = math.sqrt(as_read.estimate.value**2 - 0.002**2)
    assert freed.estimate.value == pytest.approx(left)


def test_a_study_that_hardly_shows_it_says_nothing_of_its_spread(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(meetings, "_given", lambda *_, **__: Ages(0.004, math.nan, math.nan))
    numbers = found(readings("gap", "gap", setups=3, shots=4, delay=DELAY)).numbers
    assert [number.old for number in numbers] == [0.004, None, None]


def test_without_delay_and_start_those_of_the_study_count() -> None:
    bare = [Reading(line=2, what="sheet width", value=0.02 + 0.001 * place) for place in range(4)]
    finding = found(bare)
    when = "sheet width 294 ms after the first drop"
    # A single set-up does not tell how set-ups differ.
    names = [number.name for number in finding.numbers]
    assert names == [f"{when}, mean", f"{when}, sd from shot to shot"]
    assert set(MEETINGS) == {"gap", "sheet width", "meeting height"}
