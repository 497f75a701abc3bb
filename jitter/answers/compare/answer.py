"""Two or more studies on the same draws: whose keepers are more, why, and what drove it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from jitter.answers.compare.aim import aimed, aims
from jitter.answers.compare.difference import Difference, differences
from jitter.answers.compare.drivers import Drive, drive
from jitter.answers.hits import WAYS, Hits, count_hits, difference
from jitter.answers.intervals import Estimate, clustered_share, paired_mean
from jitter.answers.warnings import find_warnings
from jitter.answers.workers import Progress, silent
from jitter.draws.layout import Layout
from jitter.errors import Fault, MistakeError
from jitter.stage import Chain, Events
from jitter.stages.verdict import REASONS
from jitter.study.study import Study
from jitter.trial import nominal_shot

SETUPS, SHOTS = 4096, 32


@dataclass(frozen=True)
class Contender:
    """One of the studies compared.

    Attributes
    ----------
    name
        As the user knows it.
    study
        The rig, with the seed of the first.
    nominal
        Events of the shot in which nothing strays.
    hits
        Frames of each set-up by reason.
    reasons
        Share of the frames by reason, both ways.
    aims
        Whether that shot is a keeper, both ways; else the rig is set wrong, not badly.
    """

    name: str
    study: Study
    nominal: Events
    hits: Hits
    reasons: dict[str, dict[str, Estimate]]
    aims: dict[str, bool]


@dataclass(frozen=True)
class Pair:
    """One study against another, on the same draws.

    Attributes
    ----------
    one, other
        Their places among the contenders.
    change
        By how much the other's hit rate is above the one's, both ways.
    reasons
        Likewise for the share of frames lost to each reason.
    differences
        What the two studies say otherwise.
    """

    one: int
    other: int
    change: dict[str, Estimate]
    reasons: dict[str, dict[str, Estimate]]
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class CompareAnswer:
    """The answer to `jitter compare`.

    Attributes
    ----------
    layout
        Seed, set-ups and shots, the same for all.
    aimed
        Whether each delay was set anew to aim at the middle of the window.
    contenders
        The studies, as they were named.
    pairs
        Each study against each before it.
    drive
        Which difference drove the change, where there are two studies.
    warnings
        Where the model or a study is out of its depth; by whom, where not by all.
    """

    layout: Layout
    aimed: bool
    contenders: tuple[Contender, ...]
    pairs: tuple[Pair, ...]
    drive: Drive | None
    warnings: tuple[str, ...]

    @property
    def against_first(self) -> tuple[Pair, ...]:
        """Each other study against the first."""
        return tuple(pair for pair in self.pairs if pair.one == 0)

    def ranked(self, way: str) -> tuple[int, ...]:
        """Return the contenders' places, most keepers first."""
        rates = [contender.hits.rates[way].value for contender in self.contenders]
        return tuple(sorted(range(len(rates)), key=lambda place: -rates[place]))

    def lead(self, way: str) -> Estimate:
        """Return by how much the best is above the next."""
        best, following = self.ranked(way)[:2]
        first, second = self.contenders[best], self.contenders[following]
        return difference(first.hits, second.hits, way)


def answer_compare(
    named: Sequence[tuple[str, Study]],
    chain: Chain,
    *,
    aim: bool = False,
    setups: int | None = None,
    shots: int | None = None,
    workers: int | None = None,
    progress: Progress = silent,
) -> CompareAnswer:
    """Compare studies on the same draws.

    Parameters
    ----------
    named
        Two studies or more, each with its name. All are fired with the seed of the first.
    chain
        The stages of a shot.
    aim
        Whether each delay is set so that the shot in which nothing strays has the middle age.
    setups, shots
        Set-ups, at least 2, and shots of each; where either is given, the differences taken one by
        one are drawn too, not worked out from points.
    workers
        Threads; the machine's processors where None.
    progress
        Told of progress.

    Raises
    ------
    MistakeError
        With every study whose values reach too far for a stage.
    """
    seed = named[0][1].seed
    layout = Layout(seed, setups or SETUPS, shots or SHOTS)
    named = [(name, replace(study, seed=seed)) for name, study in named]
    if aim:
        named = [(name, aimed(study, chain)) for name, study in named]
    found = [differences(named[0][1], study) for _, study in named[1:]]
    # With two studies, each difference is taken over alone, and taken back alone.
    most = len(named) + (2 * len(found[0]) if len(named) == 2 else 0)
    contenders, faults = [], list[Fault]()
    for place, (name, study) in enumerate(named):
        try:
            contenders.append(_contender(name, study, chain, layout, workers=workers))
        except MistakeError as mistake:
            faults.extend(mistake.faults)
        progress(place + 1, most)
    if faults:
        raise MistakeError(faults)
    driven = None
    if len(contenders) == 2:
        first, second = contenders
        driven = drive(
            (first.study, second.study),
            found[0],
            chain,
            layout,
            drawn=setups is not None or shots is not None,
            workers=workers,
            progress=lambda done, _: progress(2 + done, most),
        )
    return CompareAnswer(
        layout=layout,
        aimed=aim,
        contenders=tuple(contenders),
        pairs=tuple(
            _pair(contenders, one, other)
            for other in range(len(contenders))
            for one in range(other)
        ),
        drive=driven,
        warnings=_warnings(contenders),
    )


def _contender(
    name: str, study: Study, chain: Chain, layout: Layout, *, workers: int | None
) -> Contender:
    hits = count_hits(study, chain, layout, workers=workers)
    nominal = nominal_shot(study, chain)
    return Contender(
        name=name,
        study=study,
        nominal=nominal,
        hits=hits,
        reasons={
            way: {
                reason: clustered_share(getattr(hits, way)[:, place], layout.shots)
                for place, reason in enumerate(REASONS)
            }
            for way in WAYS
        },
        aims=aims(study, chain),
    )


def _pair(contenders: Sequence[Contender], one: int, other: int) -> Pair:
    first, second = contenders[one], contenders[other]
    reasons = {
        way: {
            reason: paired_mean(
                (getattr(second.hits, way)[:, place] - getattr(first.hits, way)[:, place])
                / first.hits.shots
            )
            for place, reason in enumerate(REASONS)
        }
        for way in WAYS
    }
    return Pair(
        one=one,
        other=other,
        change={way: difference(second.hits, first.hits, way) for way in WAYS},
        reasons=reasons,
        differences=differences(first.study, second.study),
    )


def _warnings(contenders: Sequence[Contender]) -> tuple[str, ...]:
    found = [find_warnings(contender.study, contender.nominal) for contender in contenders]
    told: dict[str, list[str]] = {}
    for contender, warnings in zip(contenders, found, strict=True):
        for warning in warnings:
            told.setdefault(warning, []).append(contender.name)
    return tuple(
        warning if len(names) == len(contenders) else f"{' and '.join(names)}: {warning}"
        for warning, names in told.items()
    )
