"""`jitter power` as a user meets it: options, exit codes, streams, files, every mistake at once."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from jitter.cli.asked import read_worth
from jitter.errors import MistakeError
from tests.conftest import STUDIES
from tests.test_cli import _jitter

BARN = str(STUDIES / "barn-table.toml")
LOFT = str(STUDIES / "loft-guide-number.toml")
HUT = str(STUDIES / "hill-hut-dimmed-strobe.toml")
SMALL = ("--setups", "32", "--shots", "4")


def told(folder: Path, *arguments: str, code: int = 0) -> dict[str, Any]:
    """Return the document that a command prints, and nothing else."""
    done = _jitter("power", *arguments, *SMALL, "--json", "--quiet", folder=folder)
    assert (done.returncode, done.stderr) == (code, "")
    document: dict[str, Any] = json.loads(done.stdout)
    return document


def set_to(*settings: str) -> list[str]:
    return [part for setting in settings for part in ("--set", setting)]


def test_answers_on_stdout_and_writes_a_page(tmp_path: Path) -> None:
    done = _jitter("power", BARN, *SMALL, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    for said in ("the flash ", "The light at each power", "Keepers as set by ruler", "seed 11"):
        assert said in text
    page = tmp_path / "reports" / "barn-table-power.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert str(page.relative_to(tmp_path)) in done.stderr
    assert [file.name for file in page.parent.glob("*.html")] == [page.name]


def test_json_alone_and_the_options_that_were_given(tmp_path: Path) -> None:
    options = ("--trimmed", "--seed", "3", "--worth", "0.5 %")
    document = told(tmp_path, LOFT, *options)
    assert document["schema"] == "jitter.power/1"
    assert (document["setups"], document["shots"]) == (32, 4)
    assert (document["seed"], document["fresh"]["seed"]) == (3, 4)
    assert (document["judged_by"], document["worth_of_a_stop"]) == ("as_trimmed", 0.005)
    assert document["means"] == ["aperture", "iso", "distance"]
    assert list(tmp_path.iterdir()) == []
    # The same draws again, then others.
    assert told(tmp_path, LOFT, *options) == document
    assert told(tmp_path, LOFT, "--trimmed", "--seed", "7")["own"] != document["own"]


@pytest.mark.parametrize(
    ("options", "means"),
    [
        (("--by", "distance", "--by", "aperture"), ["aperture", "distance"]),
        (("--by", "ISO", "--by", " iso "), ["iso"]),
    ],
)
def test_exposure_may_be_kept_by_some_means_alone(
    tmp_path: Path, options: tuple[str, ...], means: list[str]
) -> None:
    document = told(tmp_path, BARN, *options)
    assert document["means"] == means
    assert document["best"]["means"] in means
    assert all(list(power["by"]) == means for power in document["powers"])


@pytest.mark.parametrize(
    ("worth", "share"),
    [
        *(("1%", 0.01), ("1 %", 0.01), ("0.5 %", 0.005), ("99 %", 0.99)),
        *(("0", 0.0), ("0%", 0.0), ("0.02", 0.02), ("1/100", 0.01)),
    ],
)
def test_what_a_stop_is_worth_may_be_written_so(worth: str, share: float) -> None:
    assert read_worth(worth, "--worth") == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize(
    ("worth", "said"),
    [
        ("1.0", "'1.0' leaves open what it means: every frame, or one in a hundred?"),
        ("-1%", "'-1%' is not from 0 to below 100 %"),
        ("-0.01", "'-0.01' is not from 0 to below 100 %"),
        ("100%", "'100%' is not from 0 to below 100 %"),
        ("5", "'5' is not from 0 to below 100 %"),
        ("abc", "'abc' is not a number"),
        ("", "'' is not a number"),
        ("nan", "'nan' is not a number"),
        ("inf", "'inf' is not a number"),
        ("1 mm", "'1 mm' is a length, but a plain number is wanted"),
    ],
)
def test_what_a_stop_is_worth_may_not_be_written_so(worth: str, said: str) -> None:
    with pytest.raises(MistakeError) as caught:
        read_worth(worth, "--worth")
    (fault,) = caught.value.faults
    assert (fault.key, fault.wrong) == ("--worth", said)
    assert fault.right == "write --worth 1%, or --worth 0% if light costs you nothing"


def test_reads_standard_input(tmp_path: Path) -> None:
    text = Path(BARN).read_text(encoding="utf-8")
    done = _jitter("power", "-", *SMALL, "--json", folder=tmp_path, text=text)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["seed"] == 11
    bad = _jitter("power", "-", *SMALL, folder=tmp_path, text=text + "\n[nothing]\n")
    assert bad.returncode == 2
    assert "standard input" in bad.stderr


def test_where_nothing_is_recommended_it_ends_with_three(tmp_path: Path) -> None:
    done = _jitter("power", LOFT, *SMALL, *set_to("flash.guide_number=1000 m"), folder=tmp_path)
    assert done.returncode == 3, done.stderr
    assert done.stdout.splitlines()[2].startswith("No power of this flash gives a right exposure")
    assert len([*(tmp_path / "reports").glob("*.html")]) == 1


def test_a_document_without_a_recommendation_ends_with_three_too(tmp_path: Path) -> None:
    assert told(tmp_path, BARN, "--set", "keeper.blur=1 um", code=3)["best"] is None


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((BARN, "--by"), ("--by",)),
        ((BARN, "--worth", "1"), ("'1' leaves open what it means", "-> write --worth 1%")),
        ((BARN, "--worth", "-1%"), ("'-1%' is not from 0 to below 100 %",)),
        ((BARN, "--setups", "1"), ("--setups",)),
        (
            (BARN, *set_to("flash.distance=30 cm", "flash.nearest=2 cm")),
            ("flash.distance", "flash.nearest", "it has no part without flash.guide_number"),
        ),
        (
            (BARN, *set_to("flash.power=1/256", "flash.lowest_power=1/128")),
            ("1/256 is beyond the flash's range", "or mend flash.lowest_power"),
        ),
        ((BARN, *set_to("flash.power=1/2048", "flash.power_step=3 stop")), ("power_step",)),
        (
            (LOFT, *set_to("camera.aperture=f/45", "camera.iso=50", "flash.distance=2 m")),
            ("camera.narrowest_aperture, f/32", "camera.lowest_iso, ISO 100", "flash.farthest"),
        ),
        (("missing.toml",), ("missing.toml", "cannot be read")),
        ((), ("STUDY",)),
    ],
)
def test_mistakes_end_with_two(
    tmp_path: Path, arguments: tuple[str, ...], said: tuple[str, ...]
) -> None:
    done = _jitter("power", *arguments, folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert all(word in done.stderr for word in said)
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_every_mistake_is_told_at_once(tmp_path: Path) -> None:
    text = "version = 1\n[flash]\ndistance = '30 cm'\n[camera]\naperture = 'f/x'\n"
    options = ("--by", "shutter", "--by", "zoom", "--worth", "1", "--out", "page.txt")
    done = _jitter("power", "-", *options, folder=tmp_path, text=text)
    assert (done.returncode, done.stdout) == (2, "")
    for said in ("input:3", "input:5", "'shutter'", "'zoom'", "--worth", "--out"):
        assert said in done.stderr
    assert "6 things need mending" in done.stderr


def test_never_overwrites_what_it_did_not_make(tmp_path: Path) -> None:
    own = tmp_path / "mine.html"
    own.write_text("<p>my diary</p>", encoding="utf-8")
    done = _jitter("power", BARN, *SMALL, "--out", "mine.html", folder=tmp_path)
    assert done.returncode == 2
    assert "jitter did not make" in done.stderr
    assert own.read_text(encoding="utf-8") == "<p>my diary</p>"
    # A page of its own is written where it is asked for, with --json too.
    digest = told(tmp_path, BARN, "--out", "new.html")["study"]["digest"]
    assert digest in (tmp_path / "new.html").read_text(encoding="utf-8")


def test_prints_in_any_encoding_and_quietly(tmp_path: Path) -> None:
    ascii_only = {"PYTHONIOENCODING": "ascii", "LC_ALL": "C", "COLUMNS": "60"}
    done = _jitter("power", LOFT, *SMALL, "--quiet", folder=tmp_path, **ascii_only)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.isascii()
    assert max(map(len, done.stdout.splitlines())) <= 60


def test_absurd_but_legal_values_are_answered(tmp_path: Path) -> None:
    settings = set_to(
        *("valve.interval=5 s", "session.cadence=0.1 s", "flash.full_recycle=10 min"),
        *("flash.duration_scale=20", "camera.ambient=0 lx", "camera.iso=1e6"),
        *("camera.magnification=10", "camera.aperture=f/0.7", "keeper.exposure=0"),
    )
    done = _jitter("power", HUT, *SMALL, *settings, folder=tmp_path)
    assert done.returncode == 3, done.stderr
    assert "Traceback" not in done.stderr
    assert "The light at each power" in done.stdout
    assert len([*(tmp_path / "reports").glob("*.html")]) == 1


def test_help_has_an_example(tmp_path: Path) -> None:
    done = _jitter("power", "--help", folder=tmp_path)
    assert "Example: jitter power" in done.stdout
    assert "Ends with 3" in " ".join(done.stdout.split())
