"""The folder of tables beside a page: never anything of somebody else's."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from jitter.errors import MistakeError
from jitter.files import write_whole
from jitter.report.beside import LIST, foreign, tables_folder, write_tables
from jitter.report.target import STAMP, page_target

OLD = {"keepers.csv": "a,b\n1,2\n", "gone.csv": "x\n"}
NEW = {"keepers.csv": "a,b\n3,4\n", "more.csv": "y\n"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    page = tmp_path / "rig-run.html"
    page.write_text(STAMP)
    made = tables_folder(page)
    write_tables(made, OLD)
    return made


def test_tables_are_written_anew_and_old_ones_go(folder: Path) -> None:
    assert foreign(folder) is None
    (folder / "notes.txt").write_text("mine")
    write_tables(folder, NEW)
    assert {path.name for path in folder.iterdir()} == {*NEW, LIST, "notes.txt"}
    assert {name: (folder / name).read_text() for name in NEW} == NEW
    assert foreign(folder) is None


def test_without_tables_there_is_no_folder(folder: Path, tmp_path: Path) -> None:
    write_tables(folder, {})
    assert not folder.exists()
    write_tables(tmp_path / "never", {})
    assert not (tmp_path / "never").exists()


def test_somebody_elses_file_keeps_the_folder(folder: Path) -> None:
    (folder / "notes.txt").write_text("mine")
    write_tables(folder, {})
    assert [path.name for path in folder.iterdir()] == ["notes.txt"]


@pytest.mark.parametrize("name", ["keepers.csv", "mine.csv", "MINE.CSV"])
def test_a_sheet_that_is_not_ours_or_was_changed_is_in_the_way(folder: Path, name: str) -> None:
    (folder / name).write_text("my own")
    assert foreign(folder) == folder / name
    with pytest.raises(MistakeError, match=name):
        page_target("rig.toml", "run", folder.with_name("rig-run.html"))


def test_without_its_list_no_sheet_is_ours(folder: Path) -> None:
    (folder / LIST).unlink()
    assert foreign(folder) == folder / "gone.csv"
    (folder / LIST).write_text("shopping\n")
    assert foreign(folder) == folder / LIST


def test_a_file_where_the_folder_goes_is_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("")
    assert foreign(tmp_path / "x") == tmp_path / "x"
    assert foreign(tmp_path / "y") is None


def test_other_ends_of_lines_are_no_change(folder: Path) -> None:
    path = folder / "keepers.csv"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert foreign(folder) is None


def test_interrupted_anywhere_all_is_known_for_ours(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = write_whole
    for steps in range(4):
        left = iter(range(steps))

        def stops(path: Path, text: str, left: Iterator[int] = left) -> None:
            if next(left, None) is None:
                raise OSError("full")
            whole(path, text)

        monkeypatch.setattr("jitter.report.beside.write_whole", stops)
        with pytest.raises(OSError, match="full"):
            write_tables(folder, NEW)
        assert foreign(folder) is None


def test_a_changed_list_reaches_nothing_outside(folder: Path, tmp_path: Path) -> None:
    outside = tmp_path / "mine.csv"
    outside.write_text("mine")
    with (folder / LIST).open("a") as file:
        file.writelines(f"{'0' * 16} {name}\n" for name in ("../mine.csv", outside, ".."))
    write_tables(folder, NEW)
    assert outside.read_text() == "mine"
