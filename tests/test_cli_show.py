"""`jitter show` and `jitter validate` as a user meets them: exit codes, streams, files."""

from __future__ import annotations

import json
from pathlib import Path

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "8", "--shots", "2")


def test_shows_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("show", BARN, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "One shot in time" in done.stdout
    page = tmp_path / "reports" / "barn-table-show.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_shows_json_alone(tmp_path: Path) -> None:
    done = _jitter("show", BARN, *SMALL, "--json", "--set", "flash.power=1/8", folder=tmp_path)
    document = json.loads(done.stdout)
    assert (document["schema"], document["setups"], document["shots"]) == ("jitter.show/1", 8, 2)
    (power,) = (row for row in document["values"] if row["key"] == "flash.power")
    assert (power["nominal"], power["written"]) == (0.125, "1/8")
    assert not (tmp_path / "reports").exists()


def test_more_shots_than_a_picture_needs_are_refused(tmp_path: Path) -> None:
    done = _jitter("show", BARN, "--setups", "100000", "--shots", "100", folder=tmp_path)
    assert done.returncode == 2
    assert "jitter run takes more" in done.stderr
    assert done.stdout == ""


def test_a_bad_study_is_told_and_not_shown(tmp_path: Path) -> None:
    done = _jitter("show", "-", folder=tmp_path, text="version = 1\n[sensor]\nheight = '19 s'\n")
    assert done.returncode == 2
    assert "standard input:3" in done.stderr
    assert not (tmp_path / "reports").exists()


def test_validates_to_stdout_and_to_a_page_of_its_own(tmp_path: Path) -> None:
    done = _jitter("validate", "--out", "seen.html", "--quiet", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert "What does not agree, or cannot be checked" in done.stdout
    assert "<svg" in (tmp_path / "seen.html").read_text(encoding="utf-8")
