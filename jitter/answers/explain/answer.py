"""What a log of frames says: facts, whether the study explains it, suspects, the next test."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from jitter.answers.explain.blame import Party, party_of
from jitter.answers.explain.checking import Fit, check
from jitter.answers.explain.facts import Facts, find_facts
from jitter.answers.explain.likelihood import groups, setup_weights
from jitter.answers.explain.lineup import (
    SAID,
    UNKNOWN,
    Lineup,
    Weighed,
    line_up,
    shoot,
    weigh,
)
from jitter.answers.explain.next_test import NextTest, best_test
from jitter.answers.explain.settings import few_settings
from jitter.answers.explain.single_frame import SingleFrame, explain_frame
from jitter.answers.explain.suspects import Suspect
from jitter.answers.explain.telling import alike, confusion, gather, shape_of
from jitter.answers.explain.views import condition_of
from jitter.answers.warnings import unaimed
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.records.log import Log
from jitter.stage import Chain
from jitter.stages.verdict import REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 2048, 32
FEWEST = 512
"""Set-ups, where a log has many settings."""
COMPARED = 10
"""So many of the likeliest suspects are held against each other."""
JUDGES = 512
"""Of the set-ups, so many judge imagined logs, of which there are thousands."""
SPEAKS = 3.0
"""Suspects are told of where the log speaks so many times for one of them against the rig as
described; it is also what tells two suspects apart."""
APART = 30.0
"""Suspects of one group are told apart by a log that speaks so many times more for one of them."""
LIKELY = 0.01
"""Less likely suspects are not told of."""
DOUBTED, SEPARATED = 0.02, 6
"""The next test is to separate the likeliest suspects, no more of them, and none less likely."""


@dataclass(frozen=True)
class ExplainAnswer:
    """The answer to `jitter explain`.

    Attributes
    ----------
    study, log
        The rig and what was seen.
    layout
        Draws behind every suspect; further ones have the next seed.
    way
        As set by ruler or as trimmed.
    facts
        What the log says by itself.
    fit
        Against the study; None without a verdict.
    described, unknown
        Probabilities that the rig is as described and it was luck, and that something is at work
        that no model knows.
    parties
        The likely suspects, in groups that the log cannot tell apart, the likeliest first.
    rest
        Probability of all suspects that are not told of.
    weight
        Share of what the log says that the simulation could resolve.
    doubted
        The suspects that the next test is to separate, the likeliest first.
    tests
        What might be shot next, what tells most first; empty where nothing is in doubt.
    single
        The frame that was asked for.
    unaimed
        What is wrong where even the shot in which nothing strays is no keeper with the settings
        of most frames; else empty.
    """

    study: Study
    log: Log
    layout: Layout
    way: str
    facts: Facts
    fit: Fit | None
    described: float
    unknown: float
    parties: tuple[Party, ...]
    rest: float
    weight: float
    doubted: tuple[Suspect, ...]
    tests: tuple[NextTest, ...]
    single: SingleFrame | None
    unaimed: str = ""


PARTS = {"line up": 0.5, "shoot": 0.05, "apart": 0.1, "test": 0.1, "check": 0.2, "frame": 0.05}
"""About how much of the time each part of the work takes, in this order, for word of progress."""


def _within(progress: Progress, part: str) -> Progress:
    """Return what takes the progress of a part of the work."""
    names = list(PARTS)
    begins, whole = sum(PARTS[name] for name in names[: names.index(part)]), 1000

    def report(done: int, total: int) -> None:
        progress(round(whole * (begins + PARTS[part] * done / total)), whole)

    return report


def answer_explain(
    study: Study,
    chain: Chain,
    log: Log,
    *,
    frame: int | None = None,
    way: str = "as_set",
    workers: int | None = None,
    progress: Progress = silent,
) -> ExplainAnswer:
    """Say what a log of frames means for the rig.

    Every suspect is simulated on the same draws, and the set-up values that nobody knows are
    averaged over. What cannot be told apart by a log of this size is named together.

    Parameters
    ----------
    study
        The rig as described.
    chain
        The stages of a shot.
    log
        What was seen.
    frame
        Place in the log of the frame to be explained by itself.
    way
        As set by ruler or as trimmed: how the delay was set that the log does not tell.
    workers
        Threads; change the speed, not a digit of the answer.
    progress
        Told of progress.

    Raises
    ------
    MistakeError
        If the frames were shot with too many different settings.
    """
    log = few_settings(log)
    rows = groups(log)
    facts = find_facts(log, seed=study.seed)
    # Many settings are simulated with fewer set-ups each, so that the work stays the same.
    setups = max(SETUPS // max(len({row.condition for row in rows}), 1), min(FEWEST, SETUPS))
    layout = Layout(study.seed, setups, SHOTS)
    if not rows:
        return ExplainAnswer(
            study=study,
            log=log,
            layout=layout,
            way=way,
            facts=facts,
            fit=None,
            described=SAID,
            unknown=UNKNOWN,
            parties=(),
            rest=1.0 - SAID - UNKNOWN,
            weight=1.0,
            doubted=(),
            tests=(),
            single=None,
        )
    shape = shape_of(rows)
    lineup = line_up(
        study, chain, shape, layout, way=way, workers=workers, progress=_within(progress, "line up")
    )
    weighed = weigh(lineup, rows)
    shares, likely = weighed.shares, weighed.likely

    order = sorted(range(1, len(lineup.laws)), key=lambda place: -shares[place])[:COMPARED]
    # Of less likely ones not even a full group would be told of.
    order = [place for place in order if shares[place] >= LIKELY / COMPARED]
    fresh = Layout(study.seed + 1, setups, SHOTS)
    described, *frames = shoot(lineup, chain, [0, *order], fresh, way=way, workers=workers)
    _within(progress, "shoot")(1, 1)
    judges = [
        {condition: law.thinned(JUDGES) for condition, law in lineup.laws[place].items()}
        for place in (0, *order)
    ]
    # Alike as a rule, and not told apart by this log either.
    near = np.abs(likely[order][:, None] - likely[order][None, :]) < math.log(APART)
    apart = confusion(
        frames,
        judges[1:],
        shape,
        pairs=near,
        weight=weighed.weight,
        seed=study.seed,
        progress=_within(progress, "apart"),
    )
    parties = gather(alike(apart), [float(shares[place]) for place in order])
    speaks = likely - likely[0]
    shown = tuple(
        party_of(
            lineup.base,
            [order[member] for member in members],
            suspects=lineup.suspects,
            shares=shares,
            per_setup=weighed.speaking,
            weight=weighed.weight,
            layout=layout,
        )
        for members in parties
        if max(float(speaks[order[member]]) for member in members) >= math.log(SPEAKS)
        and sum(float(shares[order[member]]) for member in members) >= LIKELY
    )
    named = sum(party.probability for party in shown)
    doubted, tests = _tests(lineup, chain, shown, weighed, way, workers, _within(progress, "test"))
    fit = check(
        described, judges[0], rows, shape, seed=study.seed, progress=_within(progress, "check")
    )
    single = None if frame is None else explain_frame(study, chain, log.frames[frame], way=way)
    _within(progress, "frame")(1, 1)
    return ExplainAnswer(
        study=study,
        log=log,
        layout=layout,
        way=way,
        facts=facts,
        fit=fit,
        described=float(shares[0]),
        unknown=float(shares[-1]),
        parties=shown,
        rest=float(max(1.0 - shares[0] - shares[-1] - named, 0.0)),
        weight=weighed.weight,
        doubted=doubted,
        tests=tests,
        single=single,
        unaimed=_unaimed(study, chain, log, way),
    )


def _unaimed(study: Study, chain: Chain, log: Log, way: str) -> str:
    """Return what is wrong with the aim of most frames, or nothing; trimming mends a delay."""
    told = [frame for frame in log.frames if frame.look is not None]
    ((usual, _),) = Counter(map(condition_of, told)).most_common(1)
    rig = usual.applied(study)
    nominal = nominal_shot(rig, chain)
    mended = [REASONS.index(reason) for reason in ("early", "late")]
    trimmed = way == "as_trimmed" and int(nominal["reason"].reshape(-1)[0]) in mended
    return "" if trimmed else unaimed(rig, nominal)


def _tests(
    lineup: Lineup,
    chain: Chain,
    parties: Sequence[Party],
    weighed: Weighed,
    way: str,
    workers: int | None,
    progress: Progress,
) -> tuple[tuple[Suspect, ...], tuple[NextTest, ...]]:
    """Return the likeliest suspects, told of or not, and the series that might separate them."""
    named = [one for party in parties for one in party.members if one.probability >= DOUBTED]
    named = sorted(named, key=lambda one: -one.probability)[:SEPARATED]
    if not named:
        return (), ()
    blamed = [one.suspect for one in named]
    places = [0, *(1 + lineup.suspects.index(suspect) for suspect in blamed)]
    kept = [
        {
            name: setup_weights(likely, weighed.weight)
            for name, likely in weighed.speaking[place].items()
        }
        for place in places
    ]
    tests = best_test(
        lineup.base,
        chain,
        blamed,
        [max(float(weighed.shares[0]), DOUBTED), *(one.probability for one in named)],
        kept,
        lineup.layout,
        way=way,
        workers=workers,
        progress=progress,
    )
    return tuple(blamed), tests
