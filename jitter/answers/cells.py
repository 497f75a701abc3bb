"""Join the cells into which long set-ups are cut."""

from __future__ import annotations

from typing import Generic, Protocol, Self, TypeVar

from jitter.draws.layout import Block


class Counted(Protocol):
    """What was counted in a block, which adds up over cells of the same set-up."""

    def __add__(self, other: Self) -> Self:
        """Return what was counted in both."""
        ...


Part = TypeVar("Part", bound=Counted)


class Cells(Generic[Part]):
    """Holds what was counted in a set-up until all of its cells are there."""

    def __init__(self) -> None:
        self._held: Part | None = None

    def add(self, block: Block, part: Part) -> Part | None:
        """Add a block, and return what was counted in whole set-ups.

        Parameters
        ----------
        block
            Blocks must come in order.
        part
            What was counted in it.

        Returns
        -------
        object
            Of the block's set-ups from their first shot to their last; None while more is to come.
        """
        whole = part if self._held is None else self._held + part
        lasts = block.first_shot + block.shots < block.layout.shots
        self._held = whole if lasts else None
        return None if lasts else whole
