"""The benchmark works, and its figures are figures; what they are is no matter for a test."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from tests.benchmark import batches, drawing, growth, indices, keeper, smooth, start
from tests.benchmark.effort import Effort
from tests.benchmark.table import Table, markdown

TINY = Effort(
    rounds=1, shots=2048, seeds=2, studies=1, side=3, growth=(512,), error=0.02, commands=()
)


@pytest.mark.parametrize(
    "make",
    [
        drawing.table,
        smooth.table,
        batches.table,
        indices.table,
        keeper.table,
        growth.by_shots,
        growth.by_setups,
        growth.by_straying,
        growth.by_threads,
        start.table,
    ],
)
def test_every_table_can_be_made(make: Callable[[Effort], Table]) -> None:
    table = make(TINY)
    assert table.rows
    for row in table.rows:
        assert len(row) == len(table.columns)
        assert all(math.isfinite(cell) for cell in row if not isinstance(cell, str))


def test_columns_stand_under_each_other() -> None:
    printed = markdown(("what", "figure"), [("a", 1234.5), ("longer", "so")])
    assert printed == (
        "| what   | figure |\n| ------ | -----: |\n| a      |  1,234 |\n| longer |     so |"
    )
