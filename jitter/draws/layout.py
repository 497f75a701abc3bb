"""How many shots, and the rectangles in which they are worked through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

CELL = 16384
"""Most shots of one set-up that are worked through at once. Fixed, because sums of ages are kept
per cell: the block size then changes nothing in any digit."""

BLOCK = 4 * CELL
"""Shots worked through at once: their arrays fit a cache, and Python's own work is a small part."""
WIDE = 2 * BLOCK
"""The same where events are forgotten as soon as they have served: threads meet less often."""


@dataclass(frozen=True)
class Layout:
    """The shots of a simulation.

    Attributes
    ----------
    seed
        Of every stream.
    setups
        Set-ups, s.
    shots
        Shots of each, n.
    """

    seed: int
    setups: int
    shots: int


@dataclass(frozen=True)
class Block:
    """A rectangle of shots: whole set-ups, or a part of one.

    Attributes
    ----------
    layout
        The simulation it is a part of.
    first_setup, setups
        Its rows.
    first_shot, shots
        Its columns.

    Raises
    ------
    ValueError
        If it is a part of several set-ups, whose numbers do not lie together in the streams: a
        fault of the caller.
    """

    layout: Layout
    first_setup: int
    setups: int
    first_shot: int
    shots: int

    def __post_init__(self) -> None:
        """Refuse a rectangle that the streams cannot fill."""
        if self.setups > 1 and self.shots != self.layout.shots:
            raise ValueError("a block holds whole set-ups, or a part of one")

    @property
    def first(self) -> int:
        """Place of the block's first shot in the streams of the shot level."""
        return self.first_setup * self.layout.shots + self.first_shot


def blocks(
    layout: Layout, *, size: int = BLOCK, first: int = 0, end: int | None = None
) -> Iterator[Block]:
    """Yield the blocks of a simulation, or of some of its set-ups, in order.

    Parameters
    ----------
    layout
        The simulation.
    size
        Shots in a block, about; set-ups longer than a `CELL` are cut into cells.
    first, end
        The first set-up, and the one before which it ends; the last where None.

    Examples
    --------
    >>> [block.setups for block in blocks(Layout(seed=1, setups=5, shots=4), size=8)]
    [2, 2, 1]
    """
    last = layout.setups if end is None else end
    if layout.shots > CELL:
        for setup in range(first, last):
            for shot in range(0, layout.shots, CELL):
                yield Block(layout, setup, 1, shot, min(CELL, layout.shots - shot))
        return
    rows = max(1, size // layout.shots)
    for setup in range(first, last, rows):
        yield Block(layout, setup, min(rows, last - setup), 0, layout.shots)
