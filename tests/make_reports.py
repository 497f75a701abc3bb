"""Make the pages in reports/ anew: every shipped study, the validation, the index.

Run with ``python -m tests.make_reports``. `tests/test_reports.py` says when they are stale.
"""

from __future__ import annotations

from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

from jitter.cli import app
from tests.conftest import ROOT, STUDIES

REPORTS = ROOT / "reports"


def make_page(study: Path, folder: Path) -> Path:
    """Make the page of a study in a folder, as the command makes it, and return its file."""
    target = folder / f"{study.stem}-run.html"
    _jitter("run", str(study), "--out", str(target))
    return target


def main() -> None:
    """Make all pages; the index last, since it reads the others."""
    for study in sorted(STUDIES.glob("*.toml")):
        make_page(study, REPORTS)
    _jitter("validate", "--out", str(REPORTS / "validation.html"))
    _jitter("index", str(REPORTS))


def _jitter(*arguments: str) -> None:
    # The screens are for nobody here; which page was written is told beside them.
    with redirect_stdout(StringIO()):
        app(list(arguments), standalone_mode=False)


if __name__ == "__main__":
    main()
