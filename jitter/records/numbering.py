"""Frame numbers of a log: repeated, missing, out of order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Protocol

from jitter.records.faults import Place
from jitter.records.table import Row

SHOWN = 6
"""Stretches of missing frames that are told one by one."""


class Numbered(Protocol):
    """What has a number within a set-up."""

    @property
    def number(self) -> int | None:
        """Return its number, None where it has none."""

    @property
    def setup(self) -> str:
        """Return its set-up, within which numbers differ."""


def find_repeated(
    rows: Sequence[Row], frames: Sequence[Numbered], place: Place
) -> tuple[set[int], str]:
    """Return which rows say again what an earlier one says, and a note on them.

    Parameters
    ----------
    rows, frames
        The rows, and what was read from each.
    place
        Takes rows that say something else of the same frame.
    """
    first: dict[tuple[str, int], int] = {}
    again: set[int] = set()
    for at, frame in enumerate(frames):
        if frame.number is None:
            continue
        before = first.setdefault((frame.setup, frame.number), at)
        if before == at:
            continue
        if rows[before].cells == rows[at].cells:
            again.add(at)
            continue
        wrong = f"frame {frame.number} stands on line {rows[before].line} too, and differs there"
        right = "keep one of them; where numbers begin anew, name the set-up in a column setup"
        place(rows[at].line, "frame", wrong, right)
    lines = [str(rows[at].line) for at in sorted(again)]
    more = " …" if lines[SHOWN:] else ""
    said = f"rows that repeat a frame word for word, left out: {len(again)}"
    return again, f"{said} (lines {', '.join(lines[:SHOWN])}{more})" if again else ""


def number_notes(frames: Sequence[Numbered]) -> tuple[str, ...]:
    """Return what is to be said about missing numbers and their order.

    Parameters
    ----------
    frames
        In the order of the log, none repeated.
    """
    by_setup: dict[str, list[int]] = {}
    for frame in frames:
        if frame.number is not None:
            by_setup.setdefault(frame.setup, []).append(frame.number)
    numbers = [number for one in by_setup.values() for number in one]
    if not numbers:
        return ()
    notes = []
    # A camera counts on from set-up to set-up; a person may begin anew.
    runs_on = len(set(numbers)) == len(numbers)
    gaps = _gaps({"": numbers} if runs_on else by_setup)
    if gaps:
        many = sum(last - first + 1 for _, first, last in gaps)
        told = [
            f"{first if first == last else f'{first} to {last}'}{f' of {setup}' if setup else ''}"
            for setup, first, last in gaps[:SHOWN]
        ]
        more = " …" if gaps[SHOWN:] else ""
        notes.append(
            f"frame numbers missing: {many} ({', '.join(told)}{more}); if those were the misses, "
            "the log looks better than the rig is"
        )
    falling = sum(later <= earlier for one in by_setup.values() for earlier, later in pairwise(one))
    if falling:
        notes.append(
            f"places where frame numbers do not rise, in an order that was kept: {falling}"
        )
    unnumbered = len(frames) - len(numbers)
    if unnumbered:
        notes.append(f"frames without a number: {unnumbered}")
    return tuple(notes)


def _gaps(by_setup: Mapping[str, Sequence[int]]) -> list[tuple[str, int, int]]:
    """Return the set-up, the first and the last number of each stretch that is missing."""
    gaps = []
    for setup, numbers in by_setup.items():
        rising = sorted(set(numbers))
        gaps += [
            (setup, earlier + 1, later - 1)
            for earlier, later in pairwise(rising)
            if later > earlier + 1
        ]
    return gaps
