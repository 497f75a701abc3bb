"""What one value of a study means for the others: which take its place, which have no part."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from jitter.quantities import NONE, Curve, Quantity, argument
from jitter.stage import NOMINAL, Chain
from jitter.study.study import Entry
from jitter.units.writing import write_number

Place = Callable[[str, str, str], None]
"""Takes a key, what is wrong with it and what would be right."""


def settle(entries: dict[str, Entry], chain: Chain, doubted: Collection[str], place: Place) -> None:
    """Settle the values of a study among each other, in place.

    Parameters
    ----------
    entries
        Every value as it was read.
    chain
        The stages, which may know better default spreads.
    doubted
        Keys of values that could not be read: what they would have woken is no second fault.
    place
        Called for each fault.
    """
    _take_places(entries, place)
    _rest_idle(entries, frozenset(doubted), place)
    _pair_up(entries, frozenset(doubted), place)
    _adapt(entries, chain)


def _take_places(entries: dict[str, Entry], place: Place) -> None:
    """Let a value that stands instead of others do so."""
    for key, entry in entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity | Curve) or entry.nominal is None:
            continue
        for other in declared.instead:
            stood = entries[other]
            if stood.given:
                also = _other_name(stood)
                place(
                    key,
                    f"it stands in the place of {other}{also}, which is given too",
                    "give one of them",
                )
            else:
                entries[other] = _idle(stood, f"{key} stands in its place")


def _other_name(entry: Entry) -> str:
    declared = entry.declaration
    named = isinstance(declared, Quantity) and declared.diameter_key
    return f" (or {named})" if named else ""


def _idle(entry: Entry, why: str) -> Entry:
    return replace(entry, nominal=None, setup=NONE, shot=NONE, idle=why)


def _rest_idle(entries: dict[str, Entry], doubted: frozenset[str], place: Place) -> None:
    """Put aside what has no part in this rig; what has none must not be given."""
    for key, entry in entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity) or not declared.only_with or entry.idle:
            continue
        if any(_holds(entries, condition) for condition in declared.only_with):
            continue
        conditions = " or ".join(condition.replace("=", " = ") for condition in declared.only_with)
        wakers = {condition.partition("=")[0] for condition in declared.only_with}
        if entry.given and doubted.isdisjoint(wakers):
            wanted = " or ".join(_as_written(condition) for condition in declared.only_with)
            place(key, f"it has no part without {wanted}", "give that too, or leave this out")
        entries[key] = _idle(entry, f"only with {conditions}")


def _as_written(condition: str) -> str:
    key, equals, option = condition.partition("=")
    return f'{key} = "{option}"' if equals else key


def _holds(entries: Mapping[str, Entry], condition: str) -> bool:
    key, equals, option = condition.partition("=")
    entry = entries[key]
    if equals:
        return entry.nominal == option
    # A value of 0 that strays or drifts is not 0 in every shot.
    strays = entry.setup != NONE or entry.shot != NONE or entry.drift != 0.0
    return entry.nominal is not None and (entry.nominal != 0.0 or strays)


def _pair_up(entries: dict[str, Entry], doubted: frozenset[str], place: Place) -> None:
    """Give the two drops' own quantities one likeness."""
    pairs: dict[str, list[str]] = {}
    for key, entry in entries.items():
        declared = entry.declaration
        if isinstance(declared, Quantity) and declared.together:
            pairs.setdefault(declared.together, []).append(key)
    for keys in pairs.values():
        given = [key for key in keys if "alike" in entries[key].given]
        if not given:
            continue
        alike = entries[given[0]].alike
        if any(entries[key].alike != alike for key in given):
            wrong = f"{given[0]} says how alike the two drops are, and says {write_number(alike)}"
            place(f"{given[1]}.alike", wrong, "give alike once")
        idle = [key for key in keys if entries[key].nominal is None]
        if idle and doubted.isdisjoint(idle):
            wrong = f"{idle[0]}, to which it would be alike, has no part in this rig"
            place(f"{given[0]}.alike", wrong, "state both drops the same way, or leave alike out")
        for key in keys:
            entries[key] = replace(entries[key], alike=alike)


def nominal_arguments(entries: Mapping[str, Entry]) -> dict[str, Any]:
    """Return what the stages read in the shot in which nothing strays, without set-ups and shots.

    Parameters
    ----------
    entries
        The values of a study.
    """
    made: dict[str, Any] = {"frame_number": 0.0}
    for key, entry in entries.items():
        declared = entry.declaration
        made[argument(key)] = entry.nominal
        if isinstance(declared, Quantity):
            if entry.nominal is not None and (declared.per_drop or declared.per_axis):
                axes = (2,) * (declared.per_drop + declared.per_axis)
                made[argument(key)] = np.full(axes, entry.number)
            made[f"{argument(key)}{NOMINAL}"] = entry.nominal
    return made


def _adapt(entries: dict[str, Entry], chain: Chain) -> None:
    """Put the default spreads that suit this rig in the place of the declared ones."""
    for stage in chain.stages:
        if stage.adapt is None:
            continue
        for (key, level), (spread, basis) in stage.adapt(nominal_arguments(entries)).items():
            entry = entries[key]
            if entry.nominal is None or level.value in entry.given:
                continue
            changes: dict[str, Any] = {level.value: spread, f"{level.value}_basis": basis}
            entries[key] = replace(entry, **changes)
