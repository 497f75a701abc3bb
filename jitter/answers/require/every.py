"""How precisely everything must be set: the requirement of every spread, each by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jitter.answers.compare.aim import aims
from jitter.answers.effort import Effort, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Lineup, close_by, fire_all
from jitter.answers.require.requirement import Requirement, hit_curve, requirement
from jitter.answers.require.roads import open_near
from jitter.answers.require.subject import Subject, subject_of
from jitter.answers.require.working import Draws, answered, fell_back, work_out
from jitter.answers.warnings import find_warnings, unaimed
from jitter.answers.workers import Progress, silent
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 1024, 32


@dataclass(frozen=True)
class Need:
    """What a target asks of one spread.

    Attributes
    ----------
    subject
        The spread, with the largest size that was looked at.
    needs
        By way.
    """

    subject: Subject
    needs: dict[str, Requirement]

    def met(self, ways: Sequence[str]) -> bool:
        """Return whether some size reaches the target, in one of some ways at least."""
        return any(self.needs[way].limit is not None for way in ways)


@dataclass(frozen=True)
class RequireAllAnswer:
    """The answer to `jitter require --all`.

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
    present
        By way: the hit rate as things are.
    needs
        Of every spread, in the order of the declarations.
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
    present: dict[str, Estimate]
    needs: tuple[Need, ...]
    aims: dict[str, bool]
    unaimed: str
    warnings: tuple[str, ...]

    @property
    def ways(self) -> tuple[str, ...]:
        """The ways that are answered: those whose aim is right."""
        return answered(self.aims)

    @property
    def met(self) -> bool:
        """Whether some spread alone reaches the target, in one answered way at least."""
        return any(need.met(self.ways) for need in self.needs)


def answer_require_all(
    study: Study,
    chain: Chain,
    target: float,
    *,
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> RequireAllAnswer:
    """Answer how precisely everything must be set, one spread at a time.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
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
    subjects = [subject_of(study, chain, source) for source in sources(study)]
    near = open_near(study, chain, [close_by(one, offsets=False) for one in subjects])
    road = near[0].road
    effort = work_out(study, road, draws, setups=SETUPS, shots=SHOTS, workers=workers)
    lineups = [
        Lineup(study, subject, reach, target) for subject, reach in zip(subjects, near, strict=True)
    ]
    fire_all(lineups, effort, workers=workers, progress=progress)
    (present,) = rates_of(road, [study], effort, workers=workers)
    nominal = nominal_shot(study, chain)
    return RequireAllAnswer(
        study=study,
        effort=effort,
        fell_back=fell_back(effort, draws),
        target=target,
        present=present.rates,
        needs=tuple(_need(lineup, target) for lineup in lineups),
        aims=aims(study, chain),
        unaimed=unaimed(study, nominal),
        warnings=find_warnings(study, nominal),
    )


def _need(lineup: Lineup, target: float) -> Need:
    curve = hit_curve(lineup.spread.hits)
    return Need(lineup.subject, {way: requirement(curve, way, target) for way in WAYS})
