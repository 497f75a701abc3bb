"""How precisely a thing must be set: the largest spread and steady offset that reach a target."""

from __future__ import annotations

from dataclasses import dataclass

from jitter.answers.compare.aim import aims
from jitter.answers.effort import Effort
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Line, Lineup, close_by, fire_all
from jitter.answers.require.remedies import Remedy, remedies
from jitter.answers.require.requirement import HitCurve, Requirement, hit_curve, requirement
from jitter.answers.require.roads import open_near
from jitter.answers.require.subject import Subject
from jitter.answers.require.working import Draws, answered, fell_back, work_out
from jitter.answers.warnings import find_warnings, unaimed
from jitter.answers.workers import Progress, silent
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 2048, 32
MOST_SETUPS = 100_000
"""The frames of each set-up are kept by reason for every what-if, some forty of them."""


@dataclass(frozen=True)
class Asked:
    """One error of growing size: its curve, and what it may be both ways.

    Attributes
    ----------
    curve
        Hit rate against size.
    needs
        By way.
    """

    curve: HitCurve
    needs: dict[str, Requirement]


@dataclass(frozen=True)
class RequireAnswer:
    """The answer to `jitter require` about one quantity.

    Attributes
    ----------
    study
        What was fired.
    effort
        Points or draws behind every hit rate.
    fell_back
        Whether draws had to take the place of points.
    target
        The hit rate wanted.
    subject
        The spread asked for; looked at as far as its study could be prepared.
    spread
        Its size, everything else as it is.
    down, up
        A steady offset either way, everything else and the spread as they are; None for what has
        no value that could be off.
    present
        By way: the hit rate as things are; in `spread.curve` too.
    remedies
        By way in which no spread reaches the target: what else must shrink.
    aims
        By way: whether the shot in which nothing strays is a keeper.
    unaimed
        What is wrong with the aim and how to mend it; empty where that shot is a keeper.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    effort: Effort
    fell_back: bool
    target: float
    subject: Subject
    spread: Asked
    down: Asked | None
    up: Asked | None
    present: dict[str, Estimate]
    remedies: dict[str, tuple[Remedy, ...]]
    aims: dict[str, bool]
    unaimed: str
    warnings: tuple[str, ...]

    @property
    def ways(self) -> tuple[str, ...]:
        """The ways that are answered: those whose aim is right."""
        return answered(self.aims)

    @property
    def met(self) -> bool:
        """Whether some spread reaches the target, in one answered way at least."""
        return any(self.spread.needs[way].limit is not None for way in self.ways)


def answer_require(
    study: Study,
    chain: Chain,
    subject: Subject,
    target: float,
    *,
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> RequireAnswer:
    """Answer how precisely a quantity must be set.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    subject
        The spread asked for.
    target
        The hit rate wanted, above 0 and up to 1.
    setups, shots
        Random draws in place of points, where either is given: set-ups, at least 2, and shots of
        each.
    workers
        Threads; they change no digit.
    progress
        Told of progress.
    """
    draws = Draws(setups, shots)
    (reach,) = open_near(study, chain, [close_by(subject)])
    effort = work_out(study, reach.road, draws, setups=SETUPS, shots=SHOTS, workers=workers)
    lineup = Lineup(study, subject, reach, target)
    fire_all([lineup], effort, workers=workers, progress=progress)
    subject, asked = lineup.subject, _asked(lineup.spread, target)
    others = [source for source in sources(study) if source != subject.source]
    nominal = nominal_shot(study, chain)
    return RequireAnswer(
        study=study,
        effort=effort,
        fell_back=fell_back(effort, draws),
        target=target,
        subject=subject,
        spread=asked,
        down=_asked(lineup.down, target) if lineup.down.hits else None,
        up=_asked(lineup.up, target) if lineup.up.hits else None,
        present=lineup.spread.hits[subject.present].rates,
        remedies={
            way: remedies(
                subject.sized(study, need.best_at),
                chain,
                others,
                way,
                target,
                effort,
                workers=workers,
            )
            for way, need in asked.needs.items()
            if need.limit is None
        },
        aims=aims(study, chain),
        unaimed=unaimed(study, nominal),
        warnings=find_warnings(study, nominal),
    )


def _asked(line: Line, target: float) -> Asked:
    curve = hit_curve(line.hits)
    return Asked(curve, {way: requirement(curve, way, target) for way in WAYS})
