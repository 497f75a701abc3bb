"""Print the tables: `python -m tests.benchmark --help`."""

from __future__ import annotations

import argparse

from tests.benchmark import batches, drawing, growth, indices, keeper, smooth, start
from tests.benchmark.clock import ROOT
from tests.benchmark.effort import LONG, QUICK, USUAL
from tests.benchmark.table import machine, markdown, show

README = ROOT / "README.md"
BEGIN, END = "<!-- by python -m tests.benchmark --readme -->", "<!-- end of what it wrote -->"
TABLES = {
    "draw": (drawing.table,),
    "smooth": (smooth.table, batches.table),
    "libraries": (indices.table, keeper.table),
    "growth": (growth.by_shots, growth.by_setups, growth.by_straying, growth.by_threads),
    "start": (start.table,),
}


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(prog="python -m tests.benchmark", description=__doc__)
    asked.add_argument("tables", nargs="*", help=f"of {', '.join(TABLES)}; all where none")
    asked.add_argument("--quick", action="store_true", help="coarser, in under a minute")
    asked.add_argument("--long", action="store_true", help="finer, with every command")
    asked.add_argument("--readme", action="store_true", help="put the figures into the README")
    given = asked.parse_args()
    if wrong := [name for name in given.tables if name not in TABLES]:
        asked.error(f"no table is called {' or '.join(wrong)}")
    if given.readme and given.tables:
        asked.error("the README shows all tables")
    effort = QUICK if given.quick else LONG if given.long else USUAL
    print(machine())
    headlines: list[tuple[str, str]] = []
    for name in given.tables or TABLES:
        for make in TABLES[name]:
            table = make(effort)
            show(table)
            headlines += table.headlines
    told = f"Measured on {machine()}.\n\n{markdown(('what', 'figure'), headlines)}"
    print(f"\n### For the README\n\n{told}")
    if given.readme:
        text = README.read_text(encoding="utf-8")
        before, _, after = text.partition(BEGIN)
        README.write_text(f"{before}{BEGIN}\n\n{told}\n\n{END}{after.partition(END)[2]}", "utf-8")


if __name__ == "__main__":
    main()
