"""The folder of tables beside a page: which files in it are ours, and how it is written anew.

A sheet has no place for a stamp that a spreadsheet would not show. A list in the folder names each
file with a digest of what was written, so that a sheet that somebody changed is not taken for ours.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from jitter.files import write_whole

LIST = "made-by-jitter.txt"
HEAD = "Tables of the page beside this folder, made by jitter and written anew with it:"


def tables_folder(page: Path) -> Path:
    """Return the folder that holds the tables of a page.

    Examples
    --------
    >>> tables_folder(Path("reports/barn-run.html")).name
    'barn-run-tables'
    """
    return page.with_name(f"{page.stem}-tables")


def foreign(folder: Path) -> Path | None:
    """Return what stands in the way of tables in a folder and is not ours; None where nothing is.

    Parameters
    ----------
    folder
        That may not be there yet.

    Raises
    ------
    OSError
        If it cannot be read.
    """
    if not folder.is_dir():
        return folder if folder.exists() else None
    if (folder / LIST).exists() and not _text(folder / LIST).startswith(HEAD):
        return folder / LIST
    listed = _listed(folder)
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() == ".csv" and (
            not path.is_file() or (path.name, _digest(_text(path))) not in listed
        ):
            return path
    return None


def write_tables(folder: Path, sheets: Mapping[str, str]) -> None:
    """Write tables into a folder, and take those away that were there before.

    Parameters
    ----------
    folder
        In which nothing is foreign.
    sheets
        CSV by file name.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    before = _listed(folder)
    now = {(name, _digest(text)) for name, text in sheets.items()}
    if before or now:
        # Both at first: wherever it stops, every file in the folder is known for ours.
        _write_list(folder, before | now)
    for name, text in sheets.items():
        write_whole(folder / name, text)
    for name in {name for name, _ in before} - sheets.keys():
        (folder / name).unlink(missing_ok=True)
    if now:
        _write_list(folder, now)
    elif before:
        (folder / LIST).unlink(missing_ok=True)
        # What else somebody put there stays.
        with suppress(OSError):
            folder.rmdir()


def _listed(folder: Path) -> set[tuple[str, str]]:
    """Return name and digest of every file that the list in a folder names."""
    if not (folder / LIST).is_file():
        return set()
    # A list that somebody changed may name nothing outside the folder.
    line = re.compile(r"([0-9a-f]{16}) ([\w-]+\.csv)")
    found = map(line.fullmatch, _text(folder / LIST).splitlines())
    return {(one[2], one[1]) for one in found if one is not None}


def _write_list(folder: Path, listed: set[tuple[str, str]]) -> None:
    lines = [f"{digest} {name}" for name, digest in sorted(listed)]
    write_whole(folder / LIST, "\n".join([HEAD, *lines, ""]))


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _text(path: Path) -> str:
    """Return a file's text; whatever ends its lines, since some tools change that in passing."""
    return path.read_text(encoding="utf-8", errors="replace")
