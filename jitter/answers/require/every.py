"""How precisely everything must be set: the requirement of every spread, each by itself."""

from __future__ import annotations

from dataclasses import dataclass

from jitter.answers.effort import Effort, rates_of
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Lineup, close_by, fire_all
from jitter.answers.require.requirement import Requirement, hit_curve, requirement
from jitter.answers.require.roads import open_near
from jitter.answers.require.subject import Subject, subject_of
from jitter.answers.require.working import Draws, fell_back, work_out
from jitter.answers.warnings import find_warnings
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

    @property
    def met(self) -> bool:
        """Whether some size reaches the target, in one way at least."""
        return any(need.limit is not None for need in self.needs.values())


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
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    effort: Effort
    fell_back: bool
    target: float
    present: dict[str, Estimate]
    needs: tuple[Need, ...]
    warnings: tuple[str, ...]

    @property
    def met(self) -> bool:
        """Whether some spread alone reaches the target, in one way at least."""
        return any(need.met for need in self.needs)


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
    return RequireAllAnswer(
        study=study,
        effort=effort,
        fell_back=fell_back(effort, draws),
        target=target,
        present=present.rates,
        needs=tuple(_need(lineup, target) for lineup in lineups),
        warnings=find_warnings(study, nominal_shot(study, chain)),
    )


def _need(lineup: Lineup, target: float) -> Need:
    curve = hit_curve(lineup.spread.hits)
    return Need(lineup.subject, {way: requirement(curve, way, target) for way in WAYS})
