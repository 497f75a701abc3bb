"""One family of user mistakes: every fault at once, each with where, what and what instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields

LONGEST = 60


def plain(text: str, longest: int) -> str:
    """Return a text that is safe to print on one line: no control characters, cut in the middle.

    Examples
    --------
    >>> plain("a very long word", 9)
    'a ve…word'
    """
    text = "".join(letter if letter.isprintable() else "\ufffd" for letter in text)
    half = (longest - 1) // 2
    return text if len(text) <= longest else f"{text[:half]}…{text[-half:]}"


def shown(value: object) -> str:
    """Return a value of a document as its writer would know it again, short and printable.

    Examples
    --------
    >>> shown(True), shown("19 parsecs"), shown({"a": 1})
    ('true', "'19 parsecs'", 'a table')
    """
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return plain(f"[{', '.join(shown(item) for item in value[:8])}]", LONGEST)
    return f"'{plain(value, LONGEST)}'" if isinstance(value, str) else plain(str(value), LONGEST)


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

    def __post_init__(self) -> None:
        """Make every text safe to print."""
        for part in fields(self):
            text = getattr(self, part.name)
            if isinstance(text, str):
                object.__setattr__(self, part.name, plain(text, 4 * LONGEST))

    def __str__(self) -> str:
        """Place, key, what is wrong and what would be right, on three lines."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        return f"{place}  {self.key}\n    {self.wrong}\n    -> {self.right}"


class RefusedError(ValueError):
    """Something of the user's that cannot be taken; who knows its place makes a `Fault` of it.

    Parameters
    ----------
    wrong, right
        What is wrong, and what would be right.
    """

    def __init__(self, wrong: str, right: str) -> None:
        self.wrong, self.right = wrong, right
        super().__init__(f"{wrong}; {right}")


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
