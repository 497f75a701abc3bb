"""`jitter rank` as a user meets it: exit codes, streams, files."""

from __future__ import annotations

import json
from pathlib import Path

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "16", "--shots", "4")


def test_ranks_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("rank", BARN, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Uncertainty budget of the age" in done.stdout
    page = tmp_path / "reports" / "barn-table-rank.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_prints_json_alone_and_the_same_twice(tmp_path: Path) -> None:
    asked = ("rank", BARN, *SMALL, "--json", "--seed", "0", "--set", "flash.power=1/8")
    done = _jitter(*asked, folder=tmp_path)
    document = json.loads(done.stdout)
    assert (document["schema"], document["seed"]) == ("jitter.rank/1", 0)
    assert (document["setups"], document["shots"]) == (16, 4)
    assert not (tmp_path / "reports").exists()
    assert _jitter(*asked, folder=tmp_path).stdout == done.stdout
    other = _jitter(*asked[:-4], "--seed", "1", folder=tmp_path)
    assert json.loads(other.stdout)["ranking"] != document["ranking"]


def test_more_shots_than_a_ranking_needs_are_refused(tmp_path: Path) -> None:
    done = _jitter("rank", BARN, "--setups", "100000", "--shots", "1000", folder=tmp_path)
    assert done.returncode == 2
    assert "more than a ranking needs" in done.stderr
    assert done.stdout == ""


def test_is_quiet_where_asked(tmp_path: Path) -> None:
    done = _jitter("rank", BARN, *SMALL, "--quiet", "--out", "seen.html", folder=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "<svg" in (tmp_path / "seen.html").read_text(encoding="utf-8")
