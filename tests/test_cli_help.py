"""The help of every command: it ends with an example, and the example works."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.core import TyperGroup
from typer.main import get_command

from jitter.cli import app
from tests.conftest import ROOT, STUDIES
from tests.test_cli import _jitter

GROUP = get_command(app)
assert isinstance(GROUP, TyperGroup)
COMMANDS = GROUP.commands
SLOW = {"explain", "validate", "tune"}
"""Their example is read, and not run: it takes seconds at any size."""
SMALLER = (("--setups", "16"), ("--shots", "4"), ("--json",))


def example(name: str) -> str:
    """Return the example of a command, as it is typed."""
    found = re.fullmatch(r"[\b\s]*Example: (jitter .*)", COMMANDS[name].epilog or "")
    assert found is not None, f"{name} has no example"
    return found[1]


def options(name: str) -> set[str]:
    return {option for parameter in COMMANDS[name].params for option in parameter.opts}


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_can_be_read(name: str) -> None:
    program, command, *arguments = shlex.split(example(name))
    assert (program, command) == ("jitter", name)
    # A mistake raises.
    context = COMMANDS[name].make_context(name, list(arguments))
    assert context.params
    for word in arguments:
        if word.startswith("studies/"):
            assert (ROOT / word).is_file()


@pytest.mark.parametrize("name", sorted(set(COMMANDS) - SLOW))
def test_the_example_is_answered(name: str, tmp_path: Path) -> None:
    (tmp_path / "studies").symlink_to(STUDIES)
    (tmp_path / "reports").mkdir()
    shutil.copy(ROOT / "reports" / "barn-table-run.html", tmp_path / "reports" / "shown.html")
    _, *arguments = shlex.split(example(name))
    for smaller in SMALLER:
        if smaller[0] in options(name) and smaller[0] not in arguments:
            arguments += smaller
    done = _jitter(*arguments, folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_help_ends_with_the_example_on_one_line(name: str, tmp_path: Path) -> None:
    told = _jitter(name, "--help", folder=tmp_path, COLUMNS="60").stdout
    assert told.splitlines()[-1].strip() == f"Example: {example(name)}"


def test_every_command_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = set(re.findall(r"^\| `jitter (\w+)", readme, re.MULTILINE))
    assert set(COMMANDS) == table
