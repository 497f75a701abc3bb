"""The command line as a user meets it: exit codes, streams, files."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from jitter.cli import options
from jitter.study import reader
from tests.conftest import STUDIES

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "64", "--shots", "8")


def _jitter(
    *arguments: str, folder: Path, text: str | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "jitter", *arguments],
        cwd=folder,
        input=text,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        check=False,
        env={**os.environ, "COLUMNS": "80", **environment},
    )


def test_answers_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("run", BARN, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Keepers" in done.stdout
    assert "seed 11" in done.stdout
    page = tmp_path / "reports" / "barn-table-run.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr
    assert {file.name for file in page.parent.iterdir()} == {page.name, f"{page.stem}-tables"}


def test_json_is_all_there_is_on_stdout_and_no_page_is_made(tmp_path: Path) -> None:
    done = _jitter("run", BARN, *SMALL, "--json", "--seed", "0", folder=tmp_path)
    document = json.loads(done.stdout)
    assert (document["seed"], document["setups"], document["shots"]) == (0, 64, 8)
    assert not (tmp_path / "reports").exists()


def test_same_seed_same_answer_other_seed_another(tmp_path: Path) -> None:
    answers = [
        _jitter("run", BARN, *SMALL, "--json", "--seed", seed, folder=tmp_path).stdout
        for seed in ("5", "5", "6")
    ]
    assert answers[0] == answers[1] != answers[2]


def test_reads_standard_input(tmp_path: Path) -> None:
    text = Path(BARN).read_text(encoding="utf-8")
    done = _jitter("run", "-", *SMALL, "--json", folder=tmp_path, text=text)
    assert done.returncode == 0
    bad = _jitter("run", "-", *SMALL, "--json", folder=tmp_path, text=text + "\n[nothing]\n")
    assert bad.returncode == 2
    assert "standard input" in bad.stderr


# Every new form of value at once.
WIDE = """\
version = 1
liquid.kind = "milk"
liquid.temperature = { nominal = "12 C", drift = "0.02 K per frame" }
valve.first_opening = { nominal = "50 ms", alike = "40 %" }
valve.second_opening = "50 ms"
valve.flow = "1 ml/s"
air.pressure = "760 mmHg"
flash.half_durations = [["1/64", "80 us"], [1, "2 ms"]]
flash.link = "radio"
"""


def test_a_study_is_shown_as_it_will_be_run(tmp_path: Path) -> None:
    done = _jitter("show", "-", *SMALL, folder=tmp_path, text=WIDE, COLUMNS="160")
    assert done.returncode == 0, done.stderr
    # In the words of the study, and with what follows from them.
    for word in ("milk", "0.02 K", "alike 0.4", "radio", "1 mL/s"):
        assert word in done.stdout
    (page,) = (tmp_path / "reports").glob("*.html")
    assert page.name.endswith("-show.html")
    told = _jitter("show", "-", *SMALL, "--json", folder=tmp_path, text=WIDE)
    assert json.loads(told.stdout)["schema"].startswith("jitter.show/")


def test_a_study_of_every_new_form_is_run(tmp_path: Path) -> None:
    done = _jitter("run", "-", *SMALL, "--json", folder=tmp_path, text=WIDE)
    assert done.returncode == 0, done.stderr
    ranked = {row["quantity"] for row in json.loads(done.stdout)["ranking"]}
    assert {"valve.first_opening", "valve.flow", "flash.delay"} <= ranked
    # What the open time and its flow stand in the place of.
    assert not {"valve.first_volume", "valve.discharge"} & ranked


def test_every_fault_of_a_study_is_told_at_once(tmp_path: Path) -> None:
    text = WIDE.replace("40 %", "140 %").replace("760 mmHg", "760").replace("radio", "rope")
    done = _jitter("show", "-", folder=tmp_path, text=text)
    assert (done.returncode, done.stdout) == (2, "")
    told = [line.split()[1] for line in done.stderr.splitlines() if line.startswith("standard")]
    assert told == ["input:4", "input:7", "input:9"]
    assert list(tmp_path.iterdir()) == []


def test_set_changes_a_value(tmp_path: Path) -> None:
    done = _jitter(
        "run", BARN, *SMALL, "--json", "--set", "sensor.miss_chance=100 %", folder=tmp_path
    )
    # Closed form: a sensor that misses every drop starts no flash.
    assert json.loads(done.stdout)["as_set"]["hit_rate"]["value"] == 0.0


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (("run", "missing.toml"), "jitter new missing.toml"),
        (("run", "my rig.toml"), "jitter new 'my rig.toml'"),
        (("run", "missing.csv"), "write one: jitter new\n"),
        (("run", "."), "cannot be read"),
        (("run",), "STUDY"),
        (("run", BARN, "--setups", "1"), "--setups"),
        (("run", BARN, "--shots", "0"), "--shots"),
        (("run", BARN, "--seed", "x"), "--seed"),
        (("run", BARN, "--seed", "-1"), "seed"),
        (("run", BARN, "--set", "sensor.hight=1"), "height"),
        (("run", BARN, "--set", "nothing"), "--set section.key=value"),
        (("run", BARN, "--nothing"), "--nothing"),
        (("run", BARN, "--out", "page.txt"), ".html"),
        (("run", BARN, "--out", BARN), ".html"),
        (("nothing",), "nothing"),
    ],
)
def test_mistakes_end_with_2_and_no_traceback(
    tmp_path: Path, arguments: tuple[str, ...], word: str
) -> None:
    done = _jitter(*arguments, folder=tmp_path)
    assert done.returncode == 2
    assert word in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--seed", "abc"), "'abc' is no whole number\n    -> write such as --seed 5"),
        (("--setups", "3.5"), "'3.5' is no whole number\n    -> write such as --setups 4096"),
        (("--setups", "1"), "'1' is not from 2 to 50000000\n"),
        (("--shots", "0"), "'0' is not from 1 to 1000000000\n"),
    ],
)
def test_numbers_are_asked_for_in_plain_words(
    tmp_path: Path, arguments: tuple[str, ...], told: str
) -> None:
    assert told in _jitter("run", BARN, *arguments, folder=tmp_path).stderr


def test_the_largest_seed_is_that_of_a_study() -> None:
    assert options.LARGEST_SEED == reader.LARGEST_SEED


def test_binary_study_is_a_mistake(tmp_path: Path) -> None:
    (tmp_path / "rig.toml").write_bytes(b"version = 1\ntitle = \xff\xfe\n")
    done = _jitter("run", "rig.toml", folder=tmp_path)
    assert done.returncode == 2
    assert "rig.toml:2" in done.stderr


def test_never_overwrites_what_it_did_not_make(tmp_path: Path) -> None:
    own = tmp_path / "mine.html"
    own.write_text("<p>my diary</p>", encoding="utf-8")
    done = _jitter("run", BARN, *SMALL, "--out", "mine.html", folder=tmp_path)
    assert done.returncode == 2
    assert own.read_text(encoding="utf-8") == "<p>my diary</p>"
    again = [_jitter("run", BARN, *SMALL, "--out", "new.html", folder=tmp_path) for _ in range(2)]
    assert [one.returncode for one in again] == [0, 0]


def test_quiet_says_nothing_on_stderr(tmp_path: Path) -> None:
    assert _jitter("run", BARN, *SMALL, "--quiet", folder=tmp_path).stderr == ""


def test_prints_in_any_encoding(tmp_path: Path) -> None:
    done = _jitter(
        "run", BARN, *SMALL, "--quiet", folder=tmp_path, PYTHONIOENCODING="ascii", LC_ALL="C"
    )
    assert done.returncode == 0
    assert done.stdout.isascii()


def test_interrupted_ends_with_130(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "jitter", "run", BARN, "--setups", "2000000"],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        assert process.stderr is not None
        # The first word of progress says that the work is under way.
        assert re.search(rb"\d+ % done, about \d+ s left", process.stderr.readline())
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) == 130
        assert b"Traceback" not in process.stderr.read()
    assert list(tmp_path.iterdir()) == []


def test_help_has_an_example(tmp_path: Path) -> None:
    assert "Example" in _jitter("run", "--help", folder=tmp_path).stdout


def test_version(tmp_path: Path) -> None:
    from jitter import __version__

    assert __version__ in _jitter("--version", folder=tmp_path).stdout
