"""How time and memory grow: with shots, set-ups, straying quantities and threads."""

from __future__ import annotations

import subprocess
import sys

from jitter.answers.hits import count_hits
from jitter.answers.ranking import sources
from jitter.answers.run import SHOTS
from jitter.answers.variants import with_spread, with_values
from jitter.draws.layout import Layout
from jitter.quantities import NONE, Shape
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.benchmark.clock import cpu, wall
from tests.benchmark.effort import DEFAULT, Effort, study_of
from tests.benchmark.table import Cell, Table, figure

_ALONE = f"""
import sys, time
from pathlib import Path
from jitter.answers.run import answer_run
from jitter.stages import CHAIN
from jitter.study.reader import read_study
study = read_study(Path(sys.argv[1]).read_text(encoding="utf-8"), source="", chain=CHAIN)
begun = time.process_time()
answer_run(study, CHAIN, setups=int(sys.argv[2]) // {SHOTS}, shots={SHOTS})
taken = time.process_time() - begun
# The system's other measure, of getrusage, counts what the parent held when it started this.
status = Path("/proc/self/status")
if status.exists():
    (held,) = (line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    most = int(held.split()[1])
else:
    import resource
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(taken, most)
"""


def _count(study: Study, layout: Layout, workers: int = 1) -> None:
    count_hits(study, CHAIN, layout, workers=workers)


def by_shots(effort: Effort) -> Table:
    """Return time and peak memory of a whole answer, each in a process of its own."""
    rows: list[list[Cell]] = []
    for shots in effort.growth:
        done = subprocess.run(
            [sys.executable, "-c", _ALONE, str(DEFAULT), str(shots)],
            capture_output=True,
            text=True,
            check=True,
        )
        seconds, kilobytes = (float(word) for word in done.stdout.split())
        rows.append([f"{shots:,}", seconds, 1e6 * seconds / shots, kilobytes / 1024.0])
    return Table(
        title="Time and peak memory against shots",
        note=(
            f"The computing of `run` on the default study with its ranking, {SHOTS} shots of each"
            " set-up, each in a process of its own, all threads; CPU of one round. Memory as the"
            " system tells it, libraries and all."
        ),
        columns=("shots", "CPU [s]", "µs/shot", "peak memory [MB]"),
        rows=rows,
        headlines=[
            (
                f"peak memory of `run` at {', '.join(str(row[0]) for row in rows)} shots",
                f"{', '.join(figure(float(row[3])) for row in rows)} MB",
            )
        ],
    )


def by_setups(effort: Effort) -> Table:
    """Return the time of as many shots in few and in many set-ups."""
    study = study_of()
    layouts = [
        Layout(study.seed, effort.shots // shots, shots) for shots in (1, 4, 16, 64, 256, 1024)
    ]
    works = {f"{one.setups:,}": lambda one=one: _count(study, one) for one in layouts}
    taken = cpu(works, rounds=effort.rounds)
    least = min(taken.values())
    rows: list[list[Cell]] = [
        [name, float(one.shots), 1e6 * seconds / effort.shots, seconds / least]
        for one, (name, seconds) in zip(layouts, taken.items(), strict=True)
    ]
    return Table(
        title="Time against set-ups",
        note=f"{effort.shots:,} shots, both ways, counted; one thread, best of {effort.rounds}.",
        columns=("set-ups", "shots of each", "CPU [µs/shot]", "times the quickest"),
        rows=rows,
    )


def by_straying(effort: Effort) -> Table:
    """Return the time of a study of which ever more quantities stray."""
    study = study_of()
    found = sources(study)
    works = {}
    for count in sorted({0, 4, 8, 16, 24, len(found)}):
        still = study
        for one in found[count:]:
            if one.spread.shape in (Shape.CHANCE, Shape.TICK):
                still = with_values(still, dict.fromkeys(one.keys, 0.0))
            else:
                still = with_spread(still, one.keys, one.level, NONE)
        layout = Layout(study.seed, effort.shots // SHOTS, SHOTS)
        works[f"{count}"] = lambda still=still, layout=layout: _count(still, layout)
    taken = cpu(works, rounds=effort.rounds)
    *_, most = taken.values()
    rows: list[list[Cell]] = [
        [name, 1e6 * seconds / effort.shots, seconds / most] for name, seconds in taken.items()
    ]
    return Table(
        title="Time against straying quantities",
        note=f"The default study's spreads in their order; as before, {SHOTS} shots of each.",
        columns=("spreads", "CPU [µs/shot]", "times all"),
        rows=rows,
    )


def by_threads(effort: Effort) -> Table:
    """Return the time of one thread and of two."""
    study = study_of()
    layout = Layout(study.seed, 16 * effort.shots // SHOTS, SHOTS)
    works = {
        f"{workers}": lambda workers=workers: _count(study, layout, workers) for workers in (1, 2)
    }
    taken = wall(works, rounds=effort.rounds)
    rows: list[list[Cell]] = [
        [name, seconds, taken["1"] / seconds] for name, seconds in taken.items()
    ]
    return Table(
        title="Time against threads",
        note=f"{16 * effort.shots:,} shots, both ways; on the wall, best of {effort.rounds}.",
        columns=("threads", "wall [s]", "times as quick"),
        rows=rows,
        headlines=[("two threads against one", f"{figure(float(rows[1][2]))} times as quick")],
    )
