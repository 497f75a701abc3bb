"""A page of every command, small and quickly made."""

from __future__ import annotations

from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

from jitter.cli import app
from tests.conftest import STUDIES

BARN = str(STUDIES / "barn-table.toml")
LOG = str(STUDIES / "barn-table-log.csv")
MEASURED = str(STUDIES / "barn-table-measurements.csv")
SMALL = ("--setups", "64", "--shots", "16")

COMMANDS: dict[str, tuple[str, ...]] = {
    "run": ("run", BARN, *SMALL),
    "run-drifting": ("run", str(STUDIES / "porch-milk-open-bottle.toml"), *SMALL),
    "show": ("show", BARN),
    "rank": ("rank", BARN, *SMALL),
    "compare": ("compare", BARN, "--with", "timer.start=second drop", "--aim", *SMALL),
    "explain": ("explain", BARN, LOG),
    "explain-frame": ("explain", BARN, LOG, "--frame", "12"),
    "fit": ("fit", BARN, MEASURED, "--reading", "drop height=sd 0.1 mm"),
    "plan": ("plan", BARN, "--want", "12", *SMALL),
    "power": ("power", BARN, "--by", "aperture", *SMALL),
    "tune": ("tune", BARN, "--keep", "timer.start", *SMALL),
    "require": ("require", BARN, "sensor.height", "--hit-rate", "80%", *SMALL),
    "require-all": ("require", BARN, "--all", "--hit-rate", "80%", *SMALL),
    "quantities": ("quantities",),
}


def make_pages(folder: Path, names: dict[str, tuple[str, ...]] = COMMANDS) -> dict[str, Path]:
    """Make the pages of some commands in a folder, and return their files."""
    made = {}
    for name, arguments in names.items():
        made[name] = folder / f"{name}.html"
        more = ("--write", str(folder / "fitted.toml")) if name == "fit" else ()
        with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
            app([*arguments, *more, "--out", str(made[name])], standalone_mode=False)
    return made
