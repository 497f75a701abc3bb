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

from jitter.quantities import Declaration


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
        `work` receives it under the name in `table`.
    table
        The argument that carries the prepared table.
    """

    name: str
    declares: tuple[Declaration, ...] = ()
    work: Callable[..., tuple[Any, ...]]
    prepare: Callable[[Mapping[str, Any]], object] | None = None
    table: str = ""

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
                needed.update(stage.needs)
        return tuple(reversed(kept))
