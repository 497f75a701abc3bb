"""`jitter index`, and the tables beside pages, from the command line."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from urllib.parse import unquote

import pytest

from jitter.cli import MISTAKE, main
from tests.conftest import STUDIES

BARN = str(STUDIES / "barn-table.toml")
SMALL = ("--setups", "16", "--shots", "4", "--quiet")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def jitter(monkeypatch: pytest.MonkeyPatch, *arguments: str) -> int:
    monkeypatch.setattr("sys.argv", ["jitter", *arguments])
    with pytest.raises(SystemExit) as ended:
        main()
    return int(ended.value.code or 0)


def test_pages_of_one_study_are_put_side_by_side(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert jitter(monkeypatch, "run", BARN, *SMALL) == 0
    changed = ("--set", "timer.delay=250 ms", "--out", "reports/changed.html")
    assert jitter(monkeypatch, "run", BARN, *SMALL, *changed) == 0
    capsys.readouterr()
    assert jitter(monkeypatch, "index") == 0
    told = capsys.readouterr()
    assert re.search(r"timer\.delay: (250 ms <- 294 ms|294 ms <- 250 ms)", told.out)
    assert "page: reports/index.html" in told.err
    html = Path("reports/index.html").read_text(encoding="utf-8")
    links = re.findall(r'<a href="([^"]+)"', html)
    assert {"barn-table-run.html", "changed.html"} <= set(links)
    assert all(Path("reports", unquote(link)).is_file() for link in links)
    # Made again it does not name itself, and overwrites its own.
    assert jitter(monkeypatch, "index", "--json") == 0
    document = json.loads(capsys.readouterr().out)
    assert {page["file"] for page in document["pages"]} == {"barn-table-run.html", "changed.html"}
    assert jitter(monkeypatch, "index", "--quiet") == 0


def test_every_link_of_a_page_leads_to_a_table(monkeypatch: pytest.MonkeyPatch) -> None:
    assert jitter(monkeypatch, "run", BARN, *SMALL, "--out", "my rig #1.html") == 0
    html = Path("my rig #1.html").read_text(encoding="utf-8")
    links = [unquote(link) for link in re.findall(r'<a href="([^"#]+)"', html)]
    assert len(links) == html.count("<table")
    with Path(links[1]).open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0][:2] == ["reason", "as set [%]"]
    assert all(0.0 <= float(row[1].lstrip("<")) <= 100.0 for row in rows[1:])


def test_a_table_that_somebody_changed_is_not_written_over(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert jitter(monkeypatch, "run", BARN, *SMALL) == 0
    changed = Path("reports/barn-table-run-tables/keepers.csv")
    changed.write_text("my notes")
    page = Path("reports/barn-table-run.html").read_bytes()
    assert jitter(monkeypatch, "run", BARN, *SMALL, "--seed", "5") == MISTAKE
    assert "keepers.csv" in capsys.readouterr().err
    assert changed.read_text() == "my notes"
    assert Path("reports/barn-table-run.html").read_bytes() == page


@pytest.mark.parametrize("name", ["reports", "nowhere"])
def test_a_folder_without_pages_is_a_mistake(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    Path("reports").mkdir()
    assert jitter(monkeypatch, "index", name) == MISTAKE
    assert "there is no page of jitter's in it" in capsys.readouterr().err


def test_somebody_elses_index_is_left_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert jitter(monkeypatch, "run", BARN, *SMALL) == 0
    Path("reports/index.html").write_text("mine")
    assert jitter(monkeypatch, "index") == MISTAKE
    assert Path("reports/index.html").read_text() == "mine"
    assert "something that jitter did not make stands there" in capsys.readouterr().err
