"""Frames of the meeting are held against the study, and change nothing."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.fit.found import Finding
from jitter.answers.fit.meetings import fit_meetings
from jitter.answers.variants import with_values
from jitter.draws.layout import Block, Layout
from jitter.draws.values import draw, values
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


def readings(what: str, event: str, *, setups: int, shots: int, delay: float) -> list[Reading]:
    """Return readings of frames that the study itself gives, on draws of their own."""
    rig = with_values(barn(), {"timer.delay": delay})
    road = open_road(rig, CHAIN, wanted=(event,))
    block = Block(Layout(99, setups, shots), 0, setups, 0, shots)
    events = walk(road.shot, {**road.fixed, **values(rig, draw(rig, block))})
    shown = np.broadcast_to(events[event], (setups, shots))
    return [
        Reading(line=2, what=what, value=float(value), setup=str(place), delay=delay)
        for place, row in enumerate(shown)
        for value in row[~np.isnan(row)]
    ]


def found(some: list[Reading]) -> Finding:
    faults = Faults("m.csv")
    finding = fit_meetings(barn(), CHAIN, some, reading=0.0, place=faults.place)
    faults.judge()
    return finding


@pytest.mark.parametrize(
    ("what", "event", "delay"),
    [
        ("gap", "gap", DELAY),
        ("sheet width", "sheet_width", 0.296),
        ("meeting height", "meeting_height", 0.296),
    ],
)
def test_frames_of_the_study_agree_with_it(what: str, event: str, delay: float) -> None:
    finding = found(readings(what, event, setups=24, shots=20, delay=delay))
    assert finding.what == what
    assert finding.setups == 24
    assert finding.values == ()
    assert [number.spread for number in finding.numbers] == [False, True, True]
    for number in finding.numbers:
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


def test_a_delay_that_shows_nothing_is_sent_back() -> None:
    faults = Faults("m.csv")
    some = [Reading(line=7, what="gap", value=0.01, delay=0.1)]
    finding = fit_meetings(barn(), CHAIN, some, reading=0.0, place=faults.place)
    assert finding.numbers == ()
    with pytest.raises(Exception, match="shows no gap") as raised:
        faults.judge()
    assert "delay" in str(raised.value)


def test_without_delay_and_start_those_of_the_study_count() -> None:
    bare = [Reading(line=2, what="sheet width", value=0.02 + 0.001 * place) for place in range(4)]
    finding = found(bare)
    assert all("294 ms after the first drop" in number.name for number in finding.numbers)
    assert set(MEETINGS) == {"gap", "sheet width", "meeting height"}
