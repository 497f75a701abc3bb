"""`jitter plan` as a user meets it: exit codes, streams, files, every mistake at once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
PORCH = str(STUDIES / "porch-milk-open-bottle.toml")
SMALL = ("--setups", "100", "--shots", "16")


def test_answers_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("plan", BARN, "--want", "12", *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "For at least 12 keepers with 95 % certainty" in " ".join(done.stdout.split())
    page = tmp_path / "reports" / "barn-table-plan.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_json_alone_and_the_options_that_were_given(tmp_path: Path) -> None:
    options = ("--sure", "0.9", "--setup-time", "5 min", "--frames", "40", "--seed", "3", "--json")
    done = _jitter("plan", BARN, "--want", "5", *SMALL, *options, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    told = [document[key] for key in ("want", "sure", "setup_time_s", "evening_frames", "seed")]
    assert told == [5, 0.9, 300.0, 40, 3]
    assert (document["setups"], document["shots"]) == (100, 16)
    assert not (tmp_path / "reports").exists()
    again = _jitter("plan", BARN, "--want", "5", *SMALL, *options, folder=tmp_path)
    assert again.stdout == done.stdout


def test_out_of_reach_ends_with_three(tmp_path: Path) -> None:
    done = _jitter("plan", BARN, "--want", "95", *SMALL, folder=tmp_path)
    assert done.returncode == 3
    assert "out of reach" in " ".join(done.stdout.split())
    assert (tmp_path / "reports" / "barn-table-plan.html").exists()
    as_json = _jitter("plan", BARN, "--want", "95", *SMALL, "--json", folder=tmp_path)
    assert as_json.returncode == 3
    assert json.loads(as_json.stdout)["met"] is False


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--want", "0"), "'0' is not from 1"),
        (("--want=-3",), "'-3' is not from 1"),
        (("--want", "2.5"), "'2.5' is no whole number"),
        (("--want", "twelve"), "'twelve' is no whole number"),
        (("--want", "1", "--sure", "100%"), "certain"),
        (("--want", "1", "--sure", "0"), "not between 0 and 100 %"),
        (("--want", "1", "--sure", "95"), "not between 0 and 100 %"),
        (("--want", "1", "--sure", "often"), "--sure"),
        (("--want", "1", "--setup-time", "20"), "no unit"),
        (("--want", "1", "--setup-time", "3 mm"), "is a length"),
        (("--want", "1", "--setup-time=-3 min"), "below 0"),
        (("--want", "1", "--frames", "0"), "'0' is not from 1"),
        (("--want", "1", "--frames", "1e9"), "no whole number"),
        (("--want", "1", "--setups", "200001"), "more than a plan needs"),
        (("--want", "1", "--shots", "1"), "one shot of each set-up"),
        (("--want", "1", "--set", "session.frames=5000"), "longer than a plan takes"),
        (("--want", "1", "--out", "page.txt"), "no name for a page"),
        ((), "--want"),
    ],
)
def test_mistakes_end_with_two(tmp_path: Path, options: tuple[str, ...], said: str) -> None:
    done = _jitter("plan", BARN, *options, folder=tmp_path)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "reports").exists()


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    options = ("--want", "0", "--sure", "100%", "--setup-time", "3", "--frames", "x")
    text = "version = 1\n[sensor]\nheight = '19 s'\n"
    done = _jitter("plan", "-", *options, folder=tmp_path, text=text)
    assert done.returncode == 2
    for said in ("--want", "--sure", "--setup-time", "--frames", "standard input:3"):
        assert said in done.stderr
    assert "5 things need mending" in done.stderr


def test_shots_of_a_rig_that_drifts_are_its_frames(tmp_path: Path) -> None:
    done = _jitter("plan", PORCH, "--want", "3", "--shots", "10", folder=tmp_path)
    assert done.returncode == 2
    assert "followed frame by frame" in done.stderr
    many = _jitter("plan", PORCH, "--want", "3", "--setups", "90000", folder=tmp_path)
    # closed form: ten million frames followed, 120 to a session.
    assert "ask for 83333 at the most" in many.stderr
    options = ("--want", "3", "--setups", "50", "--frames", "16", "--json")
    document = json.loads(_jitter("plan", PORCH, *options, folder=tmp_path).stdout)
    assert (document["setups"], document["shots"], document["drifts"]) == (50, 16, True)
