"""A study: every value of a rig as it will be run, with where it came from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from jitter.quantities import NONE, Basis, Curve, Declaration, Kind, Quantity, Shape, Spread

Pairs = tuple[tuple[float, float], ...]
Nominal = float | str | tuple[float, float] | Pairs | None


@dataclass(frozen=True)
class Entry:
    """One value of a study.

    Attributes
    ----------
    declaration
        What the value is.
    nominal
        The number in SI, the window, the word, the pairs; None where it has no part.
    setup, shot
        Its spreads.
    alike
        How alike the two drops' shot errors are: the correlation of their normal scores.
    drift
        Its rise from one frame to the next, in SI.
    offset
        A steady error that a what-if adds in every shot, in SI; no study file gives one.
    given
        Which of ``nominal``, ``setup``, ``shot``, ``alike`` and ``drift`` the study gives; the
        rest are defaults.
    basis, setup_basis, shot_basis
        Where each comes from.
    idle
        Why it has no part, where it has none although its default would.
    """

    declaration: Declaration
    nominal: Nominal
    setup: Spread = NONE
    shot: Spread = NONE
    alike: float = 0.0
    drift: float = 0.0
    offset: float = 0.0
    given: frozenset[str] = frozenset()
    basis: Basis | None = None
    setup_basis: Basis | None = None
    shot_basis: Basis | None = None
    idle: str = ""

    @cached_property
    def number(self) -> float:
        """The nominal as a number in SI units.

        Raises
        ------
        TypeError
            If it is none: a fault of the caller.
        """
        if not isinstance(self.nominal, int | float):
            raise TypeError(f"{self.declaration.key} is {self.nominal!r}, not a number")
        return float(self.nominal)

    @cached_property
    def each_shot(self) -> Spread:
        """What each shot draws, mishaps and clock ticks included."""
        declared = self.declaration
        if isinstance(declared, Quantity) and declared.kind in (Kind.CHANCE, Kind.TICK):
            shape = Shape.CHANCE if declared.kind is Kind.CHANCE else Shape.TICK
            # A chance of nothing at first may grow.
            return Spread(shape, self.number) if self.nominal or self.drift else NONE
        return self.shot


@dataclass(frozen=True)
class Study:
    """A rig as it will be run.

    Attributes
    ----------
    title
        The user's.
    seed
        Of every random stream.
    entries
        By key, in the order of the declarations.
    source
        The file it was read from, as the user named it.
    """

    title: str
    seed: int
    entries: Mapping[str, Entry] = field(repr=False)
    source: str = ""

    def number(self, key: str) -> float:
        """Return the nominal of a number in SI units.

        Raises
        ------
        TypeError
            If the key holds no number: a fault of the caller.
        """
        return self.entries[key].number

    def window(self, key: str) -> tuple[float, float]:
        """Return a window in SI units.

        Raises
        ------
        TypeError
            If the key holds no window: a fault of the caller.
        """
        nominal = self.entries[key].nominal
        if not isinstance(nominal, tuple) or len(nominal) != 2:
            raise TypeError(f"{key} is {nominal!r}, not a window")
        low, high = nominal
        if isinstance(low, tuple) or isinstance(high, tuple):
            raise TypeError(f"{key} is {nominal!r}, not a window")
        return low, high

    @cached_property
    def straying(self) -> tuple[str, ...]:
        """The keys that draw anything, from set-up to set-up or from shot to shot."""
        return tuple(
            key
            for key, entry in self.entries.items()
            if entry.setup.shape is not Shape.NONE or entry.each_shot.shape is not Shape.NONE
        )

    @cached_property
    def drifting(self) -> tuple[str, ...]:
        """The keys that change from frame to frame."""
        return tuple(key for key, entry in self.entries.items() if entry.drift != 0.0)

    @property
    def digest(self) -> str:
        """Sixteen hexadecimal digits that change with any value that an answer depends on.

        The title, the seed and the stated bases are left out.
        """
        content = {
            key: [
                entry.nominal,
                [entry.setup.shape, entry.setup.size, entry.setup.relative],
                [entry.shot.shape, entry.shot.size, entry.shot.relative],
                entry.alike,
                entry.drift,
                *([entry.offset] if entry.offset else []),
            ]
            for key, entry in self.entries.items()
        }
        text = json.dumps(content, sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def default_entry(declared: Declaration, choices: Mapping[str, str]) -> Entry:
    """Return a declaration's entry where the study is silent.

    Parameters
    ----------
    declared
        The declaration.
    choices
        The words chosen, by key, on which some defaults depend.
    """
    if not isinstance(declared, Quantity):
        nominal = None if isinstance(declared, Curve) else declared.nominal
        return Entry(declared, nominal, basis=declared.basis)
    if declared.variants is not None:
        changes = declared.variants.changes.get(choices.get(declared.variants.by, ""), {})
        declared = replace(declared, **changes) if changes else declared
    active = declared.nominal is not None
    return Entry(
        declared,
        declared.nominal,
        declared.setup if active else NONE,
        declared.shot if active else NONE,
        basis=declared.basis,
        setup_basis=declared.setup_basis,
        shot_basis=declared.shot_basis,
    )
