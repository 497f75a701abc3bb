"""How a value is written in a study: lines of TOML that say what is declared."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from jitter.quantities import NONE, Choice, Curve, Declaration, Kind, Quantity, Window
from jitter.units.reading import read_measure
from jitter.units.table import DIMENSIONS
from jitter.units.writing import write_number, write_power, write_spread, write_value


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


@dataclass(frozen=True)
class Line:
    """What an example says of one key.

    Attributes
    ----------
    section, name
        The key; the section is empty at the top of the file.
    parts
        Each part's name and what is written, in TOML; a value that stands alone has no name.
    """

    section: str
    name: str
    parts: tuple[tuple[str, str], ...]

    def toml(self, room: int | None = None) -> str:
        """Return it in TOML: a line, or a line to each part or pair where one is too long.

        Parameters
        ----------
        room
            Columns that there are; any number where None.
        """
        (part, first), *_ = self.parts
        line = f"{self.name} = {first}"
        if part:
            inner = ", ".join(f"{one} = {text}" for one, text in self.parts)
            line = f"{self.name} = {{ {inner} }}"
        if room is None or len(line) <= room:
            return line
        if not part:
            return line.replace("[[", "[\n  [").replace("], [", "],\n  [").replace("]]", "],\n]")
        return "\n".join(f"{self.name}.{one} = {text}" for one, text in self.parts)


def fragment(lines: Iterable[Line], room: int | None = None, *, under: str = "") -> str:
    """Return lines of a study, each under the name of its section.

    Parameters
    ----------
    lines
        Of an item.
    room
        Columns for a line; any number where None.
    under
        The section under whose name they are shown; where they need no other, it is not said
        again.

    Examples
    --------
    >>> print(fragment([Line("flash", "power", (("", '"1/64"'),))]))
    [flash]
    power = "1/64"
    """
    lines = list(lines)
    sections = sorted(dict.fromkeys(line.section for line in lines), key=bool)
    said = []
    for section in sections:
        said += [f"[{section}]"] if section and sections != [under] else []
        said += [line.toml(room) for line in lines if line.section == section]
    return "\n".join(said)


def example_study(lines: Iterable[Line], room: int | None = None) -> str:
    """Return a whole study that says these lines and no more.

    Parameters
    ----------
    lines
        Of an item.
    room
        Columns for a line; any number where None.

    Examples
    --------
    >>> print(example_study([Line("flash", "power", (("", '"1/64"'),))]))
    version = 1
    [flash]
    power = "1/64"
    """
    version = Line("", "version", (("", "1"),))
    return fragment([version, *(line for line in lines if line != version)], room)


def example(declared: Declaration) -> Line:
    """Return a line that gives a value its default, or a likely one where it has none.

    Parameters
    ----------
    declared
        What the value is.
    """
    section, _, name = declared.key.partition(".")
    return Line(section, name, tuple(_parts(declared)))


def example_lines(
    declared: Declaration, declarations: Mapping[str, Declaration]
) -> tuple[Line, ...]:
    """Return what a value needs beside it in a study, and last the value.

    Parameters
    ----------
    declared
        What the value is.
    declarations
        All of them, by key.
    """
    needed: tuple[Line, ...] = ()
    if isinstance(declared, Quantity) and declared.only_with:
        key, _, option = declared.only_with[0].partition("=")
        other = declarations[key]
        if isinstance(other, Choice):
            other = replace(other, nominal=option)
        elif isinstance(other, Quantity) and not other.nominal:
            other = replace(other, nominal=_likely(other))
        needed = example_lines(other, declarations)
    return (*needed, example(declared))


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


def _parts(declared: Declaration) -> Iterator[tuple[str, str]]:
    """Yield what is written of each part of a value; without a name where one stands alone."""
    if isinstance(declared, Choice):
        yield "", f'"{declared.nominal}"'
    elif isinstance(declared, Window):
        ends = (_typed(write_value(end, declared.unit)) for end in declared.nominal)
        yield "", f"[{', '.join(ends)}]"
    elif isinstance(declared, Curve):
        yield "", f"[{', '.join(_pairs(declared))}]"
    else:
        nominal = _likely(declared) if declared.nominal is None else declared.nominal
        alone = "shot" if declared.kind is Kind.ERROR else "nominal"
        parts = {} if declared.kind is Kind.ERROR else {"nominal": _number(declared, nominal)}
        for level, spread in (("setup", declared.setup), ("shot", declared.shot)):
            if spread != NONE:
                parts[level] = _typed(write_spread(spread, declared.unit))
        if set(parts) <= {alone}:
            yield "", parts.get(alone, '"none"')
        else:
            yield from parts.items()


def _typed(text: str) -> str:
    return f'"{text.translate(_TYPED)}"'


def _number(declared: Quantity, value: float) -> str:
    written = write_nominal(declared, value)
    return written if re.fullmatch(r"-?[\d.]+(e-?\d+)?", written) else _typed(written)


def _middle(lower: float, upper: float) -> float:
    return float(f"{math.sqrt(lower * upper):.0e}")


def _likely(declared: Quantity) -> float:
    """Return a value that might be measured: a usual one, or the middle of wide limits.

    Lengths and times differ too much from one quantity to the next for a usual one.
    """
    if declared.sample is not None:
        return declared.sample
    low, high = declared.lower, declared.upper
    if declared.unit in ("m", "s") and low > 0.0 and math.isfinite(high):
        return _middle(low, high)
    return min(max(read_measure(DIMENSIONS[declared.unit][1], declared.unit).value, low), high)


def _pairs(declared: Curve) -> Iterator[str]:
    """Yield two likely pairs, the first some way below the second."""
    (least, low), (most, high) = declared.lower, declared.upper
    middle = math.sqrt(low * high)
    below = math.cbrt(low * middle**2)
    for first, second in ((math.sqrt(least * most), below), (most, middle)):
        pair = zip((first, float(f"{second:.0e}")), declared.units, strict=True)
        yield f"[{', '.join(_typed(write_in_table(value, unit)) for value, unit in pair)}]"
