"""What every command prints fits the terminal, in letters that it knows.

Each command is asked once, and its answer printed on many terminals; pages are left out.
"""

from __future__ import annotations

import io
import re
import shutil
import sys
from collections.abc import Callable

import pytest
from typer.main import get_command

import jitter.cli.deliver
from jitter.cli import app
from jitter.cli.console import print_screen
from tests.conftest import ROOT, STUDIES

BARN = str(STUDIES / "barn-table.toml")
LOFT = str(STUDIES / "loft-guide-number.toml")
WIDTHS = (60, 80, 140)
ENCODINGS = ("utf-8", "ascii", "latin-1", "cp437")
FEW = ("--setups", "16", "--shots", "4")
ASKED = {
    "run": ("run", str(STUDIES / "porch-milk-open-bottle.toml"), *FEW),
    "show": ("show", str(STUDIES / "garage-second-drop.toml"), *FEW),
    "rank": ("rank", BARN, *FEW),
    "compare": ("compare", BARN, LOFT, str(STUDIES / "church-hall-inches.toml"), *FEW),
    "fit": ("fit", BARN, str(STUDIES / "barn-table-measurements.csv"), *FEW),
    "plan": ("plan", BARN, "--want", "12", *FEW),
    "power": ("power", LOFT, *FEW),
    "tune": ("tune", BARN, *FEW),
    "require": ("require", BARN, "sensor.height", "--hit-rate", "80%", *FEW),
    "require all": ("require", BARN, "--all", "--hit-rate", "60%", *FEW),
    "quantities": ("quantities",),
    "quantities flash": ("quantities", "flash"),
    "index": ("index", "pages"),
    "validate": ("validate",),
    # `explain` has no small size: tests/report/test_explain.py prints answers made of small parts.
}
UNIT = re.compile(r"\d\n +(?:%|[mµun]?[ms]|°?C|stops?)[\s,.;:)]")
"""A number torn from its unit, in a sentence that goes on below."""


NARROW_ALONE = {"whose", "or", "on", "what", "our", "default", "rests", "practice", "set-up"}
"""Words that explain what a narrow screen says shortly."""


def words(text: str) -> set[str]:
    """Return the words of a text."""
    return set(re.findall(r"[A-Za-z][A-Za-z_-]*[A-Za-z]", text))


class PrintedError(Exception):
    """The screen is there: the page is not waited for."""


@pytest.fixture(scope="module", params=ASKED)
def screens(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> dict[tuple[str, int], str]:
    """Return the screens of a command, by encoding and width."""
    folder = tmp_path_factory.mktemp("screens")
    (folder / "pages").mkdir()
    shutil.copy(ROOT / "reports" / "barn-table-run.html", folder / "pages")
    printed: dict[tuple[str, int], str] = {}

    def print_all(screen: Callable[[int, bool], object]) -> None:
        for encoding in ENCODINGS:
            for width in WIDTHS:
                data = io.BytesIO()
                patch.setenv("COLUMNS", str(width))
                patch.setattr(sys, "stdout", io.TextIOWrapper(data, encoding=encoding))
                print_screen(screen)  # type: ignore[arg-type]
                sys.stdout.flush()
                printed[encoding, width] = data.getvalue().decode(encoding)
        raise PrintedError

    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.delenv("NO_COLOR", raising=False)
        patch.setattr(jitter.cli.deliver, "print_screen", print_all)
        with pytest.raises(PrintedError):
            get_command(app).main([*ASKED[request.param]], standalone_mode=False)
    return printed


def test_no_line_is_wider_than_the_terminal(screens: dict[tuple[str, int], str]) -> None:
    for (_, width), text in screens.items():
        assert max(map(len, text.splitlines())) <= width


def test_no_line_ends_in_blanks(screens: dict[tuple[str, int], str]) -> None:
    for text in screens.values():
        assert not re.search(r" +$", text, re.MULTILINE)


def test_no_letter_is_lost(screens: dict[tuple[str, int], str]) -> None:
    for (encoding, width), text in screens.items():
        # A question mark stands in the place of what has no other letter.
        assert text.count("?") == screens["utf-8", width].count("?"), encoding


def test_no_word_is_broken_and_no_unit_torn_off(screens: dict[tuple[str, int], str]) -> None:
    whole = words(screens["utf-8", 140])
    for width in WIDTHS:
        text = screens["utf-8", width]
        assert not UNIT.search(text)
        assert words(text) - whole <= NARROW_ALONE


def test_without_a_terminal_there_is_no_colour(screens: dict[tuple[str, int], str]) -> None:
    assert not any("\x1b" in text for text in screens.values())
