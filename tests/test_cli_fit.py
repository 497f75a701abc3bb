"""`jitter fit` as a user meets it: exit codes, streams, files, every mistake at once."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
DEMO = str(STUDIES / "barn-table-measurements.csv")
SMALL = ("--setups", "64", "--shots", "8")
RULER = "what,value\nsensor.height,481.5 mm\nsensor.height,481.9 mm\n"


def measured(folder: Path, text: str, name: str = "m.csv") -> str:
    (folder / name).write_text(text, encoding="utf-8")
    return name


def test_writes_a_study_that_runs_and_a_page(tmp_path: Path) -> None:
    reading = ("--reading", "drop height=sd 0.1 mm")
    done = _jitter("fit", BARN, DEMO, *SMALL, *reading, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "valve.release_speed, sd from shot to shot" in " ".join(done.stdout.split())
    study = tmp_path / "barn-table-fitted.toml"
    assert f"study: {study.name}" in done.stderr
    assert done.stdout.splitlines()[-1] == f"Next: jitter run {study.name}"
    page = tmp_path / "reports" / "barn-table-fit.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    run = _jitter("run", study.name, *SMALL, "--json", folder=tmp_path)
    assert run.returncode == 0, run.stderr
    said = tomllib.loads(study.read_text(encoding="utf-8"))["valve"]["release_speed"]
    assert said["basis"] == "120 frames of a single drop in barn-table-measurements.csv"


def test_never_writes_over_a_file(tmp_path: Path) -> None:
    there = tmp_path / "barn-table-fitted.toml"
    there.write_text("mine", encoding="utf-8")
    rows = measured(tmp_path, RULER)
    done = _jitter("fit", BARN, rows, *SMALL, folder=tmp_path)
    assert done.returncode == 2
    assert "stands there already\n    -> add --write NAME.toml\n" in done.stderr
    named = _jitter("fit", BARN, rows, *SMALL, "--write", there.name, folder=tmp_path)
    assert "stands there already\n    -> name another file\n" in named.stderr
    assert there.read_text(encoding="utf-8") == "mine"
    other = _jitter("fit", BARN, rows, *SMALL, "--write", "new.toml", folder=tmp_path)
    assert other.returncode == 0
    assert (tmp_path / "new.toml").exists()


def test_json_alone_writes_where_it_is_told_only(tmp_path: Path) -> None:
    rows = measured(tmp_path, RULER)
    done = _jitter("fit", BARN, rows, *SMALL, "--json", "--seed", "3", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert (document["seed"], document["setups"], document["shots"]) == (3, 64, 8)
    assert [one.name for one in tmp_path.iterdir()] == [rows]
    options = ("--json", "--write", "new.toml", "--seed", "3")
    again = _jitter("fit", BARN, rows, *SMALL, *options, folder=tmp_path)
    assert json.loads(again.stdout) == document
    text = (tmp_path / "new.toml").read_text(encoding="utf-8")
    assert text == document["study_text"]


def test_a_study_from_standard_input(tmp_path: Path) -> None:
    text = Path(BARN).read_text(encoding="utf-8")
    rows = measured(tmp_path, "what;value\nsensor.height;481,5 mm\n")
    done = _jitter("fit", "-", rows, *SMALL, "--quiet", folder=tmp_path, text=text)
    assert (done.returncode, done.stderr) == (0, "")
    assert "481.5 mm" in (tmp_path / "standard-input-fitted.toml").read_text(encoding="utf-8")


def test_a_reading_error_is_taken_off(tmp_path: Path) -> None:
    rows = "what,value\n" + "".join(f"pool.level,{x} mm\n" for x in (0.1, -0.2, 0.3, 0.0))
    name = measured(tmp_path, rows)
    found = []
    for options in ((), ("--reading", "pool.level=within 0.2 mm")):
        done = _jitter("fit", BARN, name, *SMALL, "--json", *options, folder=tmp_path)
        numbers = json.loads(done.stdout)["measured"][0]["numbers"]
        found.append(numbers[-1]["value"])
    # closed form: a half width of 0.2 mm is a standard deviation of 0.2/√3 mm
    assert found[1] ** 2 == pytest.approx(found[0] ** 2 - (2e-4) ** 2 / 3.0)


WRONG = {
    "rows": (
        "sensor.height,483\nsensor.hight,483 mm\nsensor.miss_chance,3 %\ntimer.start,valve\n",
        ("--write", "new.csv", "--out", "page.txt", "--setups", "2000001"),
        (
            *("m.csv:2", "has no unit", "m.csv:3", "sensor.height", "m.csv:4", "m.csv:5"),
            *("--write", "no name for a study", "--out", "no name for a page"),
            "more than a comparison needs",
        ),
    ),
    "reading errors": (
        "sensor.height,483 mm\n",
        (
            *("--reading", "sensor.height=0.1 mm", "--reading", "sensor.height"),
            *("--reading", "sensor.hight=sd 1 mm", "--reading", "pool.level=sd 1 mm"),
            *("--reading", "sensor.height=sd 1 g"),
            *("--reading", "sensor.height=lognormal sd 0.2"),
        ),
        (
            *("half width or standard", "does not say of what", "has no pool.level", "is a mass"),
            "a share does not say",
        ),
    ),
    "what does not fit the rig": (
        "sensor.height,-483 mm\nvalve.nozzle_height,7 m\n",
        (),
        ("m.csv:2", "m.csv:3", "out of range"),
    ),
    "a new study that makes no sense": ("sensor.height,608 mm\n", (), ("-fitted.toml:", "beam")),
    "nothing": ("", (), ("no rows",)),
}


@pytest.mark.parametrize("case", WRONG)
def test_mistakes_end_with_two_and_are_told_at_once(tmp_path: Path, case: str) -> None:
    rows, options, told = WRONG[case]
    name = measured(tmp_path, f"what,value\n{rows}")
    done = _jitter("fit", BARN, name, *SMALL, *options, folder=tmp_path)
    assert done.returncode == 2
    for said in told:
        assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert [one.name for one in tmp_path.iterdir()] == [name]


def test_measurements_that_cannot_be_read(tmp_path: Path) -> None:
    done = _jitter("fit", BARN, "missing.csv", folder=tmp_path)
    assert done.returncode == 2
    assert "cannot be read" in done.stderr
    assert "Traceback" not in done.stderr
