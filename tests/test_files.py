"""Files are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from jitter.files import write_whole


def test_writes_and_replaces(tmp_path: Path) -> None:
    path = tmp_path / "new" / "page.html"
    write_whole(path, "one")
    write_whole(path, "two µ")
    assert path.read_text(encoding="utf-8") == "two µ"
    assert list(path.parent.iterdir()) == [path]


def test_a_failure_leaves_the_old_file_and_no_scrap(tmp_path: Path) -> None:
    path = tmp_path / "page.html"
    write_whole(path, "one")
    with pytest.raises(UnicodeEncodeError):
        write_whole(path, "\ud800")
    assert path.read_text(encoding="utf-8") == "one"
    assert list(tmp_path.iterdir()) == [path]
