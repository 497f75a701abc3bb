"""The invented logs in `studies/`: as their script makes them, and their known fault is found."""

from __future__ import annotations

import json

import html5lib
import pytest

import jitter.answers.explain.answer
import jitter.answers.explain.checking
import jitter.answers.explain.telling
from jitter.answers.explain.answer import ExplainAnswer, answer_explain
from jitter.records.log import read_log
from jitter.report.explain.document import explain_document
from jitter.report.explain.page import explain_page
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS
from tests.conftest import STUDIES, load
from tests.make_demo_logs import DEMOS, Demo, write_log
from tests.report.explain_answers import printed

BLAMED = {
    "barn-table-log": ("valve.release_speed", "strays"),
    "garage-second-drop-log": ("sensor.height", "off"),
}


@pytest.fixture(scope="module", params=DEMOS, ids=lambda demo: str(demo.name))
def explained(request: pytest.FixtureRequest) -> tuple[str, ExplainAnswer]:
    """Explain an invented log from fewer frames than the command simulates."""
    demo = request.param
    log = read_log(write_log(demo).encode(), source=f"{demo.name}.csv")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(jitter.answers.explain.answer, "SETUPS", 512)
        patch.setattr(jitter.answers.explain.answer, "SHOTS", 16)
        patch.setattr(jitter.answers.explain.telling, "LOGS", 12)
        patch.setattr(jitter.answers.explain.checking, "LOGS", 100)
        return demo.name, answer_explain(load(demo.study), CHAIN, log)


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: str(demo.name))
def test_is_as_the_script_makes_it_and_says_that_it_is_invented(demo: Demo) -> None:
    text = (STUDIES / f"{demo.name}.csv").read_text(encoding="utf-8")
    assert text == write_log(demo)
    assert text.startswith("# An invented log, made by simulation: no real person")
    assert "# Its known fault: " in text
    log = read_log(text.encode(), source=demo.name)
    assert log.notes == ()
    assert [frame.number for frame in log.frames] == list(range(1, len(log.frames) + 1))


def test_their_frames_are_those_that_were_asked_for() -> None:
    barn, garage = (read_log(write_log(demo).encode(), source=demo.name) for demo in DEMOS)
    assert len(barn.frames) == 40
    assert {frame.setup for frame in barn.frames} == {""}
    for frame in barn.frames:
        # A gap is read before the meeting, a sheet and its height while it is there.
        name = LOOKS[frame.look or 0]
        assert (frame.gap is not None) == (name == "drop above the column")
        sheet = name not in ("drop above the column", "column only")
        assert (frame.width is not None) == (frame.height is not None) == sheet
    assert len(garage.frames) == 60
    names = [frame.setup for frame in garage.frames]
    assert [names.count(name) for name in dict.fromkeys(names)] == [20, 20, 20]
    assert {frame.delay for frame in garage.frames} == {0.191}
    assert all(frame.gap is frame.width is frame.height is None for frame in garage.frames)


def test_the_known_fault_is_in_the_group_named_first(explained: tuple[str, ExplainAnswer]) -> None:
    name, answer = explained
    first = answer.parties[0]
    assert BLAMED[name] in [(one.suspect.key, one.suspect.how) for one in first.members]
    assert first.probability > 0.9
    assert answer.described < 0.05
    assert answer.fit is not None
    # The least that a hundred imagined logs can tell is one in 101.
    assert answer.fit.chance < 0.05


def test_what_is_said_of_them_fits_screen_and_page(explained: tuple[str, ExplainAnswer]) -> None:
    name, answer = explained
    json.dumps(explain_document(answer), allow_nan=False)
    html5lib.HTMLParser(strict=True).parse(explain_page(answer, {}))
    for width in (60, 80, 140):
        shown = printed(answer, width)
        assert max(map(len, shown.splitlines())) <= width
        assert f"{BLAMED[name][0]} " in shown
    assert f"log {name}.csv, {len(answer.log.frames)} frames" in " ".join(
        printed(answer, 80).split()
    )
