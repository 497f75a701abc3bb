"""A study: every value of a rig as it will be run, with where it came from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from jitter.quantities import NONE, Basis, Declaration, Quantity, Spread

Nominal = float | str | tuple[float, float] | None


@dataclass(frozen=True)
class Entry:
    """One value of a study.

    Attributes
    ----------
    declaration
        What the value is.
    nominal
        The number in SI, the window, the word; None where the stage derives it.
    setup, shot
        Its spreads.
    given
        Which of ``nominal``, ``setup`` and ``shot`` the study gives; the rest are defaults.
    basis, setup_basis, shot_basis
        Where each comes from.
    """

    declaration: Declaration
    nominal: Nominal
    setup: Spread = NONE
    shot: Spread = NONE
    given: frozenset[str] = frozenset()
    basis: Basis | None = None
    setup_basis: Basis | None = None
    shot_basis: Basis | None = None

    @property
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
        if not isinstance(nominal, tuple):
            raise TypeError(f"{key} is {nominal!r}, not a window")
        return nominal

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
            ]
            for key, entry in self.entries.items()
        }
        text = json.dumps(content, sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def default_entry(declared: Declaration, start: str) -> Entry:
    """Return a declaration's entry where the study is silent.

    Parameters
    ----------
    declared
        The declaration.
    start
        The start signal, on which some defaults depend.
    """
    if not isinstance(declared, Quantity):
        return Entry(declared, declared.nominal, basis=declared.basis)
    nominal = declared.nominal
    return Entry(
        declared,
        nominal[start] if isinstance(nominal, Mapping) else nominal,
        declared.setup,
        declared.shot,
        basis=declared.basis,
        setup_basis=declared.setup_basis,
        shot_basis=declared.shot_basis,
    )
