"""Plain simulation beside merely drawing its random numbers."""

from __future__ import annotations

from jitter.answers.hits import count_hits
from jitter.answers.run import SHOTS, answer_run
from jitter.draws.deviates import draw
from jitter.draws.layout import WIDE, Layout, blocks
from jitter.stages import CHAIN
from jitter.trial import open_road
from tests.benchmark.clock import cpu
from tests.benchmark.effort import Effort, study_of
from tests.benchmark.plain import shares
from tests.benchmark.table import Cell, Table, figure


def table(effort: Effort) -> Table:
    """Return the comparison for the default study."""
    study = study_of()
    road = open_road(study, CHAIN, wanted=("reason",))
    rows: list[list[Cell]] = []
    headlines = []
    for shots in (SHOTS, 1):
        layout = Layout(study.seed, effort.shots // shots, shots)

        def draw_own(layout: Layout = layout) -> None:
            for block in blocks(layout, size=WIDE):
                draw(study, block)

        def draw_all(layout: Layout = layout) -> None:
            for block in blocks(layout, size=WIDE):
                draw(study, block)
                draw(study, block, trimming=True)

        def one_way(layout: Layout = layout) -> None:
            shares(road, layout, "as_set")

        def both_ways(layout: Layout = layout) -> None:
            count_hits(study, CHAIN, layout, workers=1)

        def run(layout: Layout = layout) -> None:
            answer_run(study, CHAIN, setups=layout.setups, shots=layout.shots, workers=1)

        works = {
            "draw alone": draw_own,
            "draw, all stages, verdict": one_way,
            "draw alone, with the frames shot to trim": draw_all,
            "both ways, counted by reason": both_ways,
            "the whole of `run`, with its ranking": run,
        }
        taken = cpu(works, rounds=effort.rounds)
        million = layout.setups * layout.shots / 1e6
        for name, seconds in taken.items():
            base = "draw alone" if name in ("draw alone", "draw, all stages, verdict") else ""
            against = taken[base or "draw alone, with the frames shot to trim"]
            rows.append([name, float(shots), million / seconds, seconds / against])
        if shots > 1:
            for name in ("draw, all stages, verdict", "both ways, counted by reason"):
                ratio, rate = next((float(row[3]), float(row[2])) for row in rows if row[0] == name)
                headlines.append(
                    (
                        f"plain shots: {name}, against drawing alone",
                        f"{figure(ratio)} times the CPU of drawing"
                        f" ({figure(rate)} million a second)",
                    )
                )
    return Table(
        title="Plain simulation against drawing its random numbers",
        note=(
            f"One thread, {effort.shots:,} shots of the default study, CPU, best of"
            f" {effort.rounds}."
        ),
        columns=("work", "shots of each set-up", "million shots/s", "times drawing alone"),
        rows=rows,
        headlines=headlines,
    )
