"""`jitter explain` as a user meets it: exit codes, streams, files, every mistake at once."""

from __future__ import annotations

import io
import json
import random
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

import jitter.answers.explain.answer
import jitter.answers.explain.checking
import jitter.answers.explain.single_frame
import jitter.answers.explain.telling
from jitter.answers.explain.answer import ExplainAnswer
from jitter.cli import main
from jitter.records.log import Log
from jitter.study.study import Study
from tests.conftest import STUDIES
from tests.report.explain_answers import answer

BARN = str(STUDIES / "barn-table.toml")
THREE = "frame,verdict\n1,keeper\n2,umbrella late\n3,keeper\n"


class Done(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str


Ask = Callable[..., Done]


@pytest.fixture
def ask(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Ask:
    """Ask in this process, in an empty folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")

    def asked(*words: str, data: bytes = b"") -> Done:
        monkeypatch.setattr(sys, "argv", ["jitter", "explain", *words])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))
        with pytest.raises(SystemExit) as ended:
            main()
        out, err = capsys.readouterr()
        return Done(int(ended.value.code or 0), out, err)

    return asked


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulate far fewer frames than the command does."""
    monkeypatch.setattr(jitter.answers.explain.answer, "SETUPS", 256)
    monkeypatch.setattr(jitter.answers.explain.answer, "SHOTS", 8)
    monkeypatch.setattr(jitter.answers.explain.telling, "LOGS", 4)
    monkeypatch.setattr(jitter.answers.explain.checking, "LOGS", 50)
    monkeypatch.setattr(jitter.answers.explain.single_frame, "SETUPS", 512)
    monkeypatch.setattr(jitter.answers.explain.single_frame, "ROUNDS", 1)


class Seen(NamedTuple):
    """What the command asked of the answer."""

    study: Study
    log: Log
    frame: int | None
    way: str


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> list[Seen]:
    """Answer without a simulation, and keep what was asked."""
    kept: list[Seen] = []

    def known(
        study: Study, chain: object, log: Log, *, frame: int | None, way: str, progress: object
    ) -> ExplainAnswer:
        kept.append(Seen(study, log, frame, way))
        return answer(log)

    monkeypatch.setattr(jitter.answers.explain.answer, "answer_explain", known)
    return kept


def written(folder: Path, text: str | bytes, name: str = "evening.csv") -> str:
    (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return name


@pytest.mark.usefixtures("few")
def test_answers_of_three_frames_on_stdout_and_writes_a_page(ask: Ask, tmp_path: Path) -> None:
    done = ask(BARN, written(tmp_path, THREE), "--frame", "2")
    assert done.code == 0, done.err
    screen = " ".join(done.out.split())
    assert "Keepers: 2 of 3 frames, 67 %" in screen
    assert "Frame 2 (umbrella late) looks like" in screen
    assert "log evening.csv, 3 frames. Seed 11, 256 set-ups of 8 shots" in screen
    page = tmp_path / "reports" / "barn-table-explain.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert "reports/barn-table-explain.html" in done.err
    assert "Frame 2 (umbrella late) looks like" in page.read_text(encoding="utf-8")


@pytest.mark.usefixtures("few")
@pytest.mark.parametrize(
    "rows",
    [
        "delay (ms),verdict\n0,early\n10000,dark",
        "interval (ms),verdict\n0,early\n10000,one drop",
        "power,verdict\n0.000001,dark\n1,wrong exposure",
        "gap (mm),width (mm),offset (mm),height (mm),verdict\n-1000,0,1000,1000,keeper",
    ],
)
def test_far_fetched_settings_and_lengths_are_answered(ask: Ask, tmp_path: Path, rows: str) -> None:
    done = ask(BARN, written(tmp_path, rows), "--json", "--trimmed")
    assert done.code == 0, done.err
    document = json.loads(done.out)
    total = document["as_described"] + document["not_in_the_model"] + document["other_suspects"]
    total += sum(group["probability"] for group in document["groups"])
    # Closed form: one of them all is to blame.
    assert total == pytest.approx(1.0, abs=1e-9)
    assert document["judged_by"] == "as_trimmed"


@pytest.mark.usefixtures("few")
def test_json_alone_and_the_same_again(ask: Ask, tmp_path: Path) -> None:
    options = (written(tmp_path, THREE), "--json", "--seed", "3")
    done = ask(BARN, *options)
    assert done.code == 0, done.err
    document = json.loads(done.out)
    assert (document["schema"], document["seed"]) == ("jitter.explain/1", 3)
    assert (document["told"], document["frame"]) == (3, None)
    assert not (tmp_path / "reports").exists()
    assert ask(BARN, *options).out == done.out


def test_options_are_handed_on(ask: Ask, tmp_path: Path, seen: list[Seen]) -> None:
    log = written(tmp_path, "frame,verdict\n7,keeper\n9,late\n", "a b.csv")
    options = ("--frame", "9", "--trimmed", "--set", "timer.delay=290 ms", "--seed", "5")
    done = ask(BARN, log, *options, "--json", "--out", "here.html")
    assert done.code == 0, done.err
    (asked,) = seen
    assert (asked.frame, asked.way, asked.study.seed) == (1, "as_trimmed", 5)
    assert asked.study.number("timer.delay") == pytest.approx(0.29)
    assert (tmp_path / "here.html").exists()
    assert ask(BARN, log, "--json").code == 0
    assert (seen[1].frame, seen[1].way) == (None, "as_set")


def test_rows_count_where_no_frame_has_a_number(ask: Ask, tmp_path: Path, seen: list[Seen]) -> None:
    log = written(tmp_path, "verdict\nkeeper\nlate\nkeeper\n")
    assert ask(BARN, log, "--frame", "2", "--json").code == 0
    assert seen[0].frame == 1
    # A single number, and rows count no more.
    log = written(tmp_path, "frame,verdict\n7,keeper\n,late\n")
    assert ask(BARN, log, "--frame", "2", "--json").code == 2


def test_each_may_come_from_standard_input_but_not_both(
    ask: Ask, tmp_path: Path, seen: list[Seen]
) -> None:
    done = ask(BARN, "-", "--json", data=THREE.encode())
    assert done.code == 0, done.err
    assert json.loads(done.out)["log"]["source"] == "standard input"
    assert len(seen[0].log.frames) == 3
    study = Path(BARN).read_bytes()
    assert ask("-", written(tmp_path, THREE), "--json", data=study).code == 0
    both = ask("-", "-", data=THREE.encode())
    assert both.code == 2
    assert "One thing needs mending" in both.err
    assert "standard input can be read once only" in both.err
    assert "put one of them into a file" in both.err


@pytest.mark.parametrize(
    ("text", "frame", "said"),
    [
        (THREE, "4", "the log has no frame 4"),
        (THREE, "4", "name one from 1 to 3"),
        ("verdict\nkeeper\n", "2", "the log has no frame 2"),
        ("frame,verdict\n1,keeper\n2,\n", "2", "frame 2 (line 3) has no verdict"),
        (
            "frame,setup,verdict\n1,a,keeper\n1,b,late\n",
            "1",
            "2 set-ups have a frame 1 (lines 2, 3)",
        ),
        (THREE, "two", "--frame"),
    ],
)
def test_frames_that_cannot_be_explained(
    ask: Ask, tmp_path: Path, seen: list[Seen], text: str, frame: str, said: str
) -> None:
    done = ask(BARN, written(tmp_path, text), "--frame", frame)
    assert done.code == 2
    assert said in done.err
    assert done.out == ""
    assert not seen
    assert not (tmp_path / "reports").exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("frame,verdict\n1,\n2,-\n", "no frame has one"),
        ("frame,verdict\n", "it has headings, but no rows"),
        ("frame,gap (mm)\n1,3\n", "no column says what the frames show"),
        ("verdict\nkeepr\n", 'did you mean "keeper"?'),
        ("verdict\numbrela late\n", 'did you mean "umbrella late"?'),
        ("verdict\nmiss\n", "leaves open what it means"),
        ("verdict,gap\nkeeper,12\n", "'12' has no unit"),
        ("verdict,gap (ms)\nkeeper,12\n", "is a time, but a length is wanted"),
        ("verdict,delay (s)\nkeeper,294\n", "did you mean 294 ms?"),
        ("frame,verdict\n1,keeper\n1,late\n", "frame 1 stands on line 2 too, and differs there"),
        (b"\x00\x01\x02", "here it is no text"),
        (b"", "it is empty"),
    ],
)
def test_logs_that_cannot_be_read(
    ask: Ask, tmp_path: Path, seen: list[Seen], text: str | bytes, said: str
) -> None:
    done = ask(BARN, written(tmp_path, text))
    assert done.code == 2
    assert said in done.err
    assert "evening.csv" in done.err
    assert done.out == ""
    assert not seen


def test_files_that_are_none(ask: Ask, tmp_path: Path) -> None:
    missing = ask(BARN, "nowhere.csv")
    assert missing.code == 2
    assert "nowhere.csv  the file\n    it cannot be read: No such file" in missing.err
    folder = ask(BARN, str(tmp_path))
    assert folder.code == 2
    assert "it cannot be read: Is a directory" in folder.err
    assert ask(BARN, "").code == 2
    assert ask(BARN).code == 2


def test_every_mistake_is_told_at_once(ask: Ask, tmp_path: Path) -> None:
    study = written(tmp_path, "version = 1\n[sensor]\nheight = '19 s'\n", "rig.toml")
    log = written(tmp_path, "frame,verdict,gap\n1,umbrela late,3\n2,keeper,\n")
    done = ask(study, log, "--out", "page.txt")
    assert done.code == 2
    for said in (
        "rig.toml:3",
        "evening.csv:2  verdict",
        "evening.csv:2  gap",
        "no name for a page",
    ):
        assert said in done.err
    assert "4 things need mending" in done.err
    # A frame that is not there is told together with a fault of the study.
    done = ask(study, written(tmp_path, THREE), "--frame", "9")
    assert "rig.toml:3" in done.err
    assert "the log has no frame 9" in done.err


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("\ufefffiller;frame;verdict;gap (mm)\n;1;keeper;\n;2;drop above;3,5\n".encode(), 3),
        (b"frame\tverdict\n1\tkeeper\n\n5\tlate\n", 2),
        (THREE.encode() + b"3,keeper\n", 1),
        ("frame,verdict\n1,keeper\n2,late\n".encode("utf-16"), 1),
        (b"frame,verdict,remarks\n1,keeper,caf\xe9\n2,,\n", 2),
    ],
)
def test_what_was_guessed_is_noted(
    ask: Ask, tmp_path: Path, seen: list[Seen], text: bytes, notes: int
) -> None:
    done = ask(BARN, written(tmp_path, text))
    assert done.code == 0, done.err
    assert done.out.count("Note: ") == len(seen[0].log.notes) == notes
    page = (tmp_path / "reports" / "barn-table-explain.html").read_text(encoding="utf-8")
    assert page.count("<strong>Note.</strong>") == notes


def test_hostile_texts_of_a_log_are_shown_as_text(
    ask: Ask, tmp_path: Path, seen: list[Seen]
) -> None:
    name = "<b>[red]'&\u202e\u009b.csv"
    text = 'frame,setup,verdict,remarks,[/x]\n1,[/b]<script>,keeper,"<script>",1\n'
    text += '2,[red],late,"a\n\u009b",2\n'
    done = ask(BARN, written(tmp_path, text, name))
    assert done.code == 0, done.err
    assert "[/b]<script>" in done.out
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", done.out)
    page = (tmp_path / "reports" / "barn-table-explain.html").read_text(encoding="utf-8")
    assert re.findall("<script[^>]*>", page) == ['<script type="application/json" id="card">']
    assert not re.search("<b>|[\x80-\x9f\u202e]", page)
    wrong = ask(BARN, written(tmp_path, 'verdict\n"\u009b\u202e[/b]<script>"\n', name))
    assert wrong.code == 2
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", wrong.err)


def test_spoilt_logs_end_with_an_answer_or_a_message(
    ask: Ask, tmp_path: Path, seen: list[Seen]
) -> None:
    chance = random.Random(4)
    whole = (STUDIES / "barn-table-log.csv").read_bytes()
    codes = []
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(chance.randint(1, 4)):
            place = chance.randrange(len(data))
            end = place + chance.choice((0, 1, 1, 5, 400))
            data[place:end] = chance.randbytes(chance.randint(0, 3)) + chance.choice(
                (b"", b",", b";", b'"', b"\n", b"\xff", b"-9e999", b"#")
            )
        done = ask(BARN, written(tmp_path, bytes(data)), "--json")
        codes.append(done.code)
        assert "Traceback" not in done.err
        if done.code == 0:
            json.loads(done.out)
        else:
            assert re.match(r"(One thing needs|\d+ things need) mending:\nevening.csv", done.err)
    assert set(codes) == {0, 2}
    assert len(seen) == codes.count(0)
