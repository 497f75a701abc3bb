"""`jitter new` as a user meets it: exit codes, streams, files."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from jitter.answers.reference.starter import starter
from jitter.stages import CHAIN
from tests.test_cli import SMALL, _jitter


def test_writes_a_study_that_runs_and_says_what_is_next(tmp_path: Path) -> None:
    done = _jitter("new", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert [one.name for one in tmp_path.iterdir()] == ["my-rig.toml"]
    assert (tmp_path / "my-rig.toml").read_text(encoding="utf-8") == starter(CHAIN)
    assert "study: my-rig.toml" in done.stdout
    command = done.stdout.rpartition("Next: jitter ")[2].split()
    assert command == ["run", "my-rig.toml"]
    run = _jitter(*command, *SMALL, "--json", folder=tmp_path)
    assert run.returncode == 0, run.stderr
    assert (
        json.loads(run.stdout)["study"]["title"] == "My rig, to be overwritten with my own numbers"
    )


def test_in_inches_in_a_folder_of_its_own(tmp_path: Path) -> None:
    name = str(Path("rigs") / "in the barn.toml")
    done = _jitter("new", name, "--inches", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert f"Next: jitter run '{name}'" in done.stdout
    said = tomllib.loads((tmp_path / name).read_text(encoding="utf-8"))
    assert said["sensor"]["height"]["nominal"] == "19 in"
    assert [one.name for one in (tmp_path / "rigs").iterdir()] == ["in the barn.toml"]


def test_is_printed_for_a_hyphen_and_nothing_is_written(tmp_path: Path) -> None:
    done = _jitter("new", "-", folder=tmp_path, PYTHONIOENCODING="ascii", LC_ALL="C")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == starter(CHAIN)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("what", ["file", "folder", "link to nowhere"])
def test_never_writes_over_anything(tmp_path: Path, what: str) -> None:
    there = tmp_path / "my-rig.toml"
    if what == "file":
        there.write_text("mine", encoding="utf-8")
    elif what == "folder":
        there.mkdir()
    else:
        there.symlink_to("nowhere.toml")
    done = _jitter("new", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "stands there already" in done.stderr
    assert [one.name for one in tmp_path.iterdir()] == [there.name]
    if what == "file":
        assert there.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("rig.txt", "no name for a study"),
        ("", "no name for a study"),
        ("rig", ".toml"),
        (f"{'a' * 300}.toml", "cannot be written"),
    ],
)
def test_mistakes_end_with_2_and_write_nothing(tmp_path: Path, name: str, word: str) -> None:
    done = _jitter("new", name, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert word in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_file_stands_in_the_place_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "rigs").write_text("mine", encoding="utf-8")
    done = _jitter("new", "rigs/one.toml", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr
