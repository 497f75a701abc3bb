"""Make the pages in reports/ anew: every shipped study, one page of every question, the index.

Run with ``python -m tests.make_reports``. `tests/test_reports.py` says when they are stale.
"""

from __future__ import annotations

from contextlib import chdir, redirect_stdout
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from jitter.cli import app
from tests.conftest import ROOT, STUDIES
from tests.readme_pictures import PICTURES

REPORTS = ROOT / "reports"
SHOWN = REPORTS / "pictures"

BARN, GARAGE = "studies/barn-table.toml", "studies/garage-second-drop.toml"
COMMANDS: dict[str, tuple[str, ...]] = {
    **{
        f"{path.stem}-run": ("run", f"studies/{path.name}")
        for path in sorted(STUDIES.glob("*.toml"))
    },
    "barn-table-show": ("show", BARN),
    "barn-table-rank": ("rank", BARN),
    "barn-table-compare": ("compare", BARN, "--with", "timer.start=second drop", "--aim"),
    "barn-table-require": ("require", BARN, "sensor.height", "--hit-rate", "70%"),
    "barn-table-power": ("power", BARN),
    "barn-table-tune": ("tune", BARN),
    "barn-table-plan": ("plan", BARN, "--want", "12", "--sure", "95%"),
    "barn-table-explain": ("explain", BARN, "studies/barn-table-log.csv"),
    "garage-second-drop-explain": ("explain", GARAGE, "studies/garage-second-drop-log.csv"),
    "barn-table-fit": ("fit", BARN, "studies/barn-table-measurements.csv"),
}
"""By the name of a page, what makes it, from the folder of the project."""


def make_page(name: str, folder: Path) -> Path:
    """Make a page in a folder, as the command makes it, and return its file."""
    target = folder / f"{name}.html"
    with TemporaryDirectory() as elsewhere:
        # What else a command writes has no place here.
        more = ("--write", f"{elsewhere}/fitted.toml") if COMMANDS[name][0] == "fit" else ()
        _jitter(*COMMANDS[name], *more, "--out", str(target))
    return target


def main() -> None:
    """Make all pages; the index last, since it reads the others."""
    for name in COMMANDS:
        make_page(name, REPORTS)
    _jitter("validate", "--out", str(REPORTS / "validation.html"))
    _jitter("index", str(REPORTS))
    SHOWN.mkdir(exist_ok=True)
    page = (REPORTS / "barn-table-run.html").read_text(encoding="utf-8")
    for name, picture in PICTURES.items():
        (SHOWN / f"{name}.svg").write_text(picture(page).svg, encoding="utf-8")


def _jitter(*arguments: str) -> None:
    # The screens are for nobody here; which page was written is told beside them.
    with chdir(ROOT), redirect_stdout(StringIO()):
        app(list(arguments), standalone_mode=False)


if __name__ == "__main__":
    main()
