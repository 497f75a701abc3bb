"""An answer is handed over: screen or document, and a page where one is wanted."""

from __future__ import annotations

import io
import math
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from jitter.cli.deliver import deliver


@pytest.fixture(autouse=True)
def toy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put a folder for the question "toy" into the report."""

    def shows(answer: str, *, width: int, **blocks: bool) -> str:
        return f"screen of {answer} {blocks}"

    def page(answer: str, beside: str = "nothing") -> str:
        return f"page of {answer} beside {beside}"

    forms: dict[str, Callable[..., Any]] = {
        "document": lambda answer: {"answer": answer},
        "screen": shows,
        "page": page,
    }
    for form, made in forms.items():
        module = ModuleType(form)
        setattr(module, f"toy_{form}", made)
        monkeypatch.setitem(sys.modules, f"jitter.report.toy.{form}", module)


def hand(answer: object, *, as_json: bool = False, target: Path | None = None, **more: Any) -> None:
    deliver("toy", answer, as_json=as_json, target=target, quiet=False, **more)


def test_a_document_is_printed_in_place_of_a_screen(capsys: pytest.CaptureFixture[str]) -> None:
    hand("é", as_json=True)
    assert capsys.readouterr() == ('{\n  "answer": "\\u00e9"\n}\n', "")


def test_a_document_that_json_cannot_say_is_a_fault() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        hand(math.nan, as_json=True)


@pytest.mark.parametrize(("encoding", "shown"), [("utf-8", True), ("ascii", False)])
def test_a_screen_that_asks_is_told_whether_blocks_can_be_shown(
    monkeypatch: pytest.MonkeyPatch, encoding: str, shown: bool
) -> None:
    data = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(data, encoding=encoding))
    hand("it", blocks=True)
    hand("it")
    sys.stdout.flush()
    first, second = data.getvalue().decode().splitlines()
    assert first == f"screen of it {{'blocks': {shown}}}"
    assert second == "screen of it {}"


def test_a_page_is_written_where_one_is_wanted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "page.html"
    hand("it", target=target)
    assert target.read_text(encoding="utf-8") == "page of it beside nothing"
    hand("it", target=target, beside=lambda: "pictures")
    assert target.read_text(encoding="utf-8") == "page of it beside pictures"
    assert capsys.readouterr().err == f"page: {target}\n" * 2


def test_nothing_is_made_for_a_page_that_nobody_wants() -> None:
    def never() -> str:
        raise AssertionError("made for nothing")

    hand("it", beside=never)
