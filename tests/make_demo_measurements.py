"""The invented measurements in `studies/`, made by simulation with a known fault.

`python -m tests.make_demo_measurements` writes them anew.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from jitter.answers.fit.frames import shoot
from jitter.answers.variants import with_spread, with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.quantities import Level, sd
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages.fall import fall_duration, fall_speed
from jitter.stages.streak import duration_from_streak
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import STUDIES, load

FILE = STUDIES / "barn-table-measurements.csv"
FAULT = 0.04
"""Spread of the release speed from shot to shot [m/s]; the study says 0.02."""
SEED = 2024
SETUPS, FRAMES = 3, 20
READ, RULER, BALANCE = 1e-4, 2.5e-4, 5e-3
"""Errors of reading a height in a frame [m], a ruler [m] and a balance [g]: sd."""
GLINT = 3.0
HEAD = """\
# Invented measurements: no real person, place or product stands behind these numbers.
# They were made by simulation (tests/make_demo_measurements.py) at the rig of barn-table.toml with
# a known fault: the release speed strays by sd 0.04 m/s from shot to shot, the study says 0.02.
what,value,setup,delay,start,drops,power,glint,place,remarks"""


def faulty() -> Study:
    """Return the rig that was measured."""
    return with_spread(load("barn-table"), ["valve.release_speed"], Level.SHOT, sd(FAULT))


def lines() -> Iterator[str]:
    """Yield the lines of the file."""
    random = np.random.default_rng(SEED)
    rig = faulty()
    yield HEAD
    yield from _drops(rig, random)
    for _ in range(6):
        yield f"sensor.height,{483.0 + 1e3 * RULER * random.standard_normal():.1f} mm,,,,,,,,ruler"
    yield from _weighings(rig, random)
    yield from _streaks(rig, random)
    yield from _jets(rig, random)


def _drops(rig: Study, random: np.random.Generator) -> Iterator[str]:
    for start, delay in (("valve", 0.150), ("first drop", 0.050)):
        used = with_values(rig, {"timer.start": start, "timer.delay": delay})
        (shown,) = shoot(used, CHAIN, Layout(SEED, SETUPS, FRAMES))
        seen = shown + READ * random.standard_normal(shown.shape)
        for setup, row in enumerate(seen, start=1):
            for height in row[~np.isnan(row)]:
                told = f"{1e3 * height:.1f} mm,evening {setup},{1e3 * delay:.0f} ms,{start}"
                yield f"drop height,{told},,,,,"


def _weighings(rig: Study, random: np.random.Generator) -> Iterator[str]:
    mass = rig.number("valve.first_volume") * 998.2e3
    scatter = rig.entries["valve.first_volume"].shot.size * mass
    for _ in range(8):
        weighed = float(np.sum(mass + scatter * random.standard_normal(100)))
        yield f"drops weighed,{weighed + BALANCE * random.standard_normal():.2f} g,,,,100,,,,"


def _events(rig: Study, frames: int) -> dict[str, NDArray[np.float64]]:
    layout = Layout(SEED, 1, frames)
    wanted = ("first_fall", "flash_duration", "jet_peaks", "jet_top", "flash_time", "surface")
    road = open_road(rig, CHAIN, wanted=(*wanted, "magnification", "first_landing"))
    drawn = values(rig, draw(rig, Block(layout, 0, 1, 0, frames)))
    return walk(road.shot, {**road.fixed, **drawn})


def _streaks(rig: Study, random: np.random.Generator) -> Iterator[str]:
    for power in ("1/128", "1/64", "1/32"):
        top, bottom = power.split("/")
        seen = _events(with_values(rig, {"flash.power": float(top) / float(bottom)}), 4)
        fall = seen["first_fall"]
        fallen = seen["valve_nozzle_height"] - 0.5 * seen["first_diameter"] - 0.300
        speed = fall_speed(fall, fall_duration(fall, fallen))  # type: ignore[arg-type]
        of_one = duration_from_streak(
            streak_length=np.ones(1),
            glint_length=np.zeros(1),
            magnification=seen["magnification"],
            speed=speed,
        )
        pixels = seen["flash_duration"] / of_one / rig.number("camera.pixel")
        for length in np.ravel(pixels + GLINT + 0.3 * random.standard_normal(pixels.shape)):
            yield f"streak,{length:.1f} px,,,,,{power},{GLINT:.0f} px,300 mm,"


def _jets(rig: Study, random: np.random.Generator) -> Iterator[str]:
    for delay in (0.270, 0.300, 0.330, 0.360, 0.390):
        used = with_values(rig, {"timer.delay": delay})
        seen = _events(used, 4)
        share = (seen["flash_time"] - seen["jet_peaks"]) / (seen["jet_peaks"] - seen["jet_emerges"])
        tips = np.ravel(seen["jet_top"] * (1.0 - share**2))
        for tip in tips + 0.5e-3 * random.standard_normal(tips.shape):
            if tip > 0.0:
                yield f"jet height,{1e3 * tip:.0f} mm,,{1e3 * delay:.0f} ms,first drop,,,,,"


if __name__ == "__main__":
    FILE.write_text("\n".join([*lines(), ""]), encoding="utf-8")
