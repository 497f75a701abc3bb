"""Roads that reach as far as the errors of a requirement do."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from jitter.answers.require.subject import Subject
from jitter.answers.what_ifs import open_wide, widest
from jitter.draws.values import reaches
from jitter.errors import MistakeError
from jitter.quantities import argument
from jitter.stage import Chain, UnpreparedError
from jitter.study.study import Study
from jitter.trial import Road

CUTS = 12
"""Ends that the stages cannot be prepared for are halved so often at the most."""


@dataclass(frozen=True)
class Reach:
    """A road for an error.

    Attributes
    ----------
    road
        Serves sizes near the present one at least.
    subject
        The error, with ends no further than it can be prepared for.
    free
        Whether it serves any size: no table hangs on it.
    """

    road: Road
    subject: Subject
    free: bool


def open_near(study: Study, chain: Chain, subjects: Sequence[Subject]) -> list[Reach]:
    """Return a road for each of some errors near its present size.

    The same road for all of them, unless their tables cannot be prepared at once.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    subjects
        The errors, with their ends near at hand.

    Raises
    ------
    MistakeError
        If not even the study itself can be prepared.
    """
    keys = [key for one in subjects for key in one.source.keys]
    read = read_for_tables(study, chain, keys)
    free = [read.isdisjoint(one.source.keys) for one in subjects]
    try:
        road = open_for(study, chain, subjects)
    except MistakeError:
        return [
            Reach(*prepare(study, chain, one), free=loose)
            for one, loose in zip(subjects, free, strict=True)
        ]
    return [Reach(road, one, loose) for one, loose in zip(subjects, free, strict=True)]


def read_for_tables(study: Study, chain: Chain, keys: Collection[str]) -> set[str]:
    """Return those of some quantities whose reach stages read to prepare their tables.

    Found by hiding all of them, and bringing to light what is missed, one after the other.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    keys
        The quantities.
    """
    ends, names = reaches(study), {argument(key): key for key in keys}
    read: set[str] = set()
    for prepare in (stage.prepare for stage in chain.stages if stage.prepare is not None):
        hidden = set(names)
        while hidden:
            try:
                prepare({name: end for name, end in ends.items() if name not in hidden})
            except KeyError as missed:
                hidden.remove(missed.args[0])
                read.add(names[missed.args[0]])
            except UnpreparedError:
                return set(keys)
            else:
                break
    return read


def open_for(study: Study, chain: Chain, subjects: Sequence[Subject]) -> Road:
    """Return a study ready to be fired with any of some errors, of any size.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    subjects
        The errors, with their ends.

    Raises
    ------
    MistakeError
        If that is too far for a stage.
    """
    drawn = study
    for one in subjects:
        if one.present == 0.0:
            drawn = one.sized(drawn, one.most)
    ends = [
        end
        for one in subjects
        for end in (
            one.sized(study, one.most),
            one.off(study, -one.down),
            one.off(study, one.up),
        )
    ]
    keys = dict.fromkeys(key for one in subjects for key in one.source.keys)
    return open_wide(drawn, chain, widest=widest(drawn, keys, ends))


def prepare(study: Study, chain: Chain, subject: Subject) -> tuple[Road, Subject]:
    """Return a study ready to be fired with an error of any size, and the sizes it can have.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    subject
        The error; its ends are halved until the stages can be prepared for them.

    Raises
    ------
    MistakeError
        If not even the study itself can be prepared.
    """
    for _ in range(CUTS):
        try:
            return open_for(study, chain, [subject]), subject
        except MistakeError:
            subject = within(subject, *(0.5 * end for end in ends_of(subject)))
    subject = within(subject, 0.0, 0.0, 0.0)
    return open_for(study, chain, [subject]), subject


def ends_of(subject: Subject) -> tuple[float, float, float]:
    """Return the largest spread and the largest offsets, down and up."""
    return subject.most, subject.down, subject.up


def within(subject: Subject, most: float, down: float, up: float) -> Subject:
    """Return a subject with ends no further out than some, its present size within them."""
    return replace(
        subject,
        most=max(min(subject.most, most), subject.present),
        down=min(subject.down, down),
        up=min(subject.up, up),
    )
