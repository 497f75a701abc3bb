"""How precisely a thing must be set: the largest spread and steady offset that reach a target."""

from __future__ import annotations

from dataclasses import dataclass

from jitter.answers.hits import WAYS, Hits
from jitter.answers.ranking import sources
from jitter.answers.require.lines import Line, Lineup
from jitter.answers.require.remedies import Remedy, remedies
from jitter.answers.require.requirement import HitCurve, Requirement, hit_curve, requirement
from jitter.answers.require.subject import Subject
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 2048, 32
MOST_SETUPS = 100_000
"""The frames of each set-up are kept by reason for every what-if, some sixty of them."""


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
    layout
        Seed, set-ups and shots.
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
        The hit rate as things are; in `spread.curve` too where the quantity strays.
    remedies
        By way in which no spread reaches the target: what else must shrink.
    warnings
        Where the model or the study is out of its depth.
    """

    study: Study
    layout: Layout
    target: float
    subject: Subject
    spread: Asked
    down: Asked | None
    up: Asked | None
    present: Hits
    remedies: dict[str, tuple[Remedy, ...]]
    warnings: tuple[str, ...]

    @property
    def met(self) -> bool:
        """Whether some spread reaches the target, in one way at least."""
        return any(need.limit is not None for need in self.spread.needs.values())


def answer_require(
    study: Study,
    chain: Chain,
    subject: Subject,
    target: float,
    *,
    setups: int = SETUPS,
    shots: int = SHOTS,
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
        Set-ups, at least 2, and shots of each.
    workers
        Threads; they change no digit.
    progress
        Told of progress.
    """
    layout = Layout(study.seed, setups, shots)
    line_up = Lineup(study, chain, subject, target, layout, workers=workers, progress=progress)
    spread, down, up = line_up.fire()
    subject = line_up.subject
    asked = _asked(spread, target)
    others = [source for source in sources(study) if source != subject.source]
    return RequireAnswer(
        study=study,
        layout=layout,
        target=target,
        subject=subject,
        spread=asked,
        down=_asked(down, target) if down.hits else None,
        up=_asked(up, target) if up.hits else None,
        present=spread.hits[subject.present],
        remedies={
            way: remedies(
                subject.sized(study, need.best_at),
                chain,
                others,
                way,
                target,
                layout,
                workers=workers,
            )
            for way, need in asked.needs.items()
            if need.limit is None
        },
        warnings=find_warnings(study, nominal_shot(study, chain)),
    )


def _asked(line: Line, target: float) -> Asked:
    curve = hit_curve(line.hits)
    return Asked(curve, {way: requirement(curve, way, target) for way in WAYS})
