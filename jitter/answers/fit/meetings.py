"""Frames of the meeting: what they show against what the study gives, and no more.

Everything in the rig meets in such a frame, so that its scatter is nobody's by itself: it is held
against the study, and what to blame is a question for a log.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from jitter.answers.ages import Ages, ages, join_ages, sum_ages
from jitter.answers.fit.components import Components, separate
from jitter.answers.fit.found import Finding, Number, by_setup
from jitter.answers.variants import with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import BLOCK, Layout, blocks
from jitter.draws.values import values
from jitter.records.faults import Place
from jitter.records.measurements import GAP, MEETING_HEIGHT, SHEET_WIDTH, Reading
from jitter.stage import Chain, walk
from jitter.study.study import Nominal, Study
from jitter.trial import open_road
from jitter.units.writing import write_value

EVENTS = {GAP: "gap", SHEET_WIDTH: "sheet_width", MEETING_HEIGHT: "meeting_height"}
SETUPS, SHOTS = 512, 32
UNBLAMED = (
    "everything in the rig makes such a frame, so no value is changed; keep a log and let jitter"
    " explain say what is to blame"
)


def fit_meetings(
    study: Study,
    chain: Chain,
    readings: Sequence[Reading],
    *,
    reading: float,
    place: Place,
) -> Finding:
    """Hold what was read in frames of the meeting against what the study gives.

    Frames of each delay and start are held against simulated ones with the delay as set by ruler,
    of those that show what is read. A photographer reads what there is to be read: so does the
    simulation, which loses the frames where there is none as the table does.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    readings
        All of one kind.
    reading
        Standard deviation of reading one [m], 0 where it is not known.
    place
        Takes what is wrong with a reading.
    """
    what = readings[0].what
    alike: dict[tuple[str, float], list[Reading]] = {}
    for one in readings:
        start = one.start or str(study.entries["timer.start"].nominal)
        delay = study.number("timer.delay") if one.delay is None else one.delay
        alike.setdefault((start, delay), []).append(one)
    numbers: list[Number] = []
    for (start, delay), some in alike.items():
        given = _given(study, chain, EVENTS[what], start=start, delay=delay)
        when = f"{what} {write_value(delay, 's')} after the {start}"
        if np.isnan(given.mean):
            wrong = f"this study shows no {when}"
            place(some[0].line, "delay", wrong, "check the delay and the start, or the study")
            continue
        groups = by_setup(some, [one.value for one in some])
        numbers += _numbers(when, separate(groups, known_shot=reading**2), given)
    setups = len({one.setup for one in readings})
    return Finding(what, len(readings), setups, tuple(numbers), (), (UNBLAMED,))


def _numbers(when: str, found: Components, given: Ages) -> list[Number]:
    made = [
        Number(
            f"{when}, mean",
            "m",
            found.mean.estimate,
            uncertainty=found.mean.uncertainty,
            old=given.mean,
        )
    ]
    for spread, old, levels in (
        (found.setup, given.setup, "set-up to set-up"),
        (found.shot, given.shot, "shot to shot"),
    ):
        if spread is not None:
            name = f"{when}, sd from {levels}"
            # Too few simulated frames show it to say how far they stray.
            known = None if np.isnan(old) else old
            made.append(Number(name, "m", spread, old=known, spread=True))
    return made


def _given(study: Study, chain: Chain, event: str, *, start: str, delay: float) -> Ages:
    """Return mean and spreads of what the study's frames show."""
    settings: dict[str, Nominal] = {"timer.start": start, "timer.delay": delay}
    rig = with_values(study, settings)
    road = open_road(rig, chain, wanted=(event,))
    layout = Layout(study.seed, SETUPS, SHOTS)
    parts = []
    for block in blocks(layout, size=BLOCK):
        events = walk(road.shot, {**road.fixed, **values(rig, draw(rig, block))})
        shown = np.broadcast_to(events[event], (block.setups, block.shots))
        parts.append(sum_ages(shown))
    return ages(join_ages(parts, setups=SETUPS))
