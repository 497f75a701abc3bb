"""What `jitter tune` says: page, screen and document."""

from __future__ import annotations

import html
import io
import json
import re
from dataclasses import replace

import html5lib
import pytest
from rich.console import Console

from jitter.answers.intervals import Estimate
from jitter.answers.tune.answer import TuneAnswer, answer_tune
from jitter.answers.tune.changes import Change
from jitter.answers.tune.plateau import End, Slack
from jitter.answers.variants import with_values
from jitter.report.effort import FALLEN_BACK, effort_words
from jitter.report.safety import CAUTIONS
from jitter.report.tune.document import tune_document
from jitter.report.tune.page import tune_page
from jitter.report.tune.screen import tune_screen
from jitter.report.tune.words import change_words, ends_words, findings, phase_words, slack_words
from jitter.stages import CHAIN
from tests.conftest import load
from tests.report.test_page import HOSTILE

SETTINGS = ("timer.start", "sensor.height", "valve.interval", "timer.delay")


def answer(
    *settings: str,
    keep: tuple[str, ...] = (),
    name: str = "barn-table",
    setups: int | None = None,
) -> TuneAnswer:
    return answer_tune(load(name, *settings), CHAIN, keep=keep, setups=setups)


@pytest.fixture(scope="module")
def changed() -> TuneAnswer:
    return answer()


@pytest.fixture(scope="module")
def first() -> TuneAnswer:
    return answer("timer.delay=290 ms", keep=("timer.start", "valve.interval"))


@pytest.fixture(scope="module")
def hopeless() -> TuneAnswer:
    return answer("valve.interval=400 ms", keep=("timer.start", "valve.interval"))


@pytest.fixture(scope="module")
def sensorless() -> TuneAnswer:
    return answer(keep=("timer.start",), name="kitchen-glycerol", setups=64)


@pytest.fixture(params=["changed", "first", "hopeless", "sensorless"])
def made(request: pytest.FixtureRequest) -> TuneAnswer:
    found: TuneAnswer = request.getfixturevalue(request.param)
    return found


def printed(made: TuneAnswer, width: int) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(tune_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


def test_the_page_is_valid_and_says_what_was_found(made: TuneAnswer) -> None:
    page = tune_page(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text = html.unescape(page)
    assert all(sentence in text for sentence in findings(made))
    assert all(caution in text for caution in CAUTIONS)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    assert effort_words(made.effort) in text
    assert effort_words(made.fresh) in text


@pytest.mark.parametrize("width", [60, 80, 140])
def test_the_screen_fits_and_says_what_was_found(made: TuneAnswer, width: int) -> None:
    screen = printed(made, width)
    assert max(len(line) for line in screen.splitlines()) <= width
    for sentence in findings(made):
        assert sentence in " ".join(screen.split())


def test_a_narrow_screen_tells_the_slack_below_each_setting(first: TuneAnswer) -> None:
    assert "as set: " in printed(first, 60)
    assert "as set: " not in printed(first, 140)


def test_the_document_is_plain(made: TuneAnswer) -> None:
    document = json.loads(json.dumps(tune_document(made), allow_nan=False))
    assert document["schema"] == "jitter.tune/2"
    assert [row["key"] for row in document["settings"]] == list(SETTINGS)
    rows = {row["key"]: row for row in document["settings"]}
    assert rows["timer.delay"]["best"] == made.best.number("timer.delay")
    assert document["leave_as_is"] is not any(row["changed"] for row in document["settings"])
    sensor = made.best.entries["timer.start"].nominal != "valve"
    assert (rows["sensor.height"]["best"] is not None) is sensor


def test_the_figures_say_what_they_show(changed: TuneAnswer) -> None:
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', tune_page(changed))
    assert len(labels) == 2
    assert labels[0].startswith("Map of keepers over delay and interval")
    assert "how far each setting may go" in labels[1]


def test_the_pictures_come_before_the_tables(changed: TuneAnswer) -> None:
    titles = re.findall("<h2>(.*?)</h2>", tune_page(changed))
    assert titles[:4] == ["The plateau", "Slack", "Settings", "Keepers"]


def test_yours_is_marked_on_the_map_where_it_lies_there(
    changed: TuneAnswer, first: TuneAnswer
) -> None:
    assert "yours is not on this map" in tune_page(changed)
    assert "the square is yours" in tune_page(first)
    # Another start signal counts the delay from another moment.
    other = with_values(first.study, {"timer.start": "second drop"})
    assert "yours is not on this map" in tune_page(replace(first, study=other))


def test_a_change_is_said_in_the_users_units(first: TuneAnswer) -> None:
    (change,) = first.changes
    best = f"{1e3 * first.best.number('timer.delay'):g} ms"
    assert change.key == "timer.delay"
    assert findings(first)[0].startswith(f"Set the delay to {best} (yours: 290 ms): +")
    assert change.worth == first.gain


def test_what_gains_less_than_a_frame_is_left(first: TuneAnswer) -> None:
    slight = dict.fromkeys(("as_set", "as_trimmed"), Estimate(0.004, 0.001, 0.007))
    unclear = dict.fromkeys(("as_set", "as_trimmed"), Estimate(0.004, -0.001, 0.009))
    for offered, said in ((slight, "+0.4 in 100, less than"), (unclear, "not distinguishable")):
        sentence = findings(replace(first, changes=(), offered=offered))[0]
        assert sentence.startswith("Leave it as it is")
        assert said in sentence


def worth(as_set: float, as_trimmed: float) -> dict[str, Estimate]:
    """Return a gain both ways, sure to a tenth of a point."""
    gains = {"as_set": as_set, "as_trimmed": as_trimmed}
    return {way: Estimate(gain, gain - 0.001, gain + 0.001) for way, gain in gains.items()}


def test_what_was_withheld_is_said_with_what_it_brought(first: TuneAnswer) -> None:
    slight = Change("valve.interval", 0.099, 0.08, worth(0.009, 0.0))
    torn = Change("sensor.height", 0.483, 0.214, worth(0.013, -0.002))
    said = findings(replace(first, withheld=(slight, torn)))
    assert (
        "Leave the interval (99 ms): 80 ms brought +0.9 in 100 as set by ruler, less than one"
        " frame." in said
    )
    assert (
        "Leave the sensor height (483 mm): 214 mm brought +1.3 in 100 as set by ruler, but -0.2"
        " after trimming." in said
    )
    assert not any("no other value gains" in one for one in said)
    told = tune_document(replace(first, withheld=(slight,)))["withheld"]
    assert [(one["key"], one["own"], one["found"]) for one in told] == [
        ("valve.interval", 0.099, 0.08)
    ]


def test_a_change_that_loses_the_other_way_says_for_whom_it_is(first: TuneAnswer) -> None:
    gain = Change("sensor.height", 0.483, 0.214, worth(0.05, -0.002))
    ends = "+5.0 keepers in 100 as set by ruler, -0.2 keepers in 100 after trimming"
    assert change_words(first, gain).endswith(f"{ends}; worth it only if you never trim.")
    other = replace(gain, worth=worth(-0.002, 0.05))
    trimmed = replace(first, way="as_trimmed")
    assert change_words(trimmed, other).endswith("; worth it only if you always trim.")
    assert "only if" not in change_words(first, replace(gain, worth=worth(0.05, 0.0)))


def test_a_narrow_plateau_is_said_to_be(first: TuneAnswer) -> None:
    def said(low: float, high: float, *, trimmed: float = 1.0) -> str:
        at = first.best.number("sensor.height")
        near, far = (
            Slack(End(at + one, open=False), End(at + other, open=False))
            for one, other in ((low, high), (-trimmed, trimmed))
        )
        slack = {**first.slack, "sensor.height": {"as_set": near, "as_trimmed": far}}
        return " ".join(findings(replace(first, slack=slack, changes=moved)))

    moved: tuple[Change, ...] = (Change("sensor.height", 0.214, 0.483, worth(0.05, 0.05)),)
    # The study sets the sensor to within 1 mm: 2 mm of room are enough, less are not.
    narrow = "narrow for the sensor height (±1 mm), less room than the error of setting"
    assert "narrow" not in said(-0.001, 0.0011)
    assert f"{narrow}: trim, or set with care." in said(-0.001, 0.0009)
    assert f"{narrow}: set with care." in said(-0.001, 0.0009, trimmed=0.0009)
    moved = ()
    assert "narrow" not in said(-0.001, 0.0009)


def test_the_interval_is_not_argued_against(changed: TuneAnswer) -> None:
    assert not any("valve.interval brings it" in one for one in changed.warnings)


def test_where_they_meet_is_said_with_how_to_keep_ones_own(first: TuneAnswer) -> None:
    moved = replace(first, changes=(Change("valve.interval", 0.095, 0.078, None),))
    for phases, when in (((-0.5, -0.7), "earlier"), ((-0.5, 0.1), "later")):
        said = " ".join(findings(replace(moved, phases=phases)))
        assert f"With this interval drop and jet meet {when} on the jet than with yours: " in said
        assert "keep your interval with --keep valve.interval, or ask with --phase" in said
    lost = " ".join(findings(replace(moved, phases=(float("nan"), 0.1))))
    assert "With this interval drop and jet meet: as the jet sinks" in lost
    same = " ".join(findings(replace(first, phases=(-0.5, -0.5))))
    assert "Drop and jet meet as the jet rises" in same
    assert "--keep" not in same


def test_no_keeper_at_all_is_said_with_its_reason(hopeless: TuneAnswer) -> None:
    sentence = findings(hopeless)[0]
    assert sentence.startswith("Nothing that may be changed here gives a single keeper")
    assert "no jet" in sentence
    assert "<svg" not in tune_page(hopeless)


def test_trimming_makes_the_delay_hardly_matter(changed: TuneAnswer) -> None:
    assert any("After trimming the delay hardly matters" in one for one in findings(changed))


def test_draws_taken_unasked_are_said_to_be_so(first: TuneAnswer) -> None:
    assert not first.fell_back
    told = [" ".join(printed(one, 140).split()) for one in (first, replace(first, fell_back=True))]
    assert [FALLEN_BACK in screen for screen in told] == [False, True]
    assert tune_document(replace(first, fell_back=True))["fell_back_to_draws"] is True


def test_every_answer_says_that_it_is_robust(made: TuneAnswer) -> None:
    assert "mean over set-ups" in findings(made)[-1]


def test_a_hostile_title_is_text(first: TuneAnswer) -> None:
    study = replace(first.study, title=HOSTILE)
    page = tune_page(replace(first, study=study))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page
    assert "\u202e" not in printed(replace(first, study=study), 80).splitlines()[0]


def test_ends_are_open_where_nothing_was_tried_beyond() -> None:
    def said(low: bool, high: bool) -> str:
        return slack_words(Slack(End(0.1, open=low), End(0.2, open=high)), "s")

    assert said(low=False, high=False) == "100 to 200 ms"
    assert said(low=True, high=False) == "up to 200 ms"
    assert said(low=False, high=True) == "from 100 ms up"
    assert said(low=True, high=True) == "anywhere from 100 to 200 ms"


def test_a_phase_is_said_in_words() -> None:
    # closed form: the tip's parabola stands at 1 - phase² of its top
    assert phase_words(0.6).startswith("as the jet sinks, at 64 % of its height")
    assert phase_words(0.0).startswith("at the jet's top")
    assert "no meeting" in phase_words(float("nan"))


def test_a_small_gain_gets_more_digits() -> None:
    assert ends_words(Estimate(0.05, 0.04, 0.06)) == "+4.0 to +6.0"
    assert ends_words(Estimate(0.0001, -0.0001, 0.0003)) == "-0.010 to +0.030"
