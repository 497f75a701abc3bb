"""What differs between two studies, and a study with one difference taken over from the other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from jitter.quantities import Choice, Curve, Quantity, Window
from jitter.study.study import Entry, Study

PARTS = ("nominal", "setup", "shot", "alike", "drift", "offset")
"""What an entry says that an answer depends on."""

Place = tuple[str, str]
"""A key and a part of its entry."""


@dataclass(frozen=True)
class Change:
    """One part of one value that two studies say otherwise.

    Attributes
    ----------
    key
        The quantity.
    part
        One of `PARTS`.
    one, other
        Its entries.
    """

    key: str
    part: str
    one: Entry
    other: Entry


@dataclass(frozen=True)
class Difference:
    """Changes that make sense together only: a choice and what goes with it, or one by itself.

    Attributes
    ----------
    changes
        At least one.
    whole
        Keys whose whole entry goes over, limits and all; of the others a part does.
    """

    changes: tuple[Change, ...]
    whole: frozenset[str]

    def taken(self, study: Study, *, other: bool) -> Study:
        """Return a study with this difference as one of the two studies has it.

        Parameters
        ----------
        study
            One of the two, or a mixture of them.
        other
            Whether it becomes as in the other study; as in the one otherwise.
        """
        entries = dict(study.entries)
        for change in self.changes:
            theirs = change.other if other else change.one
            if change.key in self.whole:
                entries[change.key] = theirs
            else:
                parts: dict[str, Any] = {change.part: getattr(theirs, change.part)}
                entries[change.key] = replace(entries[change.key], **parts)
        return replace(study, entries=entries)


def differences(one: Study, other: Study) -> tuple[Difference, ...]:
    """Return what differs between two studies of one chain, in the order of the declarations.

    Values and spreads are told apart. What only makes sense together is one difference: a choice
    and the values whose defaults hang on it, a value and the one that it takes the place of, and
    spreads that share one draw. Titles, seeds and stated bases make no difference.

    Parameters
    ----------
    one, other
        Two studies.
    """
    found = {
        (key, part): Change(key, part, entry, other.entries[key])
        for key, entry in one.entries.items()
        for part in PARTS
        if getattr(entry, part) != getattr(other.entries[key], part)
    }
    groups: dict[Place, set[Place]] = {place: {place} for place in found}
    for first, second in _linked(found):
        joined = groups[first] | groups[second]
        for place in joined:
            groups[place] = joined
    told: list[Difference] = []
    seen: set[Place] = set()
    for place in found:
        if place in seen:
            continue
        group = [member for member in found if member in groups[place]]
        seen.update(group)
        keys = {key for key, _ in group}
        whole = {key for key in keys if len(keys) > 1 and _all_of(key, found) <= set(group)}
        changes = tuple(found[member] for member in group)
        told.append(Difference(changes, frozenset(whole)))
    return tuple(told)


def _all_of(key: str, found: Iterable[Place]) -> set[Place]:
    return {place for place in found if place[0] == key}


def _linked(found: dict[Place, Change]) -> Iterable[tuple[Place, Place]]:
    """Yield pairs of changes that make sense together only."""
    shared: dict[tuple[str, str], Place] = {}
    for place, change in found.items():
        key, part = place
        declared = change.one.declaration
        if isinstance(declared, Quantity) and declared.together and part in ("setup", "alike"):
            yield shared.setdefault((declared.together, part), place), place
        if isinstance(declared, Window | Choice):
            continue
        if _wakes(change):
            # A value that one of the two does not use has its spreads on that side only.
            for mate in _all_of(key, found):
                yield place, mate
        for partner, always in _partners(declared):
            mate = (partner, "nominal")
            if mate in found and (always or _wakes(change) or _wakes(found[mate])):
                yield place, mate


def _partners(declared: Quantity | Curve) -> Iterable[tuple[str, bool]]:
    """Yield keys that a declaration names, and whether any change of both belongs together."""
    for partner in declared.instead:
        yield partner, False
    if isinstance(declared, Quantity):
        for condition in declared.only_with:
            yield condition.partition("=")[0], False
        if declared.variants is not None:
            yield declared.variants.by, True


def _wakes(change: Change) -> bool:
    """Whether one of the two studies uses a value and the other does not."""
    return (change.one.nominal is None) != (change.other.nominal is None)
