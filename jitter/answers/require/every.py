"""How precisely everything must be set: the requirement of every spread, each by itself."""

from __future__ import annotations

from dataclasses import dataclass

from jitter.answers.hits import WAYS, count_hits
from jitter.answers.intervals import Estimate
from jitter.answers.ranking import Source, sources
from jitter.answers.require.lines import Lineup
from jitter.answers.require.requirement import Requirement, hit_curve, requirement
from jitter.answers.require.subject import Subject, subject_of
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent, work_through
from jitter.draws.layout import Layout
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
    layout
        Seed, set-ups and shots.
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
    layout: Layout
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
    setups: int = SETUPS,
    shots: int = SHOTS,
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
        Set-ups, at least 2, and shots of each.
    workers
        Threads; they change no digit.
    progress
        Told after each spread.
    """
    layout = Layout(study.seed, setups, shots)

    def work(source: Source) -> Need:
        subject = subject_of(study, chain, source)
        # The threads take a spread each, so each spread takes one thread.
        lineup = Lineup(study, chain, subject, target, layout, offsets=False, workers=1)
        curve = hit_curve(lineup.fire()[0].hits)
        return Need(lineup.subject, {way: requirement(curve, way, target) for way in WAYS})

    needs = tuple(work_through(work, sources(study), workers=workers, progress=progress))
    present = count_hits(study, chain, layout, workers=workers).rates
    warnings = find_warnings(study, nominal_shot(study, chain))
    return RequireAllAnswer(study, layout, target, present, needs, warnings)
