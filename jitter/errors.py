"""One family of user mistakes: every fault at once, each with where, what and what instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong in what the user gave.

    Attributes
    ----------
    file
        The file, or the name of the command-line option.
    line
        The line in that file, counted from 1; None where there is none.
    key
        The study key or option concerned, such as ``sensor.height``.
    wrong
        What is wrong.
    right
        What would be right.

    Examples
    --------
    >>> print(Fault("rig.toml", 3, "sensor.height", "'19 parsecs' is no length", "write 19 in"))
    rig.toml:3  sensor.height
        '19 parsecs' is no length
        -> write 19 in
    """

    file: str
    line: int | None
    key: str
    wrong: str
    right: str

    def __str__(self) -> str:
        """Place, key, what is wrong and what would be right, on three lines."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        return f"{place}  {self.key}\n    {self.wrong}\n    -> {self.right}"


class MistakeError(Exception):
    """Something the user can put right: the command line, a study, a log.

    Parameters
    ----------
    faults
        Everything found wrong, in the order of the file.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))
