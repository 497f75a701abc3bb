"""Logs: every column, every word, and what is wrong with them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from jitter.records.log import LOG_COLUMNS, Frame, Log, read_log
from jitter.records.verdicts import ASKED, SYNONYMS, VERDICTS
from jitter.stages.look import LOOKS
from tests.records.conftest import told

EMPTY = Frame(2, None, None, "", None, None, None, None, None, None, None, "", "")


def log_of(text: str) -> Log:
    return read_log(text.encode(), source="log.csv")


def faults_of(text: str) -> list[str]:
    return told(lambda: log_of(text))


def test_every_column_is_read() -> None:
    log = log_of(
        "Frame;Verdict;Set-up;Time;Delay (ms);Interval (ms);Power;Gap between drop and jet (mm);"
        "Sheet width [mm];Sideways offset_mm;Height of the meeting (mm);Comment\n"
        "17;Umbrella late;A;21:04;294,5;83;1/64;−1,5;12;0,5;31;door open\n"
    )
    # Closed form: a thousandth of what is written, and 1/64 itself.
    assert log.frames == (
        Frame(
            line=2,
            number=17,
            look=LOOKS.index("umbrella late"),
            setup="A",
            delay=0.2945,
            interval=0.083,
            power=0.015625,
            gap=-0.0015,
            width=0.012,
            side=0.0005,
            height=0.031,
            time="21:04",
            remarks="door open",
        ),
    )
    assert log.source == "log.csv"
    assert log.notes == ("decimal commas were read as points: 294,5 as 294.5",)


def test_a_verdict_is_enough() -> None:
    log = log_of("verdict\nkeeper\nkeeper\n")
    assert log.frames == (replace(EMPTY, look=13), replace(EMPTY, line=3, look=13))
    assert log.notes == ()


@pytest.mark.parametrize("look", LOOKS)
def test_every_look_is_a_verdict_however_it_is_spelt(look: str) -> None:
    spelt = (look, look.upper(), look.replace(" ", "-"), look.replace(" ", "_"), f" {look}. ")
    log = log_of("verdict\n" + "\n".join(spelt))
    assert [frame.look for frame in log.frames] == [LOOKS.index(look)] * len(spelt)


@pytest.mark.parametrize(("word", "look"), SYNONYMS.items())
def test_plain_words_mean_looks(word: str, look: str) -> None:
    assert LOOKS[log_of(f"verdict\n{word.title()}").frames[0].look or 0] == look


def test_no_word_means_two_things() -> None:
    keys = [re.sub(r"[ -]", "", word) for word in (*LOOKS, *SYNONYMS, *ASKED)]
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize("word", ASKED)
def test_words_that_leave_it_open_are_sent_back(word: str) -> None:
    (fault,) = faults_of(f"verdict\n{word}")
    assert fault == f"2 verdict: '{word}' leaves open what it means; {ASKED[word]}"
    # Whatever is offered there is a verdict.
    for offered in re.findall(r'"(.+?)"', ASKED[word]):
        assert VERDICTS.read(offered) in LOOKS


def test_column_names_are_told_apart() -> None:
    spellings = [
        re.sub(r"[ -]", "", spelling)
        for name, column in LOG_COLUMNS.items()
        for spelling in (name, *column.also)
    ]
    assert len(set(spellings)) == len(spellings)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("verdict\nkeper", "2 verdict: 'keper' is not known here; did you mean \"keeper\"?"),
        ("verdict\nzzz", "2 verdict: 'zzz' is not known here; write one of: dark, nothing there"),
        ("frame,gap\n1,2 mm", "1 the headings: no column says what the frames show; give it a"),
        ("frame,verdict\n1,\n2,-", "1 verdict: no frame has one; write what each frame shows"),
        ("frame,verdict\n", "None the file: it has headings, but no rows"),
        ("frame,verdict\n1.5,ok", "2 frame: '1.5' is not a whole number; write a whole number"),
        ("frame,verdict\n-1,ok", "2 frame: '-1' is below 0; write a whole number such as 17"),
        ("frame,verdict\n12345678901,ok", "2 frame: '12345678901' is above 1000000000; write"),
        ("setup,verdict\nA,ok\n,ok", "3 setup: it is not told here, but elsewhere; name it in"),
        ("verdict,delay\nok,294", "2 delay: '294' has no unit; write it once in the heading"),
        ("verdict,delay\nok,294 s", "2 delay: '294 s' is above 10 s; did you mean 294 ms?"),
        ("verdict,power\nok,2", "2 power: '2' is above 1; did you mean 1/2 or 2 %?"),
        ("verdict,gap\nok,-1.2 m", "2 gap: '-1.2 m' is below -1000 mm; did you mean -1.2 mm?"),
        ("verdict,width\nok,-1 mm", "2 width: '-1 mm' is below 0 mm; the width of the sheet"),
    ],
)
def test_what_is_wrong_is_told(text: str, said: str) -> None:
    (fault,) = faults_of(text)
    assert fault.startswith(said)


def test_every_fault_is_told_at_once() -> None:
    faults = faults_of("frame,verdict,gab,gap,delay (mm)\n1,keper,2,3,4\n1.5,ok,5,6 s,,7")
    assert [fault.partition(":")[0] for fault in faults] == [
        "1 delay",
        "2 verdict",
        "2 gap",
        "3 the row",
        "3 frame",
        "3 gap",
    ]


def test_numbers_are_taken_from_the_names_that_cameras_give() -> None:
    log = log_of("verdict,photo\nok,DSC_0007\nlate,img-0008.jpg\nok,#9\nok,P1010010\nok,11\n")
    assert [frame.number for frame in log.frames] == [7, 8, 9, 1010010, 11]
    assert log.notes[0] == "frame numbers were taken from names: 7 from 'DSC_0007'"
    (fault,) = faults_of("frame,verdict\nA_20240102_7,ok\n")
    assert fault == "2 frame: 'A_20240102_7' is not a number; write a whole number such as 17"


def test_cells_under_a_wrong_unit_are_no_further_faults() -> None:
    assert faults_of("frame,verdict,delay (mm),gap (ms)\n1,ok,294,3\n2,ok,294,\n") == [
        "1 delay: 'delay (mm)' is a length, but a time is wanted; give it a unit that suits the"
        " delay from the trigger to the light",
        "1 gap: 'gap (ms)' is a time, but a length is wanted; give it a unit that suits the gap"
        " between drop and jet, above 0 where the drop is above",
    ]


def test_rows_said_twice_are_counted_once() -> None:
    log = log_of("frame,verdict,gap (mm)\n1,ok,\n2,late,3\n2,late,3\n1,ok,\n3,ok,\n")
    assert [frame.line for frame in log.frames] == [2, 3, 6]
    assert log.notes == ("rows that repeat a frame word for word, left out: 2 (lines 4, 5)",)


def test_rows_that_contradict_each_other_are_told_with_both_lines() -> None:
    faults = faults_of("frame,verdict\n1,ok\n2,late\n2,early\n1,ok\n")
    assert faults == [
        "4 frame: frame 2 stands on line 3 too, and differs there; keep one of them; where numbers "
        "begin anew, name the set-up in a column setup"
    ]


def test_rows_without_a_number_are_never_said_twice() -> None:
    log = log_of("frame,verdict\n,ok\n,ok\n1,ok")
    assert len(log.frames) == 3
    assert log.notes == ("frames without a number: 2",)


def test_numbers_may_begin_anew_with_each_setup() -> None:
    log = log_of("frame,verdict,setup\n1,ok,A\n2,late,A\n1,ok,B\n2,early,B\n")
    assert [(frame.setup, frame.number) for frame in log.frames] == [
        ("A", 1),
        ("A", 2),
        ("B", 1),
        ("B", 2),
    ]
    assert log.notes == ()


@pytest.mark.parametrize(
    ("rows", "missing"),
    [
        ("1,ok,A\n2,ok,A", ""),
        ("5,ok,A\n6,ok,A", ""),
        ("1,ok,A\n3,ok,A\n9,ok,A", "6 (2, 4 to 8)"),
        ("3,ok,A\n1,ok,A", "1 (2)"),
        # A camera counts on: what lies between two set-ups is missing.
        ("1,ok,A\n4,ok,B", "2 (2 to 3)"),
        # Numbers begin anew: only what lies within one is.
        ("1,ok,A\n2,ok,A\n4,ok,B\n1,ok,B", "2 (2 to 3 of B)"),
        ("".join(f"{2 * at},ok,A\n" for at in range(9)), "8 (1, 3, 5, 7, 9, 11 …)"),
        ("1,ok,A\n999999999,ok,A", "999999997 (2 to 999999998)"),
    ],
)
def test_missing_numbers_are_noted(rows: str, missing: str) -> None:
    notes = [note for note in log_of(f"frame,verdict,setup\n{rows}").notes if "missing" in note]
    assert notes == (
        [
            f"frame numbers missing: {missing}; if those were the misses, the log looks better "
            "than the rig is"
        ]
        if missing
        else []
    )


def test_the_order_of_the_file_is_kept() -> None:
    log = log_of("frame,verdict\n2,ok\n1,late\n3,ok")
    assert [frame.number for frame in log.frames] == [2, 1, 3]
    assert log.notes == ("places where frame numbers do not rise, in an order that was kept: 1",)


def test_frames_without_a_verdict_are_not_told() -> None:
    log = log_of("frame,verdict\n1,ok\n2,\n3,?\n")
    assert [frame.look for frame in log.frames] == [13, None, None]
    assert log.notes == ("frames without a verdict, counted as not told: 2 (lines 3, 4)",)


def test_a_log_of_very_many_frames_is_read_whole() -> None:
    rows = "".join(f"{at},{LOOKS[at % 14]},{at % 97 / 10}\n" for at in range(5000))
    log = log_of(f"frame,verdict,gap (mm)\n{rows}")
    assert [frame.number for frame in log.frames] == list(range(5000))
    assert [frame.look for frame in log.frames] == [at % 14 for at in range(5000)]
    # Closed form: tenths of a millimetre.
    assert log.frames[96].gap == pytest.approx(0.0096, rel=1e-12)
