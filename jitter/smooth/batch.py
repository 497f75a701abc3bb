"""Many what-ifs of one study in the rows of the same arrays, so that each stage works once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.draws.deviates import Deviates
from jitter.draws.values import UNSCALED, value
from jitter.quantities import argument
from jitter.study.study import Study


@dataclass(frozen=True)
class Batch:
    """What-ifs one after the other, each in as many rows as there are points.

    Attributes
    ----------
    base
        The study behind them: every what-if has its shapes of spreads, its words and its settings.
    studies
        What is worked.
    points
        Rows of each.
    """

    base: Study
    studies: Sequence[Study]
    points: int

    @cached_property
    def changed(self) -> dict[str, list[int]]:
        """By quantity: the places of the what-ifs in which it differs from the base."""
        found: dict[str, list[int]] = {}
        for place, study in enumerate(self.studies):
            for key, entry in study.entries.items():
                if entry is not self.base.entries[key]:
                    found.setdefault(key, []).append(place)
        return found

    def values(self, deviates: Deviates, keys: Iterable[str]) -> dict[str, Any]:
        """Return what the stages read for some quantities, by argument.

        Parameters
        ----------
        deviates
            A row for every point of every what-if, or one for each point, if all have the same.
        keys
            The quantities.
        """
        made = {argument(key): self._value(key, deviates) for key in keys}
        return made | {"frame_number": self._spread(deviates.frame_number)}

    def _spread(self, whole: Array) -> Array:
        """Return an array for every what-if, of one for each point."""
        if whole.shape[-2] != self.points or len(self.studies) == 1:
            return whole
        return np.concatenate([whole] * len(self.studies), axis=-2)

    def _value(self, key: str, deviates: Deviates) -> Any:
        whole = value(self.base, key, deviates, UNSCALED)
        places = self.changed.get(key, [])
        if not places:
            return self._spread(whole)
        size = (*whole.shape[:-2], self.points * len(self.studies), whole.shape[-1])
        filled = np.array(np.broadcast_to(self._spread(whole), size))
        for place in places:
            mine = slice(place * self.points, (place + 1) * self.points)
            own = Deviates(
                {key: _cut(deviates.setup[key], mine)} if key in deviates.setup else {},
                {key: _cut(deviates.shot[key], mine)} if key in deviates.shot else {},
                _cut(deviates.frame_number, mine),
            )
            filled[..., mine, :] = value(self.studies[place], key, own, UNSCALED)
        return filled


def _cut(drawn: Array, mine: slice) -> Array:
    """Return the rows of a what-if; all where there are no others."""
    return drawn[..., mine, :] if drawn.shape[-2] >= mine.stop else drawn
