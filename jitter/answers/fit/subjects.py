"""A value of a study as measurements meet it: its name, unit and spreads as plain numbers."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from jitter.quantities import Kind, Quantity, Shape, Spread
from jitter.study.names import key_meant
from jitter.study.study import Study
from jitter.units.writing import write_difference, write_number, write_value

_TYPED = str.maketrans({"µ": "u", "°": None, "³": "3", "L": "l"})
_WIDTHS = {Shape.RECTANGULAR: 3.0, Shape.TRIANGULAR: 6.0, Shape.ARCSINE: 2.0}
DIGITS = 6


@dataclass(frozen=True)
class Subject:
    """A value of a study.

    Attributes
    ----------
    key
        As a study writes it; a drop's diameter is a subject of its own.
    quantity
        Its declaration.
    unit
        SI.
    lower, upper
        Its limits.
    nominal
        None where the study has none.
    setup, shot
        Standard deviations.
    relative
        By level, whether the study gives the spread as a share.
    instead
        Keys that must not stand beside it.
    """

    key: str
    quantity: Quantity
    unit: str
    lower: float
    upper: float
    nominal: float | None
    setup: float
    shot: float
    relative: Mapping[str, bool]
    instead: tuple[str, ...]

    def spread(self, size: float, level: str, nominal: float | None) -> str:
        """Return a standard deviation as a study gives it, in TOML.

        Parameters
        ----------
        size
            In SI.
        level
            ``setup`` or ``shot``.
        nominal
            Of which it is a share, where the study gives it as one.
        """
        if self.relative[level] and nominal:
            return f'"sd {write_number(100.0 * size / abs(nominal))} %"'
        return f'"sd {write_difference(size, self.unit).translate(_TYPED)}"'

    def value(self, number: float) -> str:
        """Return a nominal as a study gives it, in TOML, with six digits."""
        return write_toml(number, self.unit)


def write_toml(number: float, unit: str) -> str:
    """Return a number as a study gives it, in TOML.

    Examples
    --------
    >>> write_toml(0.4831234, "m"), write_toml(1.5, "1"), write_toml(47.7e-9, "m3")
    ('"483.123 mm"', '1.5', '"47.7 ul"')
    """
    if unit == "1":
        return write_number(number, DIGITS)
    return f'"{write_value(number, unit, digits=DIGITS).translate(_TYPED)}"'


def deviation(spread: Spread, nominal: float) -> float:
    """Return the standard deviation of a spread.

    Parameters
    ----------
    spread
        Shape and size; a truncated normal counts as if it were whole.
    nominal
        The value, of which some spreads are a share.

    References
    ----------
    JCGM 101:2008, 6.4 (half width over √3, √6 and √2); the lognormal's is closed form.
    """
    if spread.shape is Shape.LOGNORMAL:
        growth = math.exp(spread.size**2)
        return abs(nominal) * math.sqrt(growth * (growth - 1.0))
    size = spread.size * (abs(nominal) if spread.relative else 1.0)
    return 0.0 if spread.shape is Shape.NONE else size / math.sqrt(_WIDTHS.get(spread.shape, 1.0))


def subject(study: Study, name: str) -> Subject:
    """Return a value of a study.

    Parameters
    ----------
    study
        The rig.
    name
        One of `measurable`.
    """
    entry = study.entries[key_meant(study, name)]
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{name} is no number")
    nominal = None if entry.nominal is None else entry.number
    # What has no value yet takes the declared spreads along with one.
    spreads = (entry.setup, entry.shot) if nominal is not None else (declared.setup, declared.shot)
    setup, shot = (deviation(spread, nominal or 0.0) for spread in spreads)
    relative = {
        level: spread.relative for level, spread in zip(("setup", "shot"), spreads, strict=True)
    }
    if name == declared.key:
        ends = (declared.lower, declared.upper)
        instead = _instead(study, declared)
        return Subject(
            name, declared, declared.unit, *ends, nominal, setup, shot, relative, instead
        )
    lower, upper, width = (
        math.cbrt(6.0 / math.pi * volume) if volume is not None else None
        for volume in (declared.lower, declared.upper, nominal)
    )
    # A third of the relative spread of the volume, to first order.
    share = width / (3.0 * nominal) if width and nominal else 0.0
    return Subject(
        name,
        declared,
        "m",
        lower or 0.0,
        upper or math.inf,
        width,
        setup * share,
        shot * share,
        relative,
        (declared.key,),
    )


def settled_at(target: Subject, value: float) -> Subject:
    """Return a value with the spreads that the study would give it.

    Where it has none yet, spreads that are declared as shares of it are shares of what is measured.

    Parameters
    ----------
    target
        The value.
    value
        As measured.
    """
    if target.nominal is not None:
        return target
    declared = target.quantity
    setup, shot = (deviation(spread, value) for spread in (declared.setup, declared.shot))
    return replace(target, setup=setup, shot=shot)


def _instead(study: Study, declared: Quantity) -> tuple[str, ...]:
    """Return the keys in whose place a value stands, a drop's diameter among them."""
    own = (declared.diameter_key,) if declared.diameter_key else ()
    others = [study.entries[key].declaration for key in declared.instead]
    widths = [one.diameter_key for one in others if isinstance(one, Quantity) and one.diameter_key]
    return (*own, *declared.instead, *widths)


def measurable(study: Study) -> dict[str, str]:
    """Return what can be measured of a study, each with its SI unit.

    Chances are counted, and whole numbers too; all other numbers can be read off something.

    Parameters
    ----------
    study
        The rig.
    """
    found: dict[str, str] = {}
    for key, entry in study.entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity) or declared.whole or declared.kind is Kind.CHANCE:
            continue
        if not re.match(r"(keeper|trim|session)\.", key):
            found[key] = declared.unit
            if declared.diameter_key:
                found[declared.diameter_key] = "m"
    return found
