"""`jitter tune` as a user meets it: options, exit codes, streams, files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "16", "--shots", "4")


def test_tunes_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("tune", BARN, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Each start signal at its best" in done.stdout
    page = tmp_path / "reports" / "barn-table-tune.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_tunes_as_json_alone_with_every_option(tmp_path: Path) -> None:
    done = _jitter(
        *("tune", BARN, *SMALL, "--json", "--quiet", "--trimmed", "--seed", "4"),
        *("--keep", "timer.start", "--reach", "420 mm", "19 in", "--phase", "-0.6", "0.1"),
        folder=tmp_path,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    document = json.loads(done.stdout)
    assert (document["schema"], document["setups"], document["shots"]) == ("jitter.tune/2", 16, 4)
    assert (document["seed"], document["fresh"]["seed"]) == (4, 5)
    assert (document["judged_by"], document["kept"]) == ("as_trimmed", ["timer.start"])
    assert document["limits"]["sensor.height"] == pytest.approx([0.42, 0.4826])
    assert document["limits"]["phase"] == [-0.6, 0.1]
    assert not (tmp_path / "reports").exists()


EVERYTHING = ("timer.start", "sensor.height", "valve.interval", "timer.delay")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--keep", "flash.power"), "no setting that is tuned"),
        (tuple(part for key in EVERYTHING for part in ("--keep", key)), "nothing is left to tune"),
        (("--reach", "540 mm", "420 mm"), "is not below"),
        (("--reach", "420", "540 mm"), "no unit"),
        (("--reach", "420 mm", "700 mm"), "not between the surface"),
        (("--reach", "420 mm", "540 mm", "--keep", "sensor.height"), "it has no part here"),
        (("--phase", "0.5", "-0.5"), "no part of the jet's life"),
        (("--phase", "-0.5", "nan"), "no part of the jet's life"),
        (("--phase", "-0.5", "0.5", "--keep", "valve.interval"), "it has no part here"),
    ],
)
def test_what_makes_no_sense_is_refused(
    tmp_path: Path, options: tuple[str, ...], said: str
) -> None:
    done = _jitter("tune", BARN, *SMALL, *options, folder=tmp_path)
    assert done.returncode == 2, done.stderr
    assert said in done.stderr
    assert done.stdout == ""
    assert not (tmp_path / "reports").exists()


def test_a_reach_without_a_sensor_is_refused(tmp_path: Path) -> None:
    options = ("--set", "timer.start=valve", "--keep", "timer.start", "--reach", "1 cm", "2 cm")
    done = _jitter("tune", BARN, *SMALL, *options, folder=tmp_path)
    assert done.returncode == 2
    assert "starts nothing" in done.stderr
