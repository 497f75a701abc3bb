"""Measure jitter side by side with merely drawing its random numbers.

    python -m tests.benchmark             a minute
    python -m tests.benchmark --long      with the memory of ten million shots

Prints ratios, which hold from machine to machine better than seconds do. Asserts nothing.
"""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from jitter.answers.run import answer_run
from jitter.answers.tally import count
from jitter.draws.layout import Layout, blocks
from jitter.draws.values import draw, values
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.trial import fire, open_road

STUDY = Path(__file__).parent.parent / "studies" / "barn-table.toml"
LAYOUT = Layout(seed=1, setups=4096, shots=64)
ROUNDS = 5

_LONG = """
import resource, sys
from pathlib import Path
from jitter.answers.run import answer_run
from jitter.stages import CHAIN
from jitter.study.reader import read_study
study = read_study(Path(sys.argv[1]).read_text(), source=sys.argv[1], chain=CHAIN)
answer_run(study, CHAIN, setups=int(sys.argv[2]), shots=64)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def _seconds(work: Callable[[], object]) -> float:
    """Return the median wall time of a few rounds after one that does not count."""
    work()
    taken = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def _process(arguments: list[str]) -> float:
    def work() -> None:
        subprocess.run(arguments, capture_output=True, check=False)

    return _seconds(work)


def main() -> None:
    """Print the table."""
    study = read_study(STUDY.read_text(), source=str(STUDY), chain=CHAIN)
    road = open_road(study, CHAIN)
    window = study.window("keeper.age")
    # As the answers do, so that the allocator keeps its pages here as well.
    kept = np.empty(4_000_000)
    del kept

    def drawing() -> None:
        for block in blocks(LAYOUT):
            draw(study, block)

    def drawing_all() -> None:
        for block in blocks(LAYOUT):
            draw(study, block)
            draw(study, block, trimming=True)

    def one_way() -> None:
        for block in blocks(LAYOUT):
            walk(road.shot, {**road.fixed, **values(study, draw(study, block))})

    def both_ways() -> None:
        for block in blocks(LAYOUT):
            firing = fire(road, block)
            count(firing.as_set, block=block, window=window)
            count(firing.as_trimmed, block=block, window=window)

    shots = LAYOUT.setups * LAYOUT.shots
    print(f"{platform.machine()}, {os.cpu_count()} processors, numpy {np.__version__}")
    print(f"{'one thread':48s} {'million shots/s':>16s} {'ratio':>7s}")
    for name, work, alone in (
        ("draw, all stages, verdict", one_way, drawing),
        ("with trimming frames, both ways, counted", both_ways, drawing_all),
    ):
        base, taken = _seconds(alone), _seconds(work)
        print(f"{'merely draw its random numbers':48s} {shots / base / 1e6:16.2f} {1.0:7.2f}")
        print(f"{name:48s} {shots / taken / 1e6:16.2f} {taken / base:7.2f}")

    print(f"\n{'whole answer with its ranking':48s} {'seconds':>16s} {'ratio':>7s}")
    single = _seconds(lambda: answer_run(study, CHAIN, workers=1))
    for workers in (1, 2):
        taken = _seconds(lambda workers=workers: answer_run(study, CHAIN, workers=workers))  # type: ignore[misc]
        print(f"{f'{workers} threads':48s} {taken:16.2f} {taken / single:7.2f}")

    print(f"\n{'whole process':48s} {'seconds':>16s}")
    bare = [sys.executable, "-c", "import numpy"]
    program = [sys.executable, "-m", "jitter"]
    for name, arguments in (
        ("python and numpy alone", bare),
        ("jitter --help", [*program, "--help"]),
        ("a study with a fault", [*program, "run", str(STUDY), "--set", "sensor.hight=1"]),
        ("jitter run, JSON", [*program, "run", str(STUDY), "--json"]),
    ):
        print(f"{name:48s} {_process(arguments):16.2f}")

    if "--long" in sys.argv:
        print(f"\n{'peak memory':48s} {'MB':>16s}")
        for setups in (1_563, 156_250):
            done = subprocess.run(
                [sys.executable, "-c", _LONG, str(STUDY), str(setups)],
                capture_output=True,
                text=True,
                check=True,
            )
            print(f"{f'{setups * 64:,} shots':48s} {int(done.stdout) / 1024:16.0f}")


if __name__ == "__main__":
    main()
