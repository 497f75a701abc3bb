"""What the shell is told when the tab key is pressed."""

from __future__ import annotations

import subprocess
import sys

import pytest

from jitter.cli.completing import offer_quantities, offer_settings, offer_words
from jitter.quantities import Kind, Quantity
from jitter.stages import CHAIN
from jitter.study.reader import read_study

CODE = "import sys; sys.argv = ['jitter']; from jitter.cli import main; main()"
BARN = "studies/barn-table.toml"


def ask(*words: str, shell: str = "bash", loud: bool = False) -> subprocess.CompletedProcess[str]:
    """Complete the last of some words, as a shell asks for it."""
    return subprocess.run(
        [sys.executable, *(("-X", "importtime") if loud else ()), "-c", CODE],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={
            "PATH": "",
            "_JITTER_COMPLETE": f"complete_{shell}",
            "COMP_WORDS": "\n".join(("jitter", *words)),
            "COMP_CWORD": str(len(words)),
            "_TYPER_COMPLETE_ARGS": " ".join(("jitter", *words)),
            "_TYPER_COMPLETE_FISH_ACTION": "get-args",
        },
    )


def offered(*words: str) -> list[str]:
    return ask(*words).stdout.splitlines()


@pytest.mark.parametrize("command", [("run", BARN, "--set"), ("compare", BARN, "--with")])
def test_a_key_that_is_set_is_completed_with_its_spreads(command: tuple[str, ...]) -> None:
    assert offered(*command, "sensor.h") == [
        *("sensor.height=", "sensor.height.setup=", "sensor.height.shot="),
    ]
    sensors = [f"{key}=" for key in CHAIN.declarations if key.startswith("sensor.")]
    assert offered(*command, "sensor.") == sensors
    assert offered(*command, "sensor.height.s") == ["sensor.height.setup=", "sensor.height.shot="]
    # A word is chosen and does not stray.
    assert offered(*command, "flash.ki") == ["flash.kind="]


def test_a_quantity_of_a_requirement_is_completed() -> None:
    assert offered("require", BARN, "valve.first_d") == ["valve.first_diameter"]
    # What starts the timer does not stray, its delay may.
    assert "timer.delay" in offered("require", BARN, "timer.")
    assert "timer.start" not in offered("require", BARN, "timer.")


def test_a_word_of_the_listing_is_completed_by_sections_and_keys() -> None:
    assert offered("quantities", "sh") == ["sheet", "sheet.spread_scale"]
    assert offered("quantities", "sheet", "res")[0] == "reservoir"


def test_shells_with_room_show_what_a_key_means() -> None:
    told = ask("quantities", "sensor.h", shell="fish").stdout.split("\t")
    assert told[0] == "sensor.height"
    assert told[1].strip() == CHAIN.declarations["sensor.height"].meaning
    assert '"sensor.height":' in ask("quantities", "sensor.h", shell="zsh").stdout


@pytest.mark.parametrize("command", [("run", "st"), ("new", "st"), ("compare", BARN, "st")])
def test_files_are_left_to_the_shell(command: tuple[str, ...]) -> None:
    # Where nothing is offered, the shell offers files.
    assert ask(*command).stdout.strip() == ""


def test_all_keys_are_offered_and_mean_what_a_study_means() -> None:
    keys = {word.removesuffix("=") for word, _ in offer_settings("")}
    spheres = {
        declared.diameter_key
        for declared in CHAIN.declarations.values()
        if isinstance(declared, Quantity) and declared.diameter_key
    }
    assert len(spheres) == 2
    assert keys == {*CHAIN.declarations, *spheres}
    assert {word for word, _ in offer_words("")} == keys | {key.partition(".")[0] for key in keys}
    settings = {
        key
        for key, declared in CHAIN.declarations.items()
        if not isinstance(declared, Quantity) or declared.kind is Kind.SETTING
    }
    assert {word for word, _ in offer_quantities("")} == keys - settings


def test_spreads_that_are_offered_can_be_set() -> None:
    for word, _ in offer_settings("sensor.height"):
        value = "480 mm" if word == "sensor.height=" else "sd 1 mm"
        study = read_study("version = 1", source="", chain=CHAIN, settings=[f"{word}{value}"])
        assert study.entries["sensor.height"].given


def test_nothing_heavy_is_imported_for_an_offer() -> None:
    done = ask("run", BARN, "--set", "sensor.h", loud=True)
    loaded = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert "jitter.stages" in loaded
    assert not loaded & {"scipy", "rich", "pandas", "matplotlib", "seaborn"}
