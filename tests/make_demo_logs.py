"""Make the invented logs in `studies/`: simulated evenings with a known fault.

    python -m tests.make_demo_logs

Frames are simulated with the fault in the rig, then written down as a careful person does it, who
calls each by its right name and misreads lengths a little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.look import LOOKS
from jitter.trial import fire, open_road
from tests.conftest import STUDIES, load

LENGTHS = {
    "gap (mm)": "gap",
    "width (mm)": "sheet_width",
    "offset (mm)": "side",
    "height (mm)": "meeting_height",
}
"""Events by the columns in which they stand."""
READING = 0.5
"""Standard deviation of reading a length off a frame [mm]; an assumption."""


@dataclass(frozen=True)
class Demo:
    """An invented log.

    Attributes
    ----------
    name
        Of its file.
    study
        The rig that the photographer believes to have.
    fault
        What is wrong with it.
    seed, setups, frames
        How many set-ups, and frames of each.
    story
        What stands at the top of the file.
    columns
        Those of the file.
    remarks
        By the number of a frame.
    """

    name: str
    study: str
    fault: tuple[str, ...]
    seed: int
    setups: int
    frames: int
    story: str
    columns: tuple[str, ...]
    remarks: dict[int, str]


DEMOS = (
    Demo(
        name="barn-table-log",
        study="barn-table",
        fault=("valve.release_speed.shot=sd 0.06 m/s",),
        seed=6,
        setups=1,
        frames=40,
        story="""\
# An invented log, made by simulation: no real person, evening or rig stands behind these frames.
# The scenario: one set-up of the rig in barn-table.toml, 40 frames, lengths read off each frame.
# Its known fault: drops leave the nozzle at speeds that stray three times as far from shot to shot
# as that study says (valve.release_speed: sd 0.06 m/s, not 0.02 m/s), as a worn seat may do it.
# Try: jitter explain studies/barn-table.toml studies/barn-table-log.csv
""",
        columns=("frame", "verdict", *LENGTHS, "remarks"),
        remarks={1: "first after filling up", 24: "dish topped up"},
    ),
    Demo(
        name="garage-second-drop-log",
        study="garage-second-drop",
        fault=("sensor.height=478 mm",),
        seed=6,
        setups=3,
        frames=20,
        story="""\
# An invented log, made by simulation: no real person, evening or rig stands behind these frames.
# The scenario: the rig in garage-second-drop.toml put up on three evenings, 20 frames on each.
# Its known fault: the beam stands 8 mm higher than that study says (sensor.height: 478 mm, not
# 470 mm) on all three, as it does where somebody measured to the bracket and not to the beam.
# Try: jitter explain studies/garage-second-drop.toml studies/garage-second-drop-log.csv
""",
        columns=("frame", "setup", "delay (ms)", "verdict"),
        remarks={},
    ),
)


def write_log(demo: Demo) -> str:
    """Return the text of an invented log."""
    block = Block(Layout(demo.seed, demo.setups, demo.frames), 0, demo.setups, 0, demo.frames)
    road = open_road(load(demo.study, *demo.fault), CHAIN, wanted=("look", "reason"))
    events = fire(road, block).as_set
    seen = {
        name: np.broadcast_to(events[name], (demo.setups, demo.frames)).ravel()
        for name in ("look", *LENGTHS.values())
    }
    misread = np.random.Generator(np.random.PCG64DXSM(demo.seed))
    delay = f"{1e3 * load(demo.study).number('timer.delay'):g}"
    lines = [",".join(demo.columns)]
    for place in range(demo.setups * demo.frames):
        number = place + 1
        cells = {
            "frame": str(number),
            "setup": f"evening {1 + place // demo.frames}",
            "delay (ms)": delay,
            "verdict": LOOKS[int(seen["look"][place])],
            "remarks": demo.remarks.get(number, ""),
        }
        for column, name in LENGTHS.items():
            size = 1e3 * float(seen[name][place]) + misread.normal(0.0, READING)
            cells[column] = "" if np.isnan(size) else f"{size:.1f}"
        lines.append(",".join(cells[column] for column in demo.columns))
    return demo.story + "\n".join(lines) + "\n"


def main() -> None:
    """Write the files."""
    for demo in DEMOS:
        (STUDIES / f"{demo.name}.csv").write_text(write_log(demo), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
