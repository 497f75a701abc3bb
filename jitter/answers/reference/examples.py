"""How a value is written in a study: lines of TOML that say what is declared."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from jitter.quantities import NONE, Choice, Curve, Declaration, Kind, Quantity, Window
from jitter.study.samples import likely, likely_pairs, typed, write_nominal
from jitter.units.writing import write_spread, write_value


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
            other = replace(other, nominal=likely(other))
        needed = example_lines(other, declarations)
    return (*needed, example(declared))


def _parts(declared: Declaration) -> Iterator[tuple[str, str]]:
    """Yield what is written of each part of a value; without a name where one stands alone."""
    if isinstance(declared, Choice):
        yield "", f'"{declared.nominal}"'
    elif isinstance(declared, Window):
        ends = (_quoted(write_value(end, declared.unit)) for end in declared.nominal)
        yield "", f"[{', '.join(ends)}]"
    elif isinstance(declared, Curve):
        yield "", likely_pairs(declared)
    else:
        nominal = likely(declared) if declared.nominal is None else declared.nominal
        alone = "shot" if declared.kind is Kind.ERROR else "nominal"
        parts = {} if declared.kind is Kind.ERROR else {"nominal": _number(declared, nominal)}
        for level, spread in (("setup", declared.setup), ("shot", declared.shot)):
            if spread != NONE:
                parts[level] = _quoted(write_spread(spread, declared.unit))
        if set(parts) <= {alone}:
            yield "", parts.get(alone, '"none"')
        else:
            yield from parts.items()


def _quoted(text: str) -> str:
    return f'"{typed(text)}"'


def _number(declared: Quantity, value: float) -> str:
    written = write_nominal(declared, value)
    return written if re.fullmatch(r"-?[\d.]+(e-?\d+)?", written) else _quoted(written)
