"""Pages of one study side by side: its versions, and what is not the same in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jitter.report.card import Rate
from jitter.report.html import UNTITLED
from jitter.report.index.cards import Leaf


@dataclass(frozen=True)
class Version:
    """A study as it once was.

    Attributes
    ----------
    digest
        Of its values.
    leaves
        The pages about it, newest first.
    """

    digest: str
    leaves: tuple[Leaf, ...]

    @property
    def values(self) -> Mapping[str, str]:
        """Its values, by key."""
        return self.leaves[0].card.values

    @property
    def rated(self) -> Leaf | None:
        """Of its pages the one that tells keepers, and tells them closest."""
        told = (leaf for leaf in self.leaves if leaf.card.rates)
        return min(told, key=lambda leaf: _width(leaf.card.rates), default=None)


@dataclass(frozen=True)
class Family:
    """Versions of a study, those with the newest page first; they share its title.

    Attributes
    ----------
    title
        The study's.
    versions
        Two or more, or one with several pages that tell keepers.
    """

    title: str
    versions: tuple[Version, ...]

    @property
    def differing(self) -> tuple[tuple[str, ...], ...]:
        """A row for each value that is not the same in all: its key, and it in each version."""
        keys = dict.fromkeys(key for version in self.versions for key in version.values)
        rows = ((key, *(version.values.get(key, "–") for version in self.versions)) for key in keys)
        return tuple(row for row in rows if len(set(row[1:])) > 1)


def families(leaves: Sequence[Leaf]) -> tuple[Family, ...]:
    """Return the studies of which there is more than one version or more than one rate.

    Parameters
    ----------
    leaves
        Pages, newest first; those about no study or about several have no part.
    """
    by_title: dict[str, dict[str, list[Leaf]]] = {}
    for leaf in leaves:
        named = leaf.card.title != UNTITLED
        if named and leaf.card.values and len(leaf.card.digests) == 1:
            versions = by_title.setdefault(leaf.card.title, {})
            versions.setdefault(leaf.card.digests[0], []).append(leaf)
    found = (
        Family(title, tuple(Version(digest, tuple(pages)) for digest, pages in versions.items()))
        for title, versions in by_title.items()
    )
    return tuple(family for family in found if _comparable(family))


def _comparable(family: Family) -> bool:
    told = sum(bool(leaf.card.rates) for version in family.versions for leaf in version.leaves)
    return len(family.versions) > 1 or told > 1


def _width(rates: Mapping[str, Rate]) -> float:
    return sum(rate.high - rate.low for rate in rates.values())


def apart(one: Rate, other: Rate) -> bool:
    """Whether two intervals have nothing in common."""
    return one.high < other.low or other.high < one.low
