"""What the reference says of each value, in words: the same on the screen and on the page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from jitter.answers.reference.answer import Told
from jitter.answers.reference.examples import fragment
from jitter.answers.reference.items import Heading, Item
from jitter.quantities import NONE, Basis, Choice, Curve, Declaration, Kind, Quantity, Window
from jitter.report.values import NOT_USED
from jitter.study.samples import ENGRAVED, write_in_table, write_nominal
from jitter.units.table import spellings
from jitter.units.writing import write_spread, write_value

PARTS = (
    ("nominal", "the value itself; written alone it needs no braces"),
    ("setup", "how far it strays from set-up to set-up: drawn once, until the rig is touched"),
    ("shot", "how far it strays from shot to shot: drawn anew for each shot"),
    ("alike", "how alike the two drops stray in a shot: 0 each by itself, 1 both the same"),
    ("drift", 'how much it rises with each frame, such as "0.01 ms/frame" or "1 %/frame"'),
    ("basis", 'where your number comes from, in your words, such as "steel rule"'),
)
"""The parts of a value in braces."""

SPREADS = (
    '"sd 0.3 ms" is a standard deviation, "within 1 mm" a half width, "sd 3 %" a share of the'
    ' value, "none" no spread. Further shapes: triangular within, arcsine within, lognormal sd,'
    " truncated sd. A part that you leave out keeps its default."
)
NUMBERS = (
    'Fractions are read as they stand on rulers and dials: "19 1/2 in", "1/20000 s", "f/13". Case'
    ' does not matter; "us" is a microsecond, "ul" a microlitre.'
)
YOURS = (
    "A few default spreads suit themselves to the rig: jitter show STUDY tells what holds in yours."
)
_NOTES = {
    Kind.ERROR: "it has no value, it only strays: write its spread alone",
    Kind.CHANCE: "a chance: in each shot it strikes or it does not",
    Kind.TICK: "each shot waits anywhere from 0 to this long, every wait as likely as another",
    Kind.SETTING: "a plain setting, which does not stray",
}


def parts(declared: Declaration | Heading) -> tuple[str, ...]:
    """Return the parts that a study may write of a value.

    Parameters
    ----------
    declared
        The value.
    """
    if isinstance(declared, Heading):
        return ()
    if not isinstance(declared, Quantity):
        return ("nominal", "basis")
    possible = {
        "nominal": declared.kind is not Kind.ERROR,
        "setup": declared.strays,
        "shot": declared.strays,
        "alike": declared.paired,
        "drift": declared.drifts,
        "basis": True,
    }
    return tuple(part for part, may in possible.items() if may)


def used_parts(items: Iterable[Item]) -> list[tuple[str, str]]:
    """Return the parts that some of these values have beside the value itself, with what they are.

    Parameters
    ----------
    items
        The values; all parts where it was asked how they are written.
    """
    if isinstance(items, Told) and items.writing:
        return list(PARTS)
    used = {part for item in items for part in parts(item.declaration)}
    return [(part, text) for part, text in PARTS if part in used] if "shot" in used else []


def default(declared: Declaration | Heading) -> str:
    """Write a default without its spreads; a dash where there is none.

    Parameters
    ----------
    declared
        The value.
    """
    if isinstance(declared, Heading):
        return "must be given" if declared.default is None else str(declared.default)
    if declared.nominal is None:
        return NOT_USED
    if isinstance(declared, Choice):
        return declared.nominal
    if isinstance(declared, Window):
        return " to ".join(write_value(end, declared.unit) for end in declared.nominal)
    return write_nominal(declared, declared.nominal)


def spread(declared: Declaration | Heading, level: str) -> str:
    """Write the default spread at a level, ``setup`` or ``shot``; empty where there is none."""
    if not isinstance(declared, Quantity):
        return ""
    size = declared.setup if level == "setup" else declared.shot
    return "" if size == NONE else write_spread(size, declared.unit)


def spreads(declared: Declaration | Heading) -> list[str]:
    """Write the default spreads that there are, each after the name of its level."""
    levels = (("set-up", "setup"), ("shot", "shot"))
    strays = [(name, spread(declared, level)) for name, level in levels]
    return [f"{name} {text}" for name, text in strays if text]


def _with_spreads(declared: Declaration | Heading) -> str:
    """Write a default with its spreads, or say what holds once a value is given."""
    said = spreads(declared)
    if isinstance(declared, Heading):
        return default(declared)
    if declared.nominal is None:
        return "; then ".join(("none unless given", *([", ".join(said)] if said else [])))
    if not (isinstance(declared, Quantity) and declared.kind is Kind.ERROR):
        said.insert(0, default(declared))
    return ", ".join(said) or "none"


def limits(declared: Declaration | Heading) -> str:
    """Write what a value may be.

    Parameters
    ----------
    declared
        The value.
    """
    if isinstance(declared, Heading):
        if not declared.whole:
            return "any text"
        if declared.lower == declared.upper:
            return str(declared.lower)
        return f"a whole number from {declared.lower} to {declared.upper}"
    if isinstance(declared, Choice):
        return ", ".join(f'"{option}"' for option in declared.options)
    if isinstance(declared, Curve):
        columns = zip(declared.columns, declared.units, declared.lower, declared.upper, strict=True)
        return "two pairs or more: " + ", ".join(
            f"{name} {write_in_table(low, unit)} to {write_in_table(high, unit)}"
            for name, unit, low, high in columns
        )
    return _range(declared)


def _range(declared: Quantity | Window) -> str:
    low, high = (
        write_nominal(declared, end)
        if isinstance(declared, Quantity)
        else write_value(end, declared.unit)
        for end in (declared.lower, declared.upper)
    )
    if math.isinf(declared.lower) or math.isinf(declared.upper):
        bounds = [f"from {low}"] * math.isfinite(declared.lower)
        bounds += [f"up to {high}"] * math.isfinite(declared.upper)
        return " ".join(bounds) or "any"
    return f"{low} to {high}"


def units(declared: Declaration | Heading) -> str:
    """Say in which units a value may be written; empty where it has none.

    Parameters
    ----------
    declared
        The value.
    """
    if isinstance(declared, Quantity):
        if declared.whole:
            return "a whole number"
        if declared.key in ENGRAVED or (declared.unit == "1" and declared.kind is Kind.SETTING):
            return "a bare number"
    if isinstance(declared, Quantity | Window):
        return _written_in(declared.unit)
    if isinstance(declared, Curve):
        columns = zip(declared.columns, declared.units, strict=True)
        return ", ".join(f"{name} {_written_in(unit)}" for name, unit in columns)
    return ""


def _written_in(unit: str) -> str:
    return "bare or in %" if unit == "1" else f"in {spellings(unit)}"


def bases(declared: Declaration | Heading) -> Iterator[tuple[str, Basis]]:
    """Yield what a default and its spreads rest on, each with its name.

    Parameters
    ----------
    declared
        The value.
    """
    if isinstance(declared, Heading):
        return
    if declared.nominal is not None:
        yield "value", declared.basis
    elif declared.basis.source:
        yield "without it", declared.basis
    if isinstance(declared, Quantity):
        if declared.setup != NONE:
            yield "set-up", declared.setup_basis
        if declared.shot != NONE:
            yield "shot", declared.shot_basis


def _bases(declared: Declaration | Heading) -> list[str]:
    """Say what rests on what, naming together what rests on the same."""
    by_text: dict[str, list[str]] = {}
    for name, basis in bases(declared):
        text = f"{basis.source} ({basis.mark})" if basis.source else str(basis.mark)
        by_text.setdefault(text, []).append(name)
    return [f"{' and '.join(names)}: {text}" for text, names in by_text.items()]


def note(declared: Declaration | Heading) -> str:
    """Say what kind of number a quantity is, where it is no plain measure.

    Parameters
    ----------
    declared
        The value.
    """
    if not isinstance(declared, Quantity):
        return ""
    said = [_NOTES[declared.kind]] if declared.kind in _NOTES else []
    if declared.strays and declared.per_drop:
        said.append("in a shot, each drop strays by itself")
    if declared.per_axis:
        said.append("so does each sideways direction" if said[1:] else "each direction by itself")
    return "; ".join(said)


def facts(item: Item) -> Iterator[tuple[str, str]]:
    """Yield everything there is to say of a value besides its meaning: a label and a text each.

    Parameters
    ----------
    item
        The value.
    """
    declared = item.declaration
    defaults, grounds = [_with_spreads(declared)], _bases(declared)
    for choice, variant in item.variants:
        defaults.append(f"with {choice.replace('=', ' = ')}: {_with_spreads(variant)}")
        option = choice.partition("=")[2]
        grounds += [f"with {option}, {text}" for text in _bases(variant) if text not in grounds]
    yield "default", "\n".join(defaults)
    yield "may be", ", ".join(text for text in (limits(declared), units(declared)) if text)
    if item.sphere is not None:
        sphere = item.sphere
        yield "or as", f"{sphere.key}, the {sphere.meaning}: {_range(sphere)}"
    if isinstance(declared, Quantity) and declared.only_with:
        yield "only with", " or ".join(one.replace("=", " = ") for one in declared.only_with)
    if isinstance(declared, Quantity | Curve) and declared.instead:
        yield "instead of", " and ".join(declared.instead)
    if item.gives_way:
        yield "gives way", f"to {' or '.join(item.gives_way)}"
    if len(parts(declared)) > 2:
        yield "parts", ", ".join(parts(declared))
    if told := note(declared):
        yield "note", told
    if item.shares:
        yield "shares", f"one set-up error with {' and '.join(item.shares)}"
    if grounds:
        yield "basis", "\n".join(grounds)


def examples(item: Item, room: int | None = None) -> Iterator[tuple[str, str]]:
    """Yield ways to write the value in its section, each with a label: all it needs, line by line.

    Parameters
    ----------
    item
        The value.
    room
        Columns for a line; any number where None.
    """
    for label, lines in zip(("example", "or"), item.ways, strict=False):
        yield label, fragment(lines, room, under=item.section)
