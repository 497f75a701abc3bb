"""The help of every command: it ends with an example, and the example works."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.core import TyperGroup
from typer.main import get_command

from jitter.cli import _fitted, app
from jitter.errors import Fault
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


@pytest.mark.parametrize("name", COMMANDS)
def test_help_speaks_of_no_types_and_limits(name: str, tmp_path: Path) -> None:
    told = _jitter(name, "--help", folder=tmp_path).stdout
    assert not re.search(r"<(str|int|list|float)|<=|range>", told)
    assert "{" not in told.splitlines()[0]


def test_a_missing_study_is_asked_for_by_its_name(tmp_path: Path) -> None:
    told = _jitter("run", folder=tmp_path).stderr
    assert re.match(r"Usage: .* run \[OPTIONS\] STUDY\n", told)


@pytest.mark.parametrize(
    ("arguments", "missing"),
    [
        (("plan", "studies/barn-table.toml"), "--want"),
        (("require", "studies/barn-table.toml", "sensor.height"), "--hit-rate"),
        (("explain", "studies/barn-table.toml"), "LOG"),
    ],
)
def test_what_is_missing_is_shown_in_an_example(
    arguments: tuple[str, ...], missing: str, tmp_path: Path
) -> None:
    told = _jitter(*arguments, folder=tmp_path)
    assert told.returncode == 2
    assert re.search(rf"Missing \w+ '{missing}'\. Such as: ", told.stderr)
    assert told.stderr.rstrip().endswith(example(arguments[0]))


@pytest.mark.parametrize(
    ("given", "words"), [("abc", "it is no whole number"), ("1", "it is less than 2")]
)
def test_numbers_of_one_command_alone_are_asked_for_in_plain_words(
    given: str, words: str, tmp_path: Path
) -> None:
    asked = ("require", "x.toml", "sensor.height", "--hit-rate", "80%", "--setups", given)
    assert f"Invalid value for '--setups': {words}\n" in _jitter(*asked, folder=tmp_path).stderr


def test_the_list_of_commands_cuts_no_sentence(tmp_path: Path) -> None:
    told = " ".join(_jitter("--help", folder=tmp_path, COLUMNS="60").stdout.split())
    assert told.count("...") == 1, "COMMAND [ARGS]... alone"
    for command in COMMANDS.values():
        assert (command.help or "").partition("\n")[0] in told


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_a_mistake_is_told_in_lines_that_fit(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    fault = Fault("--set", None, "sensor.height", "it has no unit", "write " + "19 in " * 30)
    first, wrong, right, *more = _fitted(str(fault)).splitlines()
    assert (first, wrong) == ("--set  sensor.height", "    it has no unit")
    assert right.startswith("    -> write 19 in")
    assert all(line.startswith(("       19", "       in")) for line in more)
    assert max(map(len, (right, *more))) < columns


def test_every_command_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = set(re.findall(r"^\| `jitter (\w+)", readme, re.MULTILINE))
    assert set(COMMANDS) == table
