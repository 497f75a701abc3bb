"""What a quantity is: the declarations from which everything else is derived.

A stage declares its quantities with the classes below. The study reader, the draws, the
ranking, the reports and the reference listing read these declarations and know nothing else
about any single quantity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import Any


class Mark(StrEnum):
    """How well a number is founded; shown wherever the number is shown."""

    PUBLISHED = "published"
    LIBRARY = "reference library"
    DERIVED = "derived"
    COMMON = "common practice, no source"
    ASSUMED = "assumption"
    MEMORY = "from memory"
    USER = "yours"


class Level(StrEnum):
    """When an error is drawn anew.

    ``SETUP``: once per set-up, the same for all its shots (ISO 5725: reproducibility, with the
    shot level). ``SHOT``: anew for each shot (ISO 5725: repeatability).
    """

    SETUP = "setup"
    SHOT = "shot"


class Shape(StrEnum):
    """The distribution an error is drawn from; JCGM 101:2008, table 1."""

    NONE = "none"
    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    ARCSINE = "arcsine"
    LOGNORMAL = "lognormal"
    TRUNCATED = "truncated"
    CHANCE = "chance"
    TICK = "tick"


@dataclass(frozen=True)
class Basis:
    """Where a number comes from: a mark and, in words, the source."""

    mark: Mark
    source: str = ""


@dataclass(frozen=True)
class Spread:
    """How far a quantity strays at one level.

    Attributes
    ----------
    shape
        The distribution.
    size
        Standard deviation (normal, truncated normal; of the logarithm for lognormal) or half
        width (rectangular, triangular, arcsine); in the quantity's SI unit, or a share of the
        nominal where `relative`.
    relative
        Whether `size` is a share of the nominal.
    """

    shape: Shape = Shape.NONE
    size: float = 0.0
    relative: bool = False


NONE = Spread()


def sd(size: float, *, relative: bool = False) -> Spread:
    """Return a normal spread of standard deviation `size`."""
    return Spread(Shape.NORMAL, size, relative)


def within(size: float) -> Spread:
    """Return a rectangular spread of half width `size` (JCGM 101:2008, 6.4.2)."""
    return Spread(Shape.RECTANGULAR, size)


class Kind(StrEnum):
    """What the stage receives for a quantity.

    ``MEASURE``: nominal + errors. ``ERROR``: a pure error, its nominal fixed at 0. ``CHANCE``:
    true where a mishap of this probability struck. ``TICK``: a wait, uniform from 0 to the
    nominal. ``SETTING``: the plain number.
    """

    MEASURE = "measure"
    ERROR = "error"
    CHANCE = "chance"
    TICK = "tick"
    SETTING = "setting"


@dataclass(frozen=True)
class Variants:
    """Defaults of a quantity that depend on the word chosen for another key.

    Attributes
    ----------
    by
        The key of the choice.
    changes
        By option: the fields of the quantity that differ from the declared ones.
    """

    by: str
    changes: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """A number that a study may give.

    Attributes
    ----------
    key
        ``section.key`` as in the study file. The stage's argument is the same with an underscore.
    meaning
        What it is, for a photographer.
    symbol
        As in the equations.
    unit
        The SI unit of the value inside the program.
    nominal
        The default; None where the quantity has no part unless a study gives it.
    lower, upper
        Hard limits; drawn values are held inside them.
    kind
        What the stage receives.
    setup, shot
        Default spreads.
    per_drop
        The shot error is drawn for each drop; the value has a leading axis of the two drops.
    per_axis
        Drawn for each sideways direction; the value has an axis (x, y) after that of the drops.
    whole
        Only whole numbers.
    basis, setup_basis, shot_basis
        Where the nominal and the default spreads come from.
    together
        Quantities that name the same word here share one set-up draw.
    diameter_key
        A key by which the same volume may be given as the diameter of the sphere.
    variants
        Defaults that depend on a choice.
    instead
        Keys that this quantity, where a study gives it, takes the place of.
    only_with
        It has a part only where one of these is given (``section.key``) or chosen
        (``section.key=option``).
    sample
        A likely value, for examples, where the nominal is None and the middle of the limits is
        none.
    """

    key: str
    meaning: str
    symbol: str
    unit: str
    nominal: float | None
    lower: float = -math.inf
    upper: float = math.inf
    kind: Kind = Kind.MEASURE
    setup: Spread = NONE
    shot: Spread = NONE
    per_drop: bool = False
    per_axis: bool = False
    whole: bool = False
    basis: Basis
    setup_basis: Basis = field(default=Basis(Mark.ASSUMED))
    shot_basis: Basis = field(default=Basis(Mark.ASSUMED))
    together: str = ""
    diameter_key: str = ""
    variants: Variants | None = None
    instead: tuple[str, ...] = ()
    only_with: tuple[str, ...] = ()
    sample: float | None = None

    @cached_property
    def lead(self) -> tuple[int, ...]:
        """The shape of its value where nothing strays: axes of drop and direction, (1, 1)."""
        return (1,) * (2 + self.per_drop + self.per_axis)

    @property
    def strays(self) -> bool:
        """Whether a study may give it set-up and shot spreads."""
        return self.kind in (Kind.MEASURE, Kind.ERROR)

    @property
    def drifts(self) -> bool:
        """Whether a study may let it drift from frame to frame."""
        return self.strays or self.kind is Kind.CHANCE

    @property
    def paired(self) -> bool:
        """Whether each drop has a shot error of its own, which may be alike."""
        return self.strays and (self.per_drop or bool(self.together))


@dataclass(frozen=True, kw_only=True)
class Window:
    """A lower and an upper limit that a study may give together."""

    key: str
    meaning: str
    symbol: str
    unit: str
    nominal: tuple[float, float]
    lower: float = -math.inf
    upper: float = math.inf
    basis: Basis


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One word out of several that a study may give."""

    key: str
    meaning: str
    options: tuple[str, ...]
    nominal: str
    basis: Basis


@dataclass(frozen=True, kw_only=True)
class Curve:
    """A table of pairs that a study may give, rising in its first column.

    Attributes
    ----------
    columns
        What the two columns hold.
    units
        Their SI units.
    lower, upper
        Their limits.
    """

    key: str
    meaning: str
    symbol: str
    columns: tuple[str, str]
    units: tuple[str, str]
    lower: tuple[float, float]
    upper: tuple[float, float]
    basis: Basis
    instead: tuple[str, ...] = ()
    nominal: None = None


Declaration = Quantity | Window | Choice | Curve


def argument(key: str) -> str:
    """Return the name of the stage argument that carries a key.

    Examples
    --------
    >>> argument("sensor.height")
    'sensor_height'
    """
    return key.replace(".", "_")
