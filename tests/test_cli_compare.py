"""`jitter compare` as a user meets it: variants, names, exit codes, every mistake at once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN, GARAGE = (str(STUDIES / f"{name}.toml") for name in ("barn-table", "garage-second-drop"))
SMALL = ("--setups", "64", "--shots", "8")
SECOND = "timer.start=second drop"


def test_answers_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("compare", BARN, GARAGE, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "B (garage-second-drop)" in " ".join(done.stdout.split())
    page = tmp_path / "reports" / "barn-table-compare.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_variants_of_one_study(tmp_path: Path) -> None:
    both = f"{SECOND}; reservoir.constant_head = no"
    options = ("--with", SECOND, "--with", both, "--aim", "--json", "--seed", "9")
    done = _jitter("compare", BARN, *options, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    names = [one["name"] for one in document["studies"]]
    assert names == ["barn-table", SECOND, f"{SECOND}; reservoir.constant_head = no"]
    assert (document["seed"], document["setups"], document["shots"]) == (9, 64, 8)
    assert document["aimed"] is True
    third = document["pairs"][1]["differences"]
    assert {change["key"] for one in third for change in one} == {
        "timer.start",
        "timer.delay",
        "reservoir.constant_head",
    }
    assert not (tmp_path / "reports").exists()
    again = _jitter("compare", BARN, *options, *SMALL, folder=tmp_path)
    assert again.stdout == done.stdout


@pytest.mark.parametrize("others", [(GARAGE,), ("--with", SECOND)])
def test_settings_hold_for_every_study(tmp_path: Path, others: tuple[str, ...]) -> None:
    options = ("--set", "sensor.miss_chance=50 %", "--json")
    done = _jitter("compare", BARN, *others, *options, *SMALL, folder=tmp_path)
    for study in json.loads(done.stdout)["studies"]:
        (missed,) = (one for one in study["as_set"]["reasons"] if one["reason"] == "no start")
        # Half of 512 shots, within 4.5 standard errors: 4.5 · √(0.25/512) = 0.1.
        assert abs(missed["share"] - 0.5) < 0.1


def test_files_of_one_name_are_told_apart(tmp_path: Path) -> None:
    for folder, height in (("left", "480 mm"), ("right", "481 mm")):
        (tmp_path / folder).mkdir()
        text = f"version = 1\n[sensor]\nheight = '{height}'\n"
        (tmp_path / folder / "rig.toml").write_text(text, encoding="utf-8")
    done = _jitter("compare", "left/rig.toml", "right/rig.toml", "--json", *SMALL, folder=tmp_path)
    names = [one["name"] for one in json.loads(done.stdout)["studies"]]
    assert names == ["left/rig.toml", "right/rig.toml"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((BARN,), "one study alone"),
        ((BARN, BARN), "it says the same as"),
        ((BARN, "--with", "sensor.height=483 mm"), "it says the same as barn-table"),
        ((BARN, GARAGE, "--with", SECOND), "several are named"),
        ((BARN, "nowhere.toml"), "cannot be read"),
        ((BARN, "--with", ";"), "it changes nothing"),
        ((BARN, "--with", "sensor.hight=1 mm"), "--with  sensor.hight"),
        ((BARN, "--with", "sensor.height=1 s"), "--with  sensor.height"),
        ((BARN, "--with", "timer.start"), "--with  timer.start"),
        (("-", "-"), "once only"),
        (("-", "--with", SECOND), "once only"),
        ((BARN, *(f"--with=timer.delay={n} ms" for n in range(200, 212))), "13 studies are too"),
        ((BARN, GARAGE, "--setups", "2000001"), "more than a comparison needs"),
        ((BARN, GARAGE, "--out", "page.txt"), "no name for a page"),
        ((), "STUDY"),
    ],
)
def test_mistakes_end_with_two(tmp_path: Path, arguments: tuple[str, ...], said: str) -> None:
    done = _jitter("compare", *arguments, folder=tmp_path, text="version = 1\n")
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "reports").exists()


def test_every_mistake_of_every_study_is_told_at_once(tmp_path: Path) -> None:
    text = "version = 1\n[sensor]\nheight = '19 s'\nhight = 3\n"
    (tmp_path / "one.toml").write_text(text, encoding="utf-8")
    (tmp_path / "two.toml").write_text("version = 2\n", encoding="utf-8")
    done = _jitter("compare", "one.toml", "two.toml", "three.toml", folder=tmp_path)
    assert done.returncode == 2
    assert "4 things need mending" in done.stderr
    for said in ("one.toml:3", "one.toml:4", "two.toml:1", "three.toml"):
        assert said in done.stderr


def test_a_fault_of_the_study_is_told_once(tmp_path: Path) -> None:
    text = "version = 1\n[sensor]\nheight = '19 s'\n"
    (tmp_path / "rig.toml").write_text(text, encoding="utf-8")
    options = ("--with", SECOND, "--with", "sensor.width=1 s", "--set", "valve.foo=1")
    done = _jitter("compare", "rig.toml", *options, folder=tmp_path)
    assert "3 things need mending" in done.stderr
    for said in ("rig.toml:3", "--set  valve.foo", "--with  sensor.width"):
        assert said in done.stderr
