"""`jitter require` as a user meets it: exit codes, streams, files, what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from jitter.cli.hit_rate import read_hit_rate
from jitter.errors import MistakeError
from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "64", "--shots", "4")


@pytest.mark.parametrize("text", ["80%", "80 %", "0.8", "80", "8/10", ".8", "80.0"])
def test_a_hit_rate_is_read_as_people_write_it(text: str) -> None:
    assert read_hit_rate(text) == pytest.approx(0.8)


def test_every_frame_and_few_are_hit_rates() -> None:
    assert read_hit_rate("100%") == read_hit_rate("100") == 1.0
    assert read_hit_rate("1%") == pytest.approx(0.01)
    assert read_hit_rate("0.5%") == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1", "every frame, or one in a hundred?"),
        ("0", "not above 0"),
        ("101%", "not above 0 and up to 100 %"),
        ("500", "not above 0 and up to 100 %"),
        ("-20%", "not above 0"),
        ("most", "is not a number"),
        ("8 mm", "is a length"),
        ("nan", "is not a number"),
        ("0,8", "has a comma"),
    ],
)
def test_what_is_no_hit_rate_is_refused(text: str, said: str) -> None:
    with pytest.raises(MistakeError, match="--hit-rate") as caught:
        read_hit_rate(text)
    assert said in caught.value.faults[0].wrong


def test_answers_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("require", BARN, "sensor.height", "--hit-rate", "60%", *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "As set by ruler, keep sensor.height within" in done.stdout
    page = tmp_path / "reports" / "barn-table-require.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr


def test_out_of_reach_is_answered_and_ends_with_3(tmp_path: Path) -> None:
    done = _jitter(
        "require", BARN, "sensor.height", "--hit-rate", "99%", *SMALL, "--json", folder=tmp_path
    )
    assert done.returncode == 3
    document = json.loads(done.stdout)
    assert document["met"] is False
    assert document["spread"]["as_set"]["limit"] is None
    assert document["what_else"]["as_set"]
    assert not (tmp_path / "reports").exists()


def test_all_and_effort_answer_with_their_questions(tmp_path: Path) -> None:
    prices = tmp_path / "prices.toml"
    prices.write_text("[valve.release_speed]\nshot = { cost = 40 }\n", encoding="utf-8")
    for options, question, rate, code in (
        (["--all"], "all", "60%", 0),
        (["--all"], "all", "99.9%", 3),
        (["--effort", "prices.toml"], "cheapest", "70%", 0),
        (["--effort", "prices.toml"], "cheapest", "99%", 3),
    ):
        done = _jitter(
            "require", BARN, *options, "--hit-rate", rate, *SMALL, "--json", folder=tmp_path
        )
        assert done.returncode == code, done.stderr
        assert json.loads(done.stdout)["question"] == question


def test_same_seed_same_answer_other_seed_another(tmp_path: Path) -> None:
    asked = ("require", BARN, "valve.scatter", "--hit-rate", "60%", *SMALL, "--json")
    answers = [_jitter(*asked, "--seed", seed, folder=tmp_path).stdout for seed in ("5", "5", "6")]
    assert answers[0] == answers[1] != answers[2]


def test_set_ups_asked_for_are_drawn_in_place_of_points(tmp_path: Path) -> None:
    asked = ("require", BARN, "valve.scatter", "--hit-rate", "60%", "--json")
    points, draws = (
        json.loads(_jitter(*asked, *more, folder=tmp_path).stdout) for more in ((), SMALL)
    )
    assert (points["sets"], points["points"]) == (16, 32)
    assert (draws["setups"], draws["shots"]) == (64, 4)
    assert "setups" not in points


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["sensor.hight", "--hit-rate", "80%"], "did you mean sensor.height?"),
        (["height", "--hit-rate", "80%"], "sensor.height, jet.height, valve.nozzle_height or"),
        (["keeper.blur", "--hit-rate", "80%"], "a plain setting and does not stray"),
        (["--hit-rate", "80%"], "nothing is asked for"),
        (["sensor.height", "--all", "--hit-rate", "80%"], "more than one question is asked"),
        (["--all", "--level", "shot", "--hit-rate", "80%"], "a level belongs to one quantity"),
        (["--effort", "none.toml", "--hit-rate", "80%"], "none.toml  --effort"),
        (["sensor.height", "--hit-rate", "80%", "--setups", "200000"], "keep in memory"),
    ],
)
def test_a_question_that_is_not_clear_is_sent_back(
    tmp_path: Path, arguments: list[str], said: str
) -> None:
    done = _jitter("require", BARN, *arguments, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert said in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    prices = tmp_path / "prices.toml"
    prices.write_text("[sensor.hight]\nsetup = { cost = 0 }\n[jet]\nlean = 3\n", encoding="utf-8")
    done = _jitter("require", BARN, "--effort", "prices.toml", "--hit-rate", "1", folder=tmp_path)
    assert done.returncode == 2
    for part in ("3 things need mending", "--hit-rate", "prices.toml:1", "prices.toml:4"):
        assert part in done.stderr


def test_help_documents_the_file_of_prices(tmp_path: Path) -> None:
    done = _jitter("require", "--help", folder=tmp_path, COLUMNS="120")
    assert done.returncode == 0
    assert 'setup = { cost = 10, law = "inverse" }' in " ".join(done.stdout.split())
