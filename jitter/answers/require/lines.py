"""Errors of growing size, fired on the same draws: near the present size, then further."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from jitter.answers.hits import WAYS, Hits
from jitter.answers.require.requirement import hit_curve, sizes_between
from jitter.answers.require.subject import Subject
from jitter.answers.what_ifs import count_what_ifs, open_wide, widest
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.errors import MistakeError
from jitter.stage import Chain
from jitter.study.study import Study
from jitter.trial import Road

FACTORS = (0.125, 0.25, 0.5, 1.0, 2.0, 4.0)
"""Of the present size, near it."""
FAR = 4.0
"""Further out, or where there is no present size, sizes go on in this ratio."""
LOOKED = 8
"""So many sizes where there is no present one."""
ROUNDS = 2
"""So often it is looked closer around the crossings."""
CUTS = 12


@dataclass
class Line:
    """What-ifs of one kind by size, as they come in.

    Attributes
    ----------
    make
        The what-if of a size.
    near
        The largest size near the present one.
    hits
        By size.
    """

    make: Callable[[float], Study]
    near: float
    hits: dict[float, Hits] = field(default_factory=dict)

    def reaches(self, target: float) -> bool:
        """Whether the target is, or may be, reached at the largest size so far."""
        last = self.hits[max(self.hits)]
        return any(last.rates[way].high >= target for way in WAYS)


def near_sizes(present: float, most: float) -> set[float]:
    """Return the sizes that are looked at first.

    Parameters
    ----------
    present
        As it is; 0 where there is none, and all sizes are looked at at once.
    most
        The largest.
    """
    if most == 0.0:
        return {0.0}
    if present == 0.0:
        return {0.0, *(most / FAR**power for power in range(LOOKED))}
    return {0.0, *(min(present * factor, most) for factor in FACTORS)}


def far_sizes(near: float, most: float) -> set[float]:
    """Return the sizes beyond those near the present one."""
    found = set()
    while near * FAR < most:
        near *= FAR
        found.add(near)
    return {*found, most}


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
        drawn = subject.sized(study, subject.present or subject.most)
        ends = [
            subject.sized(study, subject.most),
            subject.off(study, -subject.down),
            subject.off(study, subject.up),
        ]
        try:
            wide = widest(drawn, subject.source.keys, ends)
            return open_wide(drawn, chain, widest=wide), subject
        except MistakeError:
            subject = _within(subject, *(0.5 * end for end in ends_of(subject)))
    subject = _within(subject, 0.0, 0.0, 0.0)
    drawn = subject.sized(study, subject.present)
    return open_wide(drawn, chain, widest=drawn), subject


def ends_of(subject: Subject) -> tuple[float, float, float]:
    """Return the largest spread and the largest offsets, down and up."""
    return subject.most, subject.down, subject.up


def _within(subject: Subject, most: float, down: float, up: float) -> Subject:
    return replace(
        subject,
        most=max(min(subject.most, most), subject.present),
        down=min(subject.down, down),
        up=min(subject.up, up),
    )


class Lineup:
    """The three errors of a subject: its spread, and a steady offset down and up.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    subject
        The spread asked for.
    target
        The hit rate whose crossings matter.
    layout
        Seed, set-ups and shots.
    offsets
        Whether to look at steady offsets too.
    workers
        Threads.
    progress
        Told of progress.
    """

    def __init__(
        self,
        study: Study,
        chain: Chain,
        subject: Subject,
        target: float,
        layout: Layout,
        *,
        offsets: bool = True,
        workers: int | None = None,
        progress: Progress = silent,
    ) -> None:
        self._study, self._chain, self._target = study, chain, target
        self._layout, self._workers, self._progress = layout, workers, progress
        self._whole = subject if offsets else _within(subject, subject.most, 0.0, 0.0)
        self._passes = 0
        near = FACTORS[-1] * subject.present
        typical = FACTORS[-1] * subject.typical
        ends = (near, typical, typical) if near > 0.0 else ends_of(self._whole)
        self._road, self.subject = prepare(study, chain, _within(self._whole, *ends))
        self._far: Road | None = None

    def fire(self) -> tuple[Line, Line, Line]:
        """Fire near the present size, further where the target is still reached, then closer.

        Returns
        -------
        spread, down, up
            The last two without sizes where there is nothing that could be off.
        """
        near, study = self.subject, self._study
        lines = (
            Line(lambda size: near.sized(study, size), near.most),
            Line(lambda size: near.off(study, -size), near.down),
            Line(lambda size: near.off(study, size), near.up),
        )
        firsts = [near_sizes(near.present, near.most)]
        firsts += [
            near_sizes(min(near.typical, end), end) if end > 0.0 else set()
            for end in (near.down, near.up)
        ]
        self._add(self._road, zip(lines, firsts, strict=True))
        self._further(lines)
        for _ in range(ROUNDS):
            closer = [
                (line, sizes_between(hit_curve(line.hits), self._target) - set(line.hits))
                for line in lines
                if line.hits
            ]
            self._add(
                self._road,
                [(line, {size for size in some if size <= line.near}) for line, some in closer],
            )
            if self._far is not None:
                self._add(
                    self._far,
                    [(line, {size for size in some if size > line.near}) for line, some in closer],
                )
        self._progress(1, 1)
        return lines

    def _further(self, lines: Sequence[Line]) -> None:
        """Go on to the ends of what makes sense, with the errors that still reach the target."""
        goes = [bool(line.hits) and line.reaches(self._target) for line in lines]
        pairs = zip(goes, ends_of(self._whole), ends_of(self.subject), strict=True)
        ends = [whole if further else end for further, whole, end in pairs]
        if tuple(ends) == ends_of(self.subject):
            return
        self._far, wide = prepare(self._study, self._chain, _within(self._whole, *ends))
        self.subject = wide
        self._add(
            self._far,
            [
                (line, far_sizes(line.near, end))
                for line, end, further in zip(lines, ends_of(wide), goes, strict=True)
                if further and end > line.near
            ],
        )

    def _add(self, road: Road, asked: Iterable[tuple[Line, set[float]]]) -> None:
        pairs = [(line, size) for line, some in asked for size in sorted(some)]
        if not pairs:
            return
        self._passes += 1
        before, all_passes = self._passes - 1, 2 * (ROUNDS + 1)

        def tell(part: int, parts: int) -> None:
            self._progress(before * parts + part, all_passes * parts)

        what_ifs = [line.make(size) for line, size in pairs]
        found = count_what_ifs(road, what_ifs, self._layout, workers=self._workers, progress=tell)
        for (line, size), hits in zip(pairs, found, strict=True):
            line.hits[size] = hits
