"""Plant faults in shipped rigs, and see whether `jitter explain` finds them.

    python -m tests.recovery                          twenty minutes
    python -m tests.recovery --logs 20 --frames 80    fewer logs, of more frames

Two experiments for each rig, with verdicts alone and with numbers read off the frames:

- faults of a set size, planted one by one: how often the right suspect, and the group that holds
  it, comes first; and how often something is said to be wrong where nothing is;
- faults drawn as the program takes them to be: of all that is said to be so likely, how much is
  true. Here stated probabilities are frequencies, if all is well.

Whoever writes the logs calls a frame by a wrong name, and misreads lengths, as often as the program
takes it. Prints tables and asserts nothing.
"""

from __future__ import annotations

import argparse
import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from jitter.answers.explain.answer import APART, COMPARED, JUDGES, SETUPS, SHOTS
from jitter.answers.explain.likelihood import groups
from jitter.answers.explain.lineup import Lineup, line_up, prior, shoot, weigh
from jitter.answers.explain.suspects import CHANCE, OFF, STRAYS
from jitter.answers.explain.telling import Shape, alike, confusion, gather
from jitter.answers.explain.views import Condition, Views, view
from jitter.arrays import Array, Flags
from jitter.draws.layout import Layout
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from tests.answers.explain.made import ALL, NONE, shot, written

STUDIES = Path(__file__).parent.parent / "studies"
RIGS = ("barn-table", "garage-second-drop")
PLANTED: tuple[tuple[str, str, str], ...] = (
    ("nothing wrong", "", ""),
    ("release speed strays x3", "valve.release_speed.shot=sd 0.06 m/s", STRAYS),
    ("latency strays x3", "valve.latency.shot=sd 0.9 ms", STRAYS),
    ("scatter x3", "valve.scatter.shot=sd 1.2 mm", STRAYS),
    ("jet's lean x3", "jet.lean.shot=sd 0.9 mm", STRAYS),
    ("jet's time +12 %", "jet.time_scale=1.12", OFF),
    ("beam 10 mm too high", "sensor.height=+0.010 m", OFF),
    ("beam 2 mm aside", "sensor.offset=2 mm", OFF),
    ("delay 6 ms too long", "timer.delay=+0.006 s", OFF),
    ("beam misses 20 %", "sensor.miss_chance=20 %", CHANCE),
)
BINS = (0.0, 0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0)


@dataclass(frozen=True)
class Found:
    """What the program says of some logs with the same fault.

    Attributes
    ----------
    place
        Of the fault among the rigs of the line-up, 0 where nothing is wrong.
    shares : array (l, h + 1)
        As in `Weighed`.
    weights : array (l,)
    """

    place: int
    shares: Array
    weights: Array


def read(name: str, setting: str = "") -> Study:
    """Return a shipped rig with a fault, such as one that adds to a nominal."""
    text = (STUDIES / f"{name}.toml").read_text(encoding="utf-8")
    study = read_study(text, source=name, chain=CHAIN)
    key, _, value = setting.partition("=")
    if value.startswith("+"):
        more, _, unit = value.partition(" ")
        value = f"{study.number(key) + float(more)} {unit}"
    settings = [f"{key}={value}"] if key else []
    return read_study(text, source=name, chain=CHAIN, settings=settings)


def judge(
    lineup: Lineup, place: int, views: Views, measured: Sequence[bool], slips: np.random.Generator
) -> Found:
    """Let the program judge a log of each set-up."""
    weighed = [
        weigh(lineup, groups(written(views, [setup], measured=measured, slips=slips)))
        for setup in range(len(views.look))
    ]
    return Found(
        place,
        np.stack([one.shares for one in weighed]),
        np.array([one.weight for one in weighed]),
    )


def first(found: Found, pairs: Flags) -> tuple[Array, Array, Array]:
    """Return of each log: the first group's probability, whether it is right, and how large."""
    told: list[tuple[float, bool, float]] = []
    for shares in found.shares:
        order = np.argsort(-shares[1:-1])[:COMPARED] + 1
        spoken = np.log(shares[order])
        near = np.abs(spoken[:, None] - spoken[None, :]) < np.log(APART)
        weights = [float(shares[place]) for place in order]
        parties = gather(pairs[np.ix_(order, order)] & near, weights)
        party = order[list(parties[0])]
        told.append((float(shares[party].sum()), found.place in party, float(len(party))))
    sizes = np.array(told)
    return sizes[:, 0], sizes[:, 1], sizes[:, 2]


def reliability(stated: Array, true: Array, heavy: Array) -> None:
    """Print how often what is said to be so likely is true; the logs weigh as they are drawn."""
    for low, high in itertools.pairwise(BINS):
        inside = (stated >= low) & ((stated < high) | (high == 1.0))
        weights = heavy[inside]
        if not weights.size:
            continue
        says = float(weights @ stated[inside] / weights.sum())
        holds = float(weights @ true[inside] / weights.sum())
        # Kish's effective number; an error of the share as if it were what is said.
        number = float(weights.sum() ** 2 / (weights**2).sum())
        error = (says * (1.0 - says) / number) ** 0.5
        band = f"{low:.2f} to {high:.2f}"
        print(f"    {band:24s} {says:8.3f} {holds:8.3f} {error:8.3f} {number:10.0f}")


def experiment(name: str, *, measured: Sequence[bool], logs: int, frames: int) -> None:
    """Run both experiments on one rig and print what they show."""
    study, now = read(name), Condition()
    shape = Shape(("",), (now,), (frames,), tuple(measured))
    lineup = line_up(study, CHAIN, shape, Layout(study.seed, SETUPS, SHOTS), way="as_set")
    slips = np.random.Generator(np.random.PCG64DXSM(1))
    said = "with numbers" if any(measured) else "verdicts alone"
    print(f"\n{name}, {said}: {logs} logs of {frames} frames, {len(lineup.suspects)} suspects")

    planted = []
    for fault, setting, how in PLANTED:
        place = 0
        if how:
            key = setting.partition("=")[0].removesuffix(".shot")
            place = 1 + [(one.key, one.how) for one in lineup.suspects].index((key, how))
        views = shot(read(name, setting), seed=101, setups=logs, frames=frames)
        planted.append((fault, judge(lineup, place, views, measured, slips)))
    weight = float(np.median(np.concatenate([found.weights for _, found in planted])))
    every = range(len(lineup.laws))
    fresh = shoot(lineup, CHAIN, every, Layout(study.seed + 1, SETUPS, SHOTS), way="as_set")
    judges = [{now: laws[now].thinned(JUDGES)} for laws in lineup.laws]
    everybody = np.ones((len(judges), len(judges)), dtype=bool)
    apart = confusion(fresh, judges, shape, pairs=everybody, weight=weight, seed=study.seed)
    pairs = alike(apart)

    print("  right suspect, right group: share of logs in which it comes first among suspects")
    print("  stated: mean probability of the right suspect, of the first group, as described")
    print(
        f"    {'fault':24s} {'suspect':>8s} {'group':>8s} {'of how':>8s}"
        f" {'right':>8s} {'group':>8s} {'luck':>8s} {'unknown':>8s} {'counts':>8s}"
    )
    for fault, found in planted:
        chance, right, size = first(found, pairs)
        shares = found.shares
        hit = np.argmax(shares[:, 1:-1], axis=1) + 1 == found.place
        shown = [hit.mean(), right.mean(), size.mean(), shares[:, found.place].mean()]
        if not found.place:
            shown[:2] = [np.nan, np.nan]
        numbers = [*shown, chance.mean(), shares[:, 0].mean(), shares[:, -1].mean()]
        text = " ".join(f"{number:8.2f}" for number in [*numbers, found.weights.mean()])
        print(f"    {fault:24s} {text}")
    sound = planted[0][1]
    chance, _, _ = first(sound, pairs)
    alone = sound.shares[:, 1:-1].max(axis=1)
    print(
        "  nothing wrong, false alarms: described under a half in"
        f" {(sound.shares[:, 0] < 0.5).mean():.0%}, a suspect over a half in"
        f" {(alone > 0.5).mean():.0%}, a group over a half in {(chance > 0.5).mean():.0%}"
    )

    drawn = drawn_faults(lineup, logs=logs, frames=frames)
    judged = [judge(lineup, place, views, measured, slips) for place, views in drawn]
    shares = np.concatenate([found.shares for found in judged])
    truth = np.concatenate([np.full(len(found.shares), found.place) for found in judged])
    heavy = np.concatenate(
        [np.full(len(one.shares), prior(lineup)[one.place] / len(one.shares)) for one in judged]
    )
    told = [first(found, pairs) for found in judged]
    print(f"  faults as assumed: {'stated':>13s} {'true':>8s} {'error':>8s} {'logs':>10s}")
    print("   as described")
    reliability(shares[:, 0], truth == 0, heavy)
    print("   the first suspect")
    best = np.argmax(shares[:, 1:-1], axis=1) + 1
    reliability(shares[np.arange(len(best)), best], best == truth, heavy)
    print("   the first group")
    reliability(
        np.concatenate([chance for chance, _, _ in told]),
        np.concatenate([right for _, right, _ in told]),
        heavy,
    )
    score = float(heavy @ np.log2(shares[np.arange(len(truth)), truth]) / heavy.sum())
    before = float(prior(lineup) @ np.log2(prior(lineup)) / prior(lineup).sum())
    print(f"   mean log2 of the truth's probability: {score:.3f}; before the log {before:.3f}")


def drawn_faults(lineup: Lineup, *, logs: int, frames: int) -> list[tuple[int, Views]]:
    """Return frames of every rig of the line-up: as many logs of the described one as of others."""
    each = max(logs // 10, 1)
    base, found = lineup.base, []
    for places, setups in (([0], each * len(lineup.suspects)), (range(1, len(lineup.laws)), each)):
        layout = Layout(lineup.layout.seed + 100, setups, frames)
        rigs = [lineup.rig(place, layout) for place in places]
        seen = view(base, CHAIN, rigs, layout, lambda views: views, way="as_set")
        found += list(zip(places, seen, strict=True))
    return found


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description="Plant faults and look for them.")
    parser.add_argument("--logs", type=int, default=100, help="of each fault")
    parser.add_argument("--frames", type=int, default=40, help="of each log")
    asked = parser.parse_args(arguments)
    for name in RIGS:
        for measured in (NONE, ALL):
            experiment(name, measured=measured, logs=asked.logs, frames=asked.frames)


if __name__ == "__main__":
    main()
