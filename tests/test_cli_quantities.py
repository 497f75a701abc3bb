"""`jitter quantities` as a user meets it: exit codes, streams, files."""

from __future__ import annotations

import json
from pathlib import Path

from jitter.stages import CHAIN
from tests.test_cli import _jitter


def test_prints_the_list_in_any_encoding_and_writes_nothing(tmp_path: Path) -> None:
    done = _jitter(
        "quantities", folder=tmp_path, COLUMNS="60", PYTHONIOENCODING="ascii", LC_ALL="C"
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.isascii()
    assert max(len(line) for line in done.stdout.splitlines()) <= 60
    assert "nozzle_height" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_json_is_all_there_is_on_stdout(tmp_path: Path) -> None:
    done = _jitter("quantities", "--json", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert set(CHAIN.declarations) <= {item["key"] for item in json.loads(done.stdout)["items"]}
    assert list(tmp_path.iterdir()) == []


def test_unknown_words_are_all_told_and_end_with_2(tmp_path: Path) -> None:
    done = _jitter("quantities", "sensr", "timer", "hight", "--out", "a.html", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "2 things need mending" in done.stderr
    for word in ("sensr", "did you mean sensor?", "hight", "did you mean height?"):
        assert word in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_writes_a_page_where_told_and_says_so(tmp_path: Path) -> None:
    done = _jitter("quantities", "sensor", "--json", "--out", "page.html", folder=tmp_path)
    assert done.returncode == 0
    assert [item["section"] for item in json.loads(done.stdout)["items"]] == ["sensor"] * 5
    assert "page.html" in done.stderr
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>")
    assert "sensor.height" in page
    assert "valve.latency" not in page


def test_never_overwrites_what_it_did_not_make(tmp_path: Path) -> None:
    own = tmp_path / "mine.html"
    own.write_text("<p>my diary</p>", encoding="utf-8")
    done = _jitter("quantities", "--out", "mine.html", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert own.read_text(encoding="utf-8") == "<p>my diary</p>"
