"""How long every command takes from the shell and back."""

from __future__ import annotations

import sys

from tests.benchmark.clock import process, wall
from tests.benchmark.effort import DEFAULT, STUDIES, Effort
from tests.benchmark.table import Cell, Table, figure

FILES = {
    "STUDY": DEFAULT,
    "OTHER": STUDIES / "kitchen-glycerol.toml",
    "LOG": STUDIES / "barn-table-log.csv",
    "MEASUREMENTS": STUDIES / "barn-table-measurements.csv",
}
HEADLINES = ("`jitter --help`", "`jitter show STUDY`", "`jitter run STUDY`")


def table(effort: Effort) -> Table:
    """Return the times of commands."""
    works = {"`python -c 'import numpy'`": process([sys.executable, "-c", "import numpy"])}
    for words in effort.commands:
        arguments = [str(FILES.get(word, word)) for word in words]
        program = [sys.executable, "-m", "jitter", *arguments]
        works[f"`jitter {' '.join(words)}`"] = process(program)
    taken = wall(works, rounds=effort.rounds)
    rows: list[list[Cell]] = [[name, seconds] for name, seconds in taken.items()]
    return Table(
        title="From the shell and back",
        note=(
            "Whole processes on the wall, all threads; pages are written but with `--json`. Best of"
            f" {effort.rounds}."
        ),
        columns=("command", "wall [s]"),
        rows=rows,
        headlines=[(name, f"{figure(taken[name])} s") for name in HEADLINES if name in taken],
    )
