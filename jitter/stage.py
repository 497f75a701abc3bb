"""A stage of the shot: what it declares, what it needs and what it gives.

What a stage needs is read off its function's arguments and what it gives off the fields of the
named tuple it returns, so that neither is written twice.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, get_type_hints

import numpy as np

from jitter.errors import RefusedError
from jitter.quantities import Basis, Declaration, Level, Spread

Events = dict[str, Any]
"""Values and events by name: what the stages have read and written so far."""

NOMINAL = "_nominal"
"""Behind the name of a value or an event: the one in the shot in which nothing strays."""

Adapted = Mapping[tuple[str, Level], tuple[Spread, Basis]]
"""Default spreads that suit a study better than the declared ones, by key and level."""


class UnpreparedError(RefusedError):
    """A study whose values reach too far for a stage's table."""


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One physical step from values and earlier events to new events.

    Attributes
    ----------
    name
        What happens in it, for a photographer.
    declares
        The quantities that belong to it.
    work
        A function of keyword-only arguments that returns a named tuple of events.
    prepare
        Builds the stage's lookup table before the first shot, from the reach of every value;
        `work` receives it under the name in `table`. May raise `UnpreparedError`.
    table
        The argument that carries the prepared table.
    adapt
        Receives the nominals by argument and returns default spreads that suit them better than
        the declared ones; where a study gives a spread, the study's counts.
    """

    name: str
    declares: tuple[Declaration, ...] = ()
    work: Callable[..., tuple[Any, ...]]
    prepare: Callable[[Mapping[str, Any]], object] | None = None
    table: str = ""
    adapt: Callable[[Mapping[str, Any]], Adapted] | None = None

    @cached_property
    def needs(self) -> tuple[str, ...]:
        """The names of the values and events that the stage reads."""
        return tuple(inspect.signature(self.work).parameters)

    @cached_property
    def gives(self) -> tuple[str, ...]:
        """The names of the events that the stage writes."""
        fields: tuple[str, ...] = get_type_hints(self.work)["return"]._fields
        return fields


@dataclass(frozen=True)
class Chain:
    """The stages of a shot in causal order, and the trimming done between set-up and shots.

    Attributes
    ----------
    stages
        In an order in which every stage comes after those whose events it needs.
    trimming
        Turns the ages of the trimming frames into a change of the delay.
    """

    stages: tuple[Stage, ...]
    trimming: Stage

    @cached_property
    def declarations(self) -> dict[str, Declaration]:
        """Every declaration by key, in the order of the chain."""
        every = [item for stage in (*self.stages, self.trimming) for item in stage.declares]
        return {item.key: item for item in every}

    def towards(self, wanted: Iterable[str]) -> tuple[Stage, ...]:
        """Return the stages that are needed for the wanted events, in order.

        Parameters
        ----------
        wanted
            Names of events.

        Returns
        -------
        tuple of Stage
            No stage whose events nobody asks for.
        """
        needed = set(wanted)
        kept: list[Stage] = []
        for stage in reversed(self.stages):
            if needed.intersection(stage.gives):
                kept.append(stage)
                needed.update(name.removesuffix(NOMINAL) for name in stage.needs)
        return tuple(reversed(kept))

    def nominals(self, values: Mapping[str, Any], wanted: Iterable[str] | None = None) -> Events:
        """Return the nominal of every event of which a stage reads it.

        Parameters
        ----------
        values
            What the stages read in the shot in which nothing strays.
        wanted
            Only what the stages towards these events read; all stages where None.
        """
        stages = self.stages if wanted is None else self.towards(wanted)
        read = {name for stage in stages for name in stage.needs}
        given = [event for stage in stages for event in stage.gives]
        sought = {event for event in given if f"{event}{NOMINAL}" in read}
        events, found = dict(values), {}
        for stage in self.towards(sought):
            events = walk([stage], events)
            for event in sought.intersection(stage.gives):
                found[f"{event}{NOMINAL}"] = float(np.asarray(events[event]).item())
            events |= found
        return found


def downstream(stages: Iterable[Stage], changed: Iterable[str]) -> tuple[Stage, ...]:
    """Return the stages that need what has changed, or an event that followed from it, in order.

    Parameters
    ----------
    stages
        In order.
    changed
        Names of values and events.
    """
    dirty, found = set(changed), []
    for stage in stages:
        if not dirty.isdisjoint(stage.needs):
            found.append(stage)
            dirty.update(stage.gives)
    return tuple(found)


def walk(
    stages: Iterable[Stage],
    events: Events,
    changed: Iterable[str] | None = None,
    keep: Iterable[str] | None = None,
) -> Events:
    """Let stages write their events.

    Parameters
    ----------
    stages
        In order.
    events
        Values, tables and, where `changed` is given, the events of an earlier walk.
    changed
        The names that differ from that walk; a stage that needs none of them, nor any event that
        followed from them, is not worked again.
    keep
        The names wanted of it; the rest is forgotten as soon as no later stage needs it, so that
        its memory serves again. All are kept where None.

    Returns
    -------
    Events
        A new mapping.
    """
    worked = tuple(stages) if changed is None else downstream(stages, changed)
    written = dict(events)
    # Where the caller keeps them no longer, what is forgotten here is free at once.
    del events
    if keep is None:
        for stage in worked:
            _work(stage, written)
        return written
    needed = [set(keep)]
    for stage in reversed(worked):
        needed.append(needed[-1].union(stage.needs))
    _forget(written, needed.pop())
    for stage in worked:
        _work(stage, written)
        _forget(written, needed.pop())
    return written


def _work(stage: Stage, written: Events) -> None:
    made = stage.work(**{name: written[name] for name in stage.needs})
    written.update(zip(stage.gives, made, strict=True))


def _forget(written: Events, needed: set[str]) -> None:
    for name in written.keys() - needed:
        del written[name]
