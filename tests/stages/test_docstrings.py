"""Every law in public says where it holds, what it neglects, in which units, and who says so."""

from __future__ import annotations

import ast
import re

import pytest

from tests.conftest import ROOT

LAWS = {
    f"{path.stem}.{node.name}": ast.get_docstring(node) or ""
    for path in sorted((ROOT / "jitter" / "stages").glob("*.py"))
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
}
# Words by which a range of validity is told; several ways of saying it.
RANGE = re.compile(
    r"\b(valid|holds?|range|from|above|below|up to|within|where|any|amplitudes?|\d+ to \d+)\b",
    re.IGNORECASE,
)
SOURCE = re.compile(
    r"^References$|\bsources?\b|closed form|\bassumed\b", re.IGNORECASE | re.MULTILINE
)


def test_there_are_laws() -> None:
    assert len(LAWS) > 40


@pytest.mark.parametrize("law", LAWS)
def test_it_says_what_it_neglects(law: str) -> None:
    assert re.search(r"\bneglect", LAWS[law]), law


@pytest.mark.parametrize("law", LAWS)
def test_it_says_where_it_holds(law: str) -> None:
    assert RANGE.search(LAWS[law]), law


@pytest.mark.parametrize("law", LAWS)
def test_it_names_its_source(law: str) -> None:
    assert SOURCE.search(LAWS[law]), law


@pytest.mark.parametrize("law", LAWS)
def test_it_names_units(law: str) -> None:
    assert re.search(r"\[[^\]]+\]|FallTable", LAWS[law]), law
