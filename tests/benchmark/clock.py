"""How long work takes: the processor's time, of works that are compared in turns."""

from __future__ import annotations

import os
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
Work = Callable[[], object]


def cpu(works: Mapping[str, Work], *, rounds: int) -> dict[str, float]:
    """Return the least processor time of each work [s], all threads together.

    The works take turns, so that what else the machine does falls on all of them alike, and each
    has one round first that does not count where there are several.
    """
    least = dict.fromkeys(works, float("inf"))
    for turn in range(rounds + (rounds > 1)):
        for name, work in works.items():
            begun = time.process_time()
            work()
            taken = time.process_time() - begun
            if turn or rounds == 1:
                least[name] = min(least[name], taken)
    return least


def wall(works: Mapping[str, Work], *, rounds: int) -> dict[str, float]:
    """Return the least time on the wall of each work [s], in turns."""
    least = dict.fromkeys(works, float("inf"))
    for _ in range(rounds):
        for name, work in works.items():
            begun = time.perf_counter()
            work()
            least[name] = min(least[name], time.perf_counter() - begun)
    return least


def process(arguments: Sequence[str]) -> Work:
    """Return the work of running a program to its end, in a folder that is then thrown away."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}

    def work() -> None:
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run(arguments, capture_output=True, check=False, cwd=folder, env=environment)

    return work
