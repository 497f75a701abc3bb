"""Which spreads are ranked, and that a gain is what firing twice by hand shows."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.ranking import sources
from jitter.answers.run import RANKED_SHOTS
from jitter.draws.layout import CELL, Block, Layout
from jitter.quantities import Kind, Level, Quantity, Shape
from jitter.stage import Events
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.study.reader import read_study
from jitter.trial import fire, open_road
from tests.toy import TOY, answer_toy, toy_study

FILLED = math.ceil(RANKED_SHOTS / 100)


def test_every_spread_is_a_source_once() -> None:
    study = read_study("version = 1\n", source="test", chain=CHAIN)
    listed = [(key, source.level) for source in sources(study) for key in source.keys]
    expected = set()
    for key, entry in study.entries.items():
        kind = entry.declaration.kind if isinstance(entry.declaration, Quantity) else None
        if entry.setup.shape is not Shape.NONE:
            expected.add((key, Level.SETUP))
        if entry.shot.shape is not Shape.NONE or kind in (Kind.CHANCE, Kind.TICK):
            expected.add((key, Level.SHOT))
    assert len(listed) == len(set(listed))
    assert set(listed) == expected


def test_what_strays_together_is_one_source_at_setup_level() -> None:
    study = read_study("version = 1\n", source="test", chain=CHAIN)
    volumes = ("valve.first_volume", "valve.second_volume")
    found = [source for source in sources(study) if set(source.keys) & set(volumes)]
    assert [(source.keys, source.level) for source in found] == [
        (volumes, Level.SETUP),
        (volumes[:1], Level.SHOT),
        (volumes[1:], Level.SHOT),
    ]
    assert found[0].scaled(0.5) == {(key, Level.SETUP): 0.5 for key in volumes}


def test_a_mishap_that_cannot_strike_is_no_source() -> None:
    text = 'version = 1\n[flash]\ndark_chance = "0 %"\n[timer]\nstep = "0 s"\n'
    listed = {source.keys[0] for source in sources(read_study(text, source="test", chain=CHAIN))}
    assert not listed & {"flash.dark_chance", "timer.step"}
    assert "sensor.miss_chance" in listed


@pytest.mark.parametrize(
    ("setups", "shots", "size", "ranked_setups", "ranked_shots"),
    [
        (30, 20, 100, 30, 20),
        # No more set-ups than the ranked shots fill, and no more than a cell of each.
        (FILLED + 90, 100, 5000, FILLED, 100),
        (4, CELL + 100, CELL, 4, CELL),
    ],
)
def test_gain_is_what_firing_twice_shows(
    setups: int, shots: int, size: int, ranked_setups: int, ranked_shots: int
) -> None:
    study = toy_study(half_width=2.0, setup={"a": 1.0}, shot={"b": 1.0}, reading=1.0, frames=3)
    answer = answer_toy(study, setups=setups, shots=shots, block_size=size)
    assert answer.ranked_setups == ranked_setups
    road, layout = open_road(study, TOY), Layout(study.seed, setups, shots)
    by_hand = [Block(layout, row, 1, 0, ranked_shots) for row in range(ranked_setups)]

    def rate(events: Events) -> float:
        return float(np.mean(events["reason"] == KEEPER))

    for rank in answer.ranking:
        changes = []
        for block in by_hand:
            before, after = fire(road, block), fire(road, block, rank.source.scaled(0.0))
            changes.append(
                [
                    rate(getattr(after, way)) - rate(getattr(before, way))
                    for way in ("as_set", "as_trimmed")
                ]
            )
        as_set, as_trimmed = np.mean(changes, axis=0)
        assert rank.as_set.removed.value == pytest.approx(as_set, abs=1e-12)
        assert rank.as_trimmed.removed.value == pytest.approx(as_trimmed, abs=1e-12)
