"""How a value is written, told by one that it might have: its default, or a likely one."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from jitter.quantities import NONE, Curve, Kind, Quantity, Shape
from jitter.units.reading import example, read_measure
from jitter.units.table import DIMENSIONS
from jitter.units.writing import write_difference, write_number, write_power, write_value


def _f_number(value: float) -> str:
    return f"f/{write_number(value, 4)}"


ENGRAVED: Mapping[str, Callable[[float], str]] = {
    "flash.power": write_power,
    "flash.lowest_power": write_power,
    "camera.aperture": _f_number,
    "camera.widest_aperture": _f_number,
    "camera.narrowest_aperture": _f_number,
}
"""What is written as it stands on the device: a flash's fractions, a lens's stops."""

_TYPED = str.maketrans({"µ": "u", "°": None, "³": "3", "L": "l"})
"""What every keyboard has, in the place of what ours writes."""


def typed(text: str) -> str:
    """Return what ours writes in letters that every keyboard has.

    Examples
    --------
    >>> typed("20 µs"), typed("47.7 µL")
    ('20 us', '47.7 ul')
    """
    return text.translate(_TYPED)


def write_nominal(declared: Quantity, value: float) -> str:
    """Write a value of a quantity as a study may give it.

    Chances are written in per cent, what is engraved as it is, and 0 in the unit of the upper
    limit.

    Parameters
    ----------
    declared
        The quantity.
    value
        In SI.
    """
    if declared.key in ENGRAVED:
        return ENGRAVED[declared.key](value)
    if declared.kind is Kind.CHANCE:
        return f"{write_number(100.0 * value, 4)} %"
    if value == 0.0 and declared.unit != "K" and math.isfinite(declared.upper):
        return " ".join(("0", *write_value(declared.upper, declared.unit).split(" ")[1:]))
    return write_value(value, declared.unit)


def write_in_table(value: float, unit: str) -> str:
    """Write a number of a table of pairs as a study may give it: shares as fractions.

    Parameters
    ----------
    value
        In SI.
    unit
        Its SI unit.
    """
    return write_power(value) if unit == "1" else write_value(value, unit)


def _middle(lower: float, upper: float) -> float:
    return float(f"{math.sqrt(lower * upper):.0e}")


def likely(declared: Quantity) -> float:
    """Return a value that might be measured: a usual one, or the middle of wide limits.

    Lengths and times differ too much from one quantity to the next for a usual one.

    Parameters
    ----------
    declared
        What the value is.
    """
    if declared.sample is not None:
        return declared.sample
    low, high = declared.lower, declared.upper
    if declared.unit in ("m", "s") and low > 0.0 and math.isfinite(high):
        return _middle(low, high)
    return min(max(read_measure(DIMENSIONS[declared.unit][1], declared.unit).value, low), high)


def likely_pairs(declared: Curve) -> str:
    """Return two pairs that a table might hold, in TOML.

    Parameters
    ----------
    declared
        What the table holds.
    """
    return f"[{', '.join(_pairs(declared))}]"


def _pairs(declared: Curve) -> Iterator[str]:
    """Yield two likely pairs, the first some way below the second."""
    (least, low), (most, high) = declared.lower, declared.upper
    middle = math.sqrt(low * high)
    below = math.cbrt(low * middle**2)
    for first, second in ((math.sqrt(least * most), below), (most, middle)):
        pair = zip((first, float(f"{second:.0e}")), declared.units, strict=True)
        yield f"[{', '.join(_in_quotes(write_in_table(value, unit)) for value, unit in pair)}]"


def _in_quotes(text: str) -> str:
    return f'"{typed(text)}"'


def how_to_write(declared: Quantity) -> str:
    """Return a sentence that shows how to write a value: by its default, or by a likely one.

    Parameters
    ----------
    declared
        What the value is.
    """
    nominal = likely(declared) if declared.nominal is None else declared.nominal
    sample = typed(write_nominal(declared, nominal))
    if declared.kind is Kind.SETTING and declared.unit == "1":
        kind = "whole" if declared.whole else "plain"
        return f'write a {kind} number such as "{sample}"'
    return example(declared.unit, sample)


def sample_size(declared: Quantity, nominal: float) -> str:
    """Return how far a value might stray, as behind ``sd``: as its own default does, or by 1 %.

    Parameters
    ----------
    declared
        What the value is.
    nominal
        It, of which per cents are a share.
    """
    may_be_share = declared.unit not in ("K", "1") and nominal != 0.0
    for spread in (declared.setup, declared.shot):
        if spread == NONE or spread.shape is Shape.LOGNORMAL:
            continue
        if not spread.relative:
            return typed(write_difference(spread.size, declared.unit))
        if may_be_share:
            return f"{write_number(100.0 * spread.size)} %"
    return "1 %" if may_be_share else DIMENSIONS[declared.unit][2]
