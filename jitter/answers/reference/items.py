"""Everything a study may say, each told from its declaration."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from jitter.answers.reference.examples import Line, example, example_lines
from jitter.quantities import NONE, Choice, Curve, Declaration, Quantity, Shape, Spread
from jitter.stage import Chain
from jitter.study.reader import DEFAULT_SEED, LARGEST_SEED


@dataclass(frozen=True)
class Heading:
    """What stands at the top of a study, above its sections, to the program.

    Attributes
    ----------
    default
        A number or a text; None where every study must give it.
    lower, upper
        Limits of a whole number; None of a text.
    """

    default: int | str | None
    lower: int | None = None
    upper: int | None = None

    @property
    def whole(self) -> bool:
        """Whether it is a whole number."""
        return self.lower is not None


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing that a study may say.

    Attributes
    ----------
    key
        ``section.key``, or the key alone at the top of the file.
    meaning
        What it is, for a photographer.
    lines
        An example: a line for each thing it needs, its own last.
    declaration
        What it is to the program.
    variants
        By choice, such as ``flash.link=radio``: the declaration with the defaults that go with it.
    sphere
        A volume as it is given by the diameter of the sphere, where it may be.
    gives_way
        Keys that take its place where a study gives them.
    shares
        Keys with which it shares one set-up draw.
    """

    key: str
    meaning: str
    lines: tuple[Line, ...]
    declaration: Declaration | Heading
    variants: tuple[tuple[str, Quantity], ...] = ()
    sphere: Quantity | None = None
    gives_way: tuple[str, ...] = ()
    shares: tuple[str, ...] = ()

    @property
    def section(self) -> str:
        """Its section; empty at the top of the file."""
        return self.key.rpartition(".")[0]

    @property
    def name(self) -> str:
        """Its key without the section."""
        return self.key.rpartition(".")[2]

    @property
    def keys(self) -> tuple[str, ...]:
        """Every key by which a study may give it."""
        return (self.key,) if self.sphere is None else (self.key, self.sphere.key)

    @property
    def names(self) -> tuple[str, ...]:
        """Those keys without the section."""
        return tuple(key.rpartition(".")[2] for key in self.keys)

    @property
    def ways(self) -> tuple[tuple[Line, ...], ...]:
        """An example of each way to give it, by each of its keys."""
        if self.sphere is None:
            return (self.lines,)
        return (self.lines, (*self.lines[:-1], example(self.sphere)))

    @property
    def options(self) -> tuple[str, ...]:
        """The words it may be."""
        return self.declaration.options if isinstance(self.declaration, Choice) else ()


def _top(name: str, value: str) -> tuple[Line, ...]:
    return (Line("", name, (("", value),)),)


TOP = (
    Item(
        key="version",
        meaning="the form in which the study is written; every study starts with it",
        lines=_top("version", "1"),
        declaration=Heading(None, 1, 1),
    ),
    Item(
        key="title",
        meaning="what you call the study, at the head of every answer",
        lines=_top("title", '"Kitchen table, tinted water"'),
        declaration=Heading("Untitled"),
    ),
    Item(
        key="seed",
        meaning="where the random draws begin; the same seed gives the same answer again",
        lines=_top("seed", str(DEFAULT_SEED)),
        declaration=Heading(DEFAULT_SEED, 0, LARGEST_SEED),
    ),
)
"""What stands at the top of a study, above its sections."""


def every_item(chain: Chain) -> tuple[Item, ...]:
    """Return all that a study may say, section by section.

    Parameters
    ----------
    chain
        The stages whose declarations say what a study may hold.

    Returns
    -------
    tuple of Item
        The top of the file first, then the sections in the order of the shot.
    """
    declarations = chain.declarations
    sections = list(dict.fromkeys(key.partition(".")[0] for key in declarations))
    keys = sorted(declarations, key=lambda key: sections.index(key.partition(".")[0]))
    return (*TOP, *(_item(declarations[key], declarations) for key in keys))


def _item(declared: Declaration, declarations: Mapping[str, Declaration]) -> Item:
    item = Item(
        key=declared.key,
        meaning=declared.meaning,
        lines=example_lines(declared, declarations),
        declaration=declared,
        gives_way=tuple(_instead_of(declared.key, declarations)),
    )
    if not isinstance(declared, Quantity):
        return item
    return replace(
        item,
        variants=tuple(_variants(declared)),
        sphere=_sphere(declared) if declared.diameter_key else None,
        shares=tuple(_sharing(declared, declarations)),
    )


def _variants(declared: Quantity) -> Iterator[tuple[str, Quantity]]:
    if declared.variants is not None:
        for option, parts in declared.variants.changes.items():
            yield f"{declared.variants.by}={option}", replace(declared, **parts)


def _instead_of(key: str, declarations: Mapping[str, Declaration]) -> Iterator[str]:
    for other in declarations.values():
        if isinstance(other, Quantity | Curve) and key in other.instead:
            yield other.key


def _sharing(declared: Quantity, declarations: Mapping[str, Declaration]) -> Iterator[str]:
    for other in declarations.values():
        together = isinstance(other, Quantity) and other.together == declared.together
        if declared.together and together and other.key != declared.key:
            yield other.key


def _sphere(declared: Quantity) -> Quantity:
    """Return a volume as it is given by its diameter, of which it varies as the cube."""

    def width(volume: float) -> float:
        return math.cbrt(6.0 / math.pi * volume)

    def third(spread: Spread) -> Spread:
        if spread == NONE or declared.nominal is None:
            return NONE
        logarithmic = spread.shape is Shape.LOGNORMAL
        share = spread.size if spread.relative or logarithmic else spread.size / declared.nominal
        return Spread(spread.shape, share / 3.0, relative=not logarithmic)

    return replace(
        declared,
        key=declared.diameter_key,
        meaning="diameter of the sphere of that volume",
        unit="m",
        nominal=None if declared.nominal is None else width(declared.nominal),
        lower=width(declared.lower),
        upper=width(declared.upper),
        setup=third(declared.setup),
        shot=third(declared.shot),
        diameter_key="",
    )
