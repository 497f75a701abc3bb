"""The README's promises that a machine can hold it to, and the shape of the project."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from jitter import __version__
from jitter.report.target import page_target
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from tests.conftest import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("heading", ["Run it", "Test it"])
def test_heading_is_followed_by_one_block_of_one_line(heading: str) -> None:
    section = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", README, re.MULTILINE | re.DOTALL)
    assert section is not None
    blocks = re.findall(r"^```sh\n(.*?)^```", section[1], re.MULTILINE | re.DOTALL)
    assert len(blocks) == 1
    assert len(blocks[0].splitlines()) == 1
    assert section[1].lstrip().startswith("```sh")


def test_a_newcomer_is_told_what_to_type_first() -> None:
    section = README.partition("## Run it")[2].partition("\n## ")[0]
    block, _, told = section.partition("```sh")[2].partition("```")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    least = project["requires-python"].removeprefix(">=")
    assert f"Python {least} or newer" in told.strip().partition("\n")[0]
    # Commands that begin with the bare word need the environment, which the block does not open.
    assert "activate" not in block
    for typed in (". .venv/bin/activate", ".venv\\Scripts\\activate", ".venv\\Scripts\\jitter run"):
        assert f"`{typed}" in told


def test_the_page_named_is_the_one_that_the_line_writes() -> None:
    (study,) = re.findall(r"jitter run (studies/\S+\.toml)$", README, re.MULTILINE)[:1]
    assert f"`{page_target(study, 'run', None).as_posix()}`" in README


def test_the_study_shown_can_be_read() -> None:
    shown = re.search(r"^```toml\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    assert shown is not None
    assert read_study(shown[1], source="README.md", chain=CHAIN).seed == 11


def test_the_output_shown_is_what_the_command_prints(tmp_path: Path) -> None:
    shown = re.search(r"^```text\n(.*?)^…\n```", README, re.MULTILINE | re.DOTALL)
    assert shown is not None
    study = str(ROOT / "studies" / "barn-table.toml")
    page = str(tmp_path / "page.html")
    done = subprocess.run(
        [sys.executable, "-m", "jitter", "run", study, "--quiet", "--out", page],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
        env={**os.environ, "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"},
    )
    printed = [line.rstrip() for line in done.stdout.splitlines()]
    expected = shown[1].splitlines()
    assert len(expected) > 20
    assert printed[: len(expected)] == expected


def test_cautions() -> None:
    for word in ("RCD", "GFCI", "capacitors", "Sync", "seizures", "slippery", "Dyes", "licensed"):
        assert word in README


def test_versions_agree() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == __version__
    assert project["license"] == "MIT"
    assert sorted(project["dependencies"]) == ["numpy", "pandas", "scipy", "seaborn", "typer"]


def test_top_level() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("not a checkout")
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    top = {line.split("/")[0] for line in done.stdout.splitlines()}
    wanted = {"README.md", "DEVELOPERS.md", "pyproject.toml", "jitter", "tests", "studies"}
    assert {name for name in top if not name.startswith(".")} == wanted | {"reports"}


def test_no_file_is_long() -> None:
    lengths = {
        path: len(path.read_text(encoding="utf-8").splitlines())
        for folder in ("jitter", "tests")
        for path in (ROOT / folder).rglob("*.py")
    }
    assert max(lengths.values()) <= 400
    package = sorted(
        length for path, length in lengths.items() if path.is_relative_to(ROOT / "jitter")
    )
    assert package[len(package) // 2] < 150
