"""What-ifs as studies of their own: spreads scaled, values off by a steady error, settings changed.

Every source draws from a stream keyed by its name, so that a study and its variants see the same
draws: what differs between their answers is the what-if, not luck.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from jitter.quantities import Kind, Level, Quantity, Spread
from jitter.study.study import Entry, Nominal, Study

Sources = Iterable[tuple[str, Level]]
"""Keys, each with a level."""


def scaled(study: Study, sources: Sources, factor: float) -> Study:
    """Return a study with some spreads scaled; a mishap's chance and a clock's step too.

    Parameters
    ----------
    study
        The rig.
    sources
        Quantities, each with a level.
    factor
        1 as it is, 0 removed, 2 doubled. A chance stays below 1.
    """
    changed: dict[str, Entry] = {}
    for key, level in sources:
        entry = changed.get(key, study.entries[key])
        declared = entry.declaration
        if isinstance(declared, Quantity) and declared.kind in (Kind.CHANCE, Kind.TICK):
            size = entry.number * factor
            limit = declared.upper if declared.kind is Kind.TICK else 1.0
            changed[key] = replace(entry, nominal=min(size, limit))
            continue
        spread = entry.setup if level is Level.SETUP else entry.each_shot
        changes: dict[str, Any] = {level.value: replace(spread, size=spread.size * factor)}
        changed[key] = replace(entry, **changes)
    return replace(study, entries={**study.entries, **changed})


def with_spread(study: Study, keys: Iterable[str], level: Level, spread: Spread) -> Study:
    """Return a study in which some quantities stray by a given spread at a level.

    Parameters
    ----------
    study
        The rig.
    keys
        The quantities.
    level
        Set-up or shot.
    spread
        Of each of them.
    """
    changes: dict[str, Any] = {level.value: spread}
    changed = {key: replace(study.entries[key], **changes) for key in keys}
    return replace(study, entries={**study.entries, **changed})


def shifted(study: Study, keys: Iterable[str], offset: float) -> Study:
    """Return a study in which some values are steadily off, unknown to the photographer.

    Parameters
    ----------
    study
        The rig.
    keys
        The quantities.
    offset
        True value less the one that the rig was reckoned with, in SI.
    """
    changed = {key: replace(study.entries[key], offset=offset) for key in keys}
    return replace(study, entries={**study.entries, **changed})


def with_values(study: Study, values: dict[str, Nominal]) -> Study:
    """Return a study with some values set otherwise, their spreads left alone.

    Parameters
    ----------
    study
        The rig.
    values
        Nominals in SI, by key.
    """
    changed = {key: replace(study.entries[key], nominal=value) for key, value in values.items()}
    return replace(study, entries={**study.entries, **changed})
