"""What a requirement is asked for: one spread of a study, of any size, and a steady offset."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from jitter.answers.ranking import Source, sources
from jitter.answers.require.leeway import leeway
from jitter.answers.require.sphere import Sphere, sphere_of
from jitter.answers.variants import scaled, shifted, with_spread, with_values
from jitter.errors import Fault, MistakeError
from jitter.quantities import Kind, Level, Quantity, Shape, Spread
from jitter.stage import Chain
from jitter.study.names import key_meant, name_hint
from jitter.study.study import Entry, Study

WHERE = "the command line"
FAR = 64.0
"""What has no limits is looked at up to so many times its spread."""


@dataclass(frozen=True)
class Subject:
    """One spread whose size is asked for.

    Attributes
    ----------
    source
        The quantities, the level and the spread as it is; of size 0 where there is none yet.
    most
        The largest size that is looked at: one standard deviation, or the half width, then
        reaches a limit of the quantity, or a place where the study makes no sense.
    down, up
        How far the value may be steadily off either way before it does, in SI; 0 for what has no
        value that could be off.
    whole
        What a size is a share of, in SI: the value itself for shares of it, otherwise 1.
    per_cent
        Whether a study may write its sizes in per cent though they are shares of nothing: of a
        plain number about 0.
    sphere
        Where a user asked for a drop by its diameter.
    """

    source: Source
    most: float
    down: float
    up: float
    whole: float = 1.0
    per_cent: bool = False
    sphere: Sphere | None = None

    @property
    def typical(self) -> float:
        """The size as it is, in SI."""
        return self.present * self.whole

    @property
    def key(self) -> str:
        """The quantity, or the first of those that share the draw."""
        return self.source.keys[0]

    @property
    def name(self) -> str:
        """The quantity, or the diameter by which a user asked for it."""
        return self.key if self.sphere is None else self.sphere.key

    @property
    def present(self) -> float:
        """The size as it is; 0 where it does not stray."""
        return self.source.spread.size

    def spread(self, size: float) -> Spread:
        """Return the spread, of a size."""
        return replace(self.source.spread, size=size)

    def sized(self, study: Study, size: float) -> Study:
        """Return a study that strays by so much here: itself where it does so already."""
        if size == self.present:
            return study
        if self.present > 0.0:
            # Each by its own, where those that share a draw have spreads of different size.
            pairs = [(key, self.source.level) for key in self.source.keys]
            return scaled(study, pairs, size / self.present)
        if _struck(study.entries[self.key]):
            return with_values(study, dict.fromkeys(self.source.keys, size))
        return with_spread(study, self.source.keys, self.source.level, self.spread(size))

    def off(self, study: Study, offset: float) -> Study:
        """Return a study that is steadily off by so much here: itself where it is so already."""
        if all(study.entries[key].offset == offset for key in self.source.keys):
            return study
        return shifted(study, self.source.keys, offset)


def find_subject(study: Study, chain: Chain, key: str, level: Level | None) -> Subject:
    """Return the spread that a user names.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    key
        ``section.key``; a drop's diameter stands for its volume.
    level
        Set-up or shot; where None, the set-up if it strays there or nowhere, else the shot.

    Raises
    ------
    MistakeError
        If there is no such quantity, or it cannot stray.
    """
    named = key.strip().lower()
    key = key_meant(study, named)
    if not key:
        right = name_hint(study, named)
        raise MistakeError([Fault(WHERE, None, named, "there is no such quantity", right)])
    entry = study.entries[key]
    wrong, right = _refused(entry)
    if wrong:
        raise MistakeError([Fault(WHERE, None, named, wrong, right)])
    found = {source.level: source for source in sources(study) if key in source.keys}
    if level is None:
        shot = _struck(entry) or (Level.SHOT in found and Level.SETUP not in found)
        level = Level.SHOT if shot else Level.SETUP
    if level is Level.SETUP and _struck(entry):
        wrong = "it is drawn anew for each shot and has no set-up error"
        raise MistakeError([Fault("--level", None, key, wrong, "leave --level out")])
    subject = subject_of(study, chain, found.get(level) or _new(study, entry, level))
    return replace(subject, sphere=sphere_of(study, named, key))


def subject_of(study: Study, chain: Chain, source: Source) -> Subject:
    """Return a spread of a study with how far it may be looked at.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    source
        The spread.
    """
    entry = study.entries[source.keys[0]]
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{declared.key} is no number")
    if _struck(entry):
        return Subject(source, 1.0 if declared.kind is Kind.CHANCE else declared.upper, 0.0, 0.0)
    down, up = (leeway(study, chain, source.keys, sign) for sign in (-1.0, 1.0))
    share = source.spread.relative or source.spread.shape is Shape.LOGNORMAL
    whole = abs(entry.number) if share else 1.0
    far = FAR * whole * (source.spread.size or 1.0)
    down, up = (min(way, far) if math.isinf(way) else way for way in (down, up))
    # A value that stands at its limit strays to the other side only.
    room = min((way for way in (down, up) if way > 0.0), default=0.0)
    lognormal = source.spread.shape is Shape.LOGNORMAL
    most = math.log1p(up / entry.number) if lognormal else room / whole
    bare = declared.unit == "1" and entry.number == 0.0 and not share
    return Subject(source, max(most, source.spread.size), down, up, whole, per_cent=bare)


def _refused(entry: Entry) -> tuple[str, str]:
    declared = entry.declaration
    if not isinstance(declared, Quantity) or declared.kind is Kind.SETTING:
        return "this is a plain setting and does not stray", "name a quantity that strays"
    if entry.nominal is None:
        why = f": {entry.idle}" if entry.idle else ""
        return f"it has no part in this study{why}", "give it a value, or name another quantity"
    return "", ""


def _struck(entry: Entry) -> bool:
    """Whether the size of the spread is the value itself: a mishap's chance, a clock's step."""
    declared = entry.declaration
    return isinstance(declared, Quantity) and declared.kind in (Kind.CHANCE, Kind.TICK)


def _new(study: Study, entry: Entry, level: Level) -> Source:
    """Return the spread of what does not stray: within so much, or from shot to shot an sd."""
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{declared.key} is no number")
    kinds = {Kind.CHANCE: Shape.CHANCE, Kind.TICK: Shape.TICK}
    usual = Shape.RECTANGULAR if level is Level.SETUP else Shape.NORMAL
    shape = kinds.get(declared.kind, usual)
    keys = tuple(
        other.declaration.key
        for other in study.entries.values()
        if isinstance(other.declaration, Quantity)
        and other.nominal is not None
        and (
            other is entry
            or (level is Level.SETUP and declared.together == other.declaration.together != "")
        )
    )
    level = Level.SHOT if declared.kind in kinds else level
    return Source(keys, level, Spread(shape, 0.0), declared.unit, declared.meaning)
