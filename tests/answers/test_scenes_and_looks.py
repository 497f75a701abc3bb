"""What is drawn is what the frame is called: scenes and looks of many frames of shipped studies."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from jitter.answers.scenes import Scene, scene
from jitter.answers.variants import with_spread, with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.quantities import Level, within
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages.look import ABOVE, COLUMN, DARK, DROP, KEPT, LOOKS, MERGED, NOTHING
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road, single
from tests.conftest import STUDIES, load

SETUPS, SHOTS = 32, 8
NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


def at_any_moment(name: str) -> Study:
    """Return a shipped study with the light between the first landing and the end of the jet."""
    study = with_values(load(name), {"timer.start": "valve"})
    nominal = nominal_shot(study, CHAIN)
    wait = single(nominal, "light_time") - study.number("timer.delay")
    first, last = single(nominal, "first_landing") - wait, single(nominal, "jet_gone") - wait
    half = 0.7 * (last - first)
    lit = with_values(
        study,
        {
            "timer.delay": 0.5 * (first + last),
            "camera.shutter_opens_before": 0.0,
            "camera.shutter_open": 2.0,
        },
    )
    lit = with_spread(lit, ["camera.shutter_opens_before"], Level.SHOT, within(0.0))
    return with_spread(lit, ["timer.delay"], Level.SHOT, within(half))


def frames(study: Study) -> tuple[dict[str, Any], list[Scene]]:
    """Return the events of frames, and what is drawn of each."""
    road = open_road(study, CHAIN, wanted=("look",))
    block = Block(Layout(3, SETUPS, SHOTS), 0, SETUPS, 0, SHOTS)
    events = walk(road.shot, {**road.fixed, **values(study, draw(study, block))})
    places = [(row, column) for row in range(SETUPS) for column in range(SHOTS)]
    return events, [scene(events, where) for where in places]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_drawn_is_what_the_frame_is_called(name: str) -> None:
    """closed form: each thing stands in the picture where the look names it, and only there."""
    _, drawn = frames(at_any_moment(name))
    for one in drawn:
        assert one.lit is (one.look != DARK)
        if one.lit:
            told = LOOKS[one.look]
            # From `MERGED` on, looks are of a drop and a jet that have met.
            assert (one.sheet is not None) is (one.look >= MERGED), told
            assert (one.column is not None) is (one.look in (COLUMN, ABOVE) or one.look >= MERGED)
            assert bool(one.drops) is (one.look in (DROP, ABOVE)), told
    seen = {one.look for one in drawn}
    assert {NOTHING, COLUMN, LOOKS.index("umbrella late")} <= seen
    # Some columns stand alone because the umbrella is over.
    life = single(nominal_shot(load(name), CHAIN), "sheet_life")
    assert any(one.look == COLUMN and one.age > life for one in drawn)


def test_a_keeper_that_was_wanted_after_the_sheet_is_drawn_as_it_is() -> None:
    """A keeper is one by the verdict, even where the window outlasts the sheet."""
    study = with_values(at_any_moment("barn-table"), {"keeper.age": (0.030, 0.500)})
    events, drawn = frames(study)
    kept = [one for one in drawn if one.look == KEPT]
    assert len(kept) > 8
    assert all(one.sheet is None for one in kept)
    assert {one.column is None for one in kept} == {False, True}
    widths = np.broadcast_to(events["sheet_width"], (SETUPS, SHOTS))
    assert np.isnan(widths[np.broadcast_to(events["look"], (SETUPS, SHOTS)) == KEPT]).all()
