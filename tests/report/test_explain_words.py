"""The sentences of `jitter explain` agree with the numbers that they stand for."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from jitter.answers.explain.checking import Expected
from jitter.answers.explain.next_test import NextTest, Outcome
from jitter.report.explain.figures import course_figure, looks_figure
from jitter.report.explain.names import shown_outcome, shown_setup, shown_share
from jitter.report.explain.page import explain_page
from jitter.report.explain.rows import (
    LOOK_KEY,
    look_rows,
    needed_rows,
    outcome_rows,
    series_rows,
    setup_rows,
    suspect_rows,
)
from jitter.report.explain.words import findings, setting
from jitter.stages.look import KEPT
from tests.report.explain_answers import answer, answers, log_of, printed, series


def said(name: str) -> str:
    return " ".join(findings(answers()[name]))


def test_keepers_of_one_setup_say_nothing_of_the_next() -> None:
    # Closed form: Clopper and Pearson's interval, none of one frame: 1 - 0.025^(1/1) = 97.5 %.
    assert "Keepers: 0 of 1 frame, 0 % (sure to 95 %: 0 to 98 %, of this set-up: another" in said(
        "one frame"
    )
    # Closed form: three of three, 0.025^(1/3) = 29.2 %.
    assert "Keepers: 3 of 3 frames, 100 % (sure to 95 %: 29 to 100 %, of this set-up" in said(
        "three frames"
    )


def test_keepers_of_several_setups_say_how_they_differ() -> None:
    assert "the spread of 3 set-ups in it)" in said("several set-ups")
    # All alike: how set-ups differ cannot be seen. Closed form: 0.025^(1/9) = 66.4 %.
    without = "Keepers: 9 of 9 frames, 100 % (sure to 95 %: 66 to 100 %, as if all 3 set-ups were"
    assert without in said("set-ups without a miss")


def test_a_log_like_others_is_said_to_be() -> None:
    calm = said("nothing wrong")
    assert "nothing out of the ordinary (40 % of its logs are as odd or odder)" in calm
    assert "hardly gives" not in calm
    assert "luck makes" not in calm
    assert "No suspect stands out. As described, just luck: 80 %; something not in" in calm
    assert "under 1 %; the rest is spread over suspects" in calm
    assert "Test next" not in calm


def test_odd_looks_are_told_the_oddest_first_and_no_others() -> None:
    group = said("a group")
    assert "only 0.2 % of its logs are as odd or odder" in group
    told = re.findall(
        r"should give ([a-z0-9 ]+) “([a-z ]+)” \(nine logs in ten\); your log has (\w+)", group
    )
    assert told == [
        ("0 to 4 frames", "umbrella early", "12"),
        ("no frame", "drop above the column", "2"),
        ("9 to 18 frames", "keeper", "5"),
    ]
    marks = {row[0]: (row[2], row[3]) for row in look_rows(answers()["a group"])}
    assert marks == {
        "umbrella early": ("0 to 4", "more than luck"),
        "umbrella late": ("0 to 6", ""),
        "drop above the column": ("none", "more than luck"),
        "keeper": ("9 to 18", "fewer than luck"),
    }


def test_every_look_outside_nine_logs_in_ten_is_marked() -> None:
    made = answers()["nothing wrong"]
    assert made.fit is not None
    seen = {"low": 2.0, "middle": 3.0, "high": 5.0, "chance": 0.08}
    fit = replace(
        made.fit, expected=tuple(Expected(KEPT, count, **seen) for count in (1, 2, 5, 6, 0))
    )
    marks = [row[3] for row in look_rows(replace(made, fit=fit))]
    assert marks == ["fewer", "", "", "more", "fewer"]
    # What luck hardly does is told in a sentence too: that there are none is said in a word.
    rare = replace(fit, expected=(Expected(KEPT, 0, 4.0, 5.0, 5.0, 0.001),))
    told = replace(made, fit=rare)
    assert [row[3] for row in look_rows(told)] == ["fewer than luck"]
    sentence = "should give 4 to 5 frames “keeper” (nine logs in ten); your log has none."
    assert sentence in " ".join(findings(told))
    for width in (60, 140):
        assert LOOK_KEY in " ".join(printed(told, width).split())
    assert f"{LOOK_KEY.capitalize()}." in html.unescape(explain_page(told, {}))


def test_a_study_that_misses_by_itself_is_said_to_early() -> None:
    made = replace(answers()["a group"], unaimed="Even the best shot is late.")
    first, second, *_ = findings(made)
    assert first.startswith("Keepers: ")
    assert second.startswith("Even the best shot is late. Mend that first")
    assert "Mend that first" not in said("a group")


def test_notes_are_called_so_in_every_form() -> None:
    made = answers()["a group"]
    noted = replace(made, log=replace(made.log, notes=("blank rows left out: 2",)))
    assert "Note: blank rows left out: 2" in printed(noted, 80)
    page = explain_page(noted, {})
    assert "<strong>Note.</strong> blank rows left out: 2</p>" in page
    assert "Warning" not in page


def test_an_odd_look_alone_is_told_without_calling_the_whole_log_odd() -> None:
    made = answers()["a group"]
    assert made.fit is not None
    calm = " ".join(findings(replace(made, fit=replace(made.fit, chance=0.3))))
    assert "should give 0 to 4 frames “umbrella early”" in calm
    assert "gives such logs" not in calm
    assert "hardly gives" not in calm


def test_a_group_is_told_with_what_it_cannot_be_told_from() -> None:
    group = said("a group")
    assert (
        "Most likely to blame (91 %): height of the sensor's beam above the surface: about 8 mm"
        " more than the study says (± 2.1 mm). This log cannot tell it from: timer.delay is off,"
        " valve.nozzle_height is off, sensor.miss_chance strikes more often."
    ) in group
    assert "As described, just luck: 4 %; something not in the model: 2 %." in group
    rows = suspect_rows(answers()["a group"])
    # A member that is hardly possible is not told of.
    assert [row[1] for row in rows[:4]] == [
        "sensor.height is off",
        "timer.delay is off",
        "valve.nozzle_height is off",
        "sensor.miss_chance strikes more often",
    ]
    assert [row[:1] + row[2:4] for row in rows[:2]] == [
        ("1", "40 %", "91 %"),
        ("", "30 %", ""),
    ]
    assert "about 4.1 ms less than the study says (± 1.5 ms)" in rows[1][4]
    assert "off, which way cannot be told (± 4 mm)" in rows[2][4]
    assert "about 18 % (10 to 26 %), not the 1 % of the study" in rows[3][4]
    assert [row[2] for row in rows[4:]] == ["4 %", "2 %", "2 %"]


def test_nothing_is_surer_than_it_is() -> None:
    one = answers()["one suspect"]
    assert "Most likely to blame (over 99 %): speed of the drop as it pinches off: strays" in said(
        "one suspect"
    )
    assert [row[2:4] for row in suspect_rows(one)] == [
        (">99 %", ">99 %"),
        ("<1 %", ""),
        ("<1 %", ""),
        ("<1 %", ""),
    ]
    two = said("two suspects, nothing sure")
    assert "Perhaps to blame (30 %): chance that the sensor misses a drop" in two
    assert "Or (20 %): height of the sensor's beam above the surface: off, which way" in two
    assert "Most likely" not in two
    assert (shown_share(0.0), shown_share(1.0), shown_share(0.5)) == ("<1 %", ">99 %", "50 %")


def test_what_no_model_explains_is_said_first() -> None:
    lost = said("no model explains it")
    assert (
        "Nothing that the study names explains this log: something not in the model, 98 %." in lost
    )
    assert "No suspect stands out" not in lost
    assert "Nothing that the study names" not in said("a group")
    # With a suspect left, that is no more than perhaps to blame.
    both = replace(answers()["a group"], unknown=0.9, described=0.0)
    party = replace(both.parties[0], probability=0.09)
    words = " ".join(findings(replace(both, parties=(party,))))
    assert words.index("Nothing that the study names") < words.index("Perhaps to blame (9 %)")


def test_the_next_test_says_how_it_is_set_and_what_each_would_show() -> None:
    group = said("a group")
    assert (
        "Test next: 20 frames of single drops, started by the beam (let one drop fall; light"
        " 191.7 ms after the first drop's crossing). It would settle 40 % of the remaining"
        " doubt. Expect drop height 15 mm (12 to 18), sd 0.18 mm if the rig is as described; drop"
        " height 26.8 mm (9.4 to 36), sd 0.17 mm if sensor.height is off; drop height mostly out of"
        " the frame if timer.delay is off."
    ) in group
    made = answers()["a group"]
    assert [row[0] for row in outcome_rows(made)] == [
        "as described",
        "sensor.height is off",
        "timer.delay is off",
        "valve.nozzle_height is off",
    ]
    # Closed form: 0.5 of 1.25 bit, and 0.1 of it.
    assert [row[2] for row in series_rows(made)] == ["40 %", "8 %"]
    assert setting(made, 1) == "change nothing"
    assert "No short series of frames would tell these suspects apart" in said(
        "two suspects, nothing sure"
    )


@pytest.mark.parametrize(
    ("start", "words"),
    [
        ("valve", "the valve's command"),
        ("first drop", "the first drop's crossing"),
        ("second drop", "the second drop's crossing"),
    ],
)
def test_the_light_is_told_from_whatever_starts_it(start: str, words: str) -> None:
    outcomes = (Outcome(0.01, 0.0, 0.02, 0.001),) * 4
    test = NextTest(series("gap", start=start, delay=0.3548), 20, 1.0, 1.25, outcomes)
    made = replace(answers()["a group"], tests=(test,))
    assert setting(made).endswith(f"light 354.8 ms after {words}")
    assert "Expect gap 10 mm (0 to 20), sd 1 mm if the rig is as described" in " ".join(
        findings(made)
    )


def test_keepers_are_counted_in_a_series_as_now() -> None:
    test = answers()["one suspect"].tests[0]
    # Closed form: 20 frames times 0.75, 0.55, 0.9, and 0.05, 0, 0.1.
    assert [shown_outcome(test, one) for one in test.outcomes] == [
        "15 keepers (11 to 18)",
        "1 keeper (0 to 2)",
    ]


def test_drift_and_change_are_told_only_where_luck_is_not_enough() -> None:
    drifts = said("drifts")
    assert "Keepers go from 100 % in the first half to 0 % in the second" in drifts
    # Thirty keepers from line 2 on: the first frame after the change stands on line 32.
    assert "The log changes at line 32: 100 % keepers before, 0 % after" in drifts
    assert "30 frames in a row are no keepers" in drifts
    for calm in ("nothing wrong", "three frames", "one frame", "a frame"):
        assert "in a row" not in said(calm)
        assert "The log changes" not in said(calm)
        assert "drifts" not in said(calm)


def test_a_frame_is_told_with_its_errors_and_mishaps() -> None:
    assert (
        "Frame 3 (umbrella late) looks like 12.5 % of the frames of this rig. Mishaps:"
        " sensor.miss_chance in 31 % of such frames. Most likely it took: this shot's"
        " valve.release_speed (second drop) off by -1.8 sd; this set-up's sensor.height off by"
        " +0.7 sd."
    ) in said("a frame")
    assert [row[0] for row in needed_rows(answers()["a frame"])] == [
        "this shot's valve.release_speed (second drop) off by -1.8 sd",
        "this set-up's sensor.height off by +0.7 sd",
        "sensor.miss_chance in 31 % of such frames",
    ]
    assert "looks like 3 of 262144 simulated frames: too rare" in said("a rare frame")
    assert "looks like none of the simulated frames: too rare" in said("an unheard-of frame")
    assert "No error had to be out of the ordinary." in said("an ordinary frame")


@pytest.mark.parametrize(
    ("by_numbers", "words"),
    [
        (True, "of the frames of this rig, and they have the lengths that you noted. Mishaps"),
        (
            False,
            "of the frames of this rig. The lengths that you noted for it, however, fit hardly any"
            " of those: look whether they were read right. Mishaps",
        ),
    ],
)
def test_a_frame_with_numbers_says_whether_they_were_matched(by_numbers: bool, words: str) -> None:
    made = answers()["a frame"]
    assert made.single is not None
    frame = replace(made.single.frame, number=None, width=0.012)
    single = replace(made.single, frame=frame, by_numbers=by_numbers)
    told = " ".join(findings(replace(made, single=single)))
    assert "The frame of line 4 (umbrella late)" in told
    assert words in told
    assert ("By its look alone it most likely took: " in told) is not by_numbers


def test_what_was_noted_of_a_frame_is_repeated_safely() -> None:
    made = answers()["a frame"]
    assert made.single is not None
    frame = replace(made.single.frame, time="20:14", remarks="refilled,\x1b[31m\n door open")
    told = " ".join(findings(replace(made, single=replace(made.single, frame=frame))))
    assert "(umbrella late, “20:14”, “refilled," in told
    assert "door open”)" in told
    assert "\x1b" not in told


def test_a_log_without_verdicts_explains_nothing() -> None:
    made = answers()["no verdict"]
    assert findings(made) == (
        "The log has no frame with a verdict: there is nothing to explain yet.",
    )
    assert not suspect_rows(made)
    assert not look_rows(made)
    assert looks_figure(made) == ""


def test_setups_are_told_one_by_one_where_there_are_several() -> None:
    assert setup_rows(answers()["drifts"]) == []
    assert setup_rows(answers()["several set-ups"]) == [
        ("(no name)", "20", "20", "100 %"),
        ("evening 1", "4", "20", "20 %"),
        ("evening 2", "0", "20", "0 %"),
    ]
    assert shown_setup(" \t ") == "(no name)"


def test_the_course_is_drawn_of_logs_long_enough() -> None:
    assert course_figure(answers()["nothing wrong"]).startswith("<svg")
    assert course_figure(answer(log_of("k" * 20))) != ""
    assert course_figure(answer(log_of("k" * 19))) == ""


def test_frames_are_counted_in_whole_numbers() -> None:
    for name in ("a group", "three frames", "one frame", "drifts"):
        for figure in (looks_figure(answers()[name]), course_figure(answers()[name])):
            assert not re.search(r">\d+\.\d+</text>", figure)


def test_a_narrow_screen_tells_what_the_first_of_a_group_would_mean() -> None:
    words = "height of the sensor's beam above the surface: about 8 mm"
    table = " ".join(printed(answers()["a group"], 80).partition("Suspects\n")[2].split())
    assert words in table
    assert "time set from the start signal" not in table
    wide = " ".join(printed(answers()["a group"], 140).partition("Suspects\n")[2].split())
    assert "time set from the start signal" in wide


def test_a_log_that_says_too_much_is_told_to_count_for_less() -> None:
    assert "it was counted for 66 % of what it says" in " ".join(
        printed(answers()["a group"], 80).split()
    )
    assert "counted for" not in printed(answers()["drifts"], 80)


def test_how_the_delay_was_set_is_told() -> None:
    made = answers()["drifts"]
    assert "delay as set by ruler where" in " ".join(printed(made, 80).split())
    assert "delay as trimmed where" in " ".join(
        printed(replace(made, way="as_trimmed"), 80).split()
    )
