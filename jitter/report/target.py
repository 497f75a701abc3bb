"""Where a page goes, and what it may not overwrite."""

from __future__ import annotations

import re
from pathlib import Path

from jitter.errors import Fault, MistakeError
from jitter.report.beside import foreign, tables_folder

FOLDER = Path("reports")
STAMP = "<!-- page made by jitter -->"
"""Stands in every page, near its top, and tells a page from a file that is somebody's own."""


def page_target(source: str, question: str, out: Path | None) -> Path:
    """Return the file that a page is written to.

    Parameters
    ----------
    source
        The study's file.
    question
        The command that was asked.
    out
        Where the user wants it; the folder ``reports`` here by default.

    Raises
    ------
    MistakeError
        If that place, or the folder of its tables, holds something that jitter did not make, or
        it is no page.
    """
    if out is None:
        stem = re.sub(r"[^\w.-]+", "-", Path(source).stem).strip("-.") or "study"
        target = FOLDER / f"{stem}-{question}.html"
    else:
        target = out
    if target.suffix.lower() not in (".html", ".htm"):
        wrong, right = f"{target.name!r} is no name for a page", "write a name that ends in .html"
        raise MistakeError([Fault("--out", None, str(target), wrong, right)])
    if target.is_dir() or (target.exists() and STAMP not in _head(target)):
        wrong = "something that jitter did not make stands there"
        right = "name another file with --out, or move that one away"
        raise MistakeError([Fault("--out", None, str(target), wrong, right)])
    strange = _strange(tables_folder(target))
    if strange is not None:
        wrong = "something that jitter did not make, or that was changed since, stands there"
        right = "move it away, or name another page with --out"
        raise MistakeError([Fault("--out", None, str(strange), wrong, right)])
    return target


def _strange(folder: Path) -> Path | None:
    """Return what is not ours in a folder of tables; the folder itself where it cannot be read."""
    try:
        return foreign(folder)
    except OSError:
        return folder


def _head(path: Path) -> str:
    try:
        with path.open(encoding="utf-8", errors="replace") as file:
            return file.read(2000)
    except OSError:
        return ""
