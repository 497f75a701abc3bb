"""Gather what is wrong in a record: every fault at once, but the same one not a thousand times."""

from __future__ import annotations

from collections.abc import Callable

from jitter.errors import Fault, MistakeError

Place = Callable[[int | None, str, str, str], None]
"""Takes a line, a column, what is wrong there and what would be right."""

ALIKE = 3
"""So many faults of a column with the same advice are told one by one."""


class Faults:
    """What is wrong in one record.

    Parameters
    ----------
    source
        The name of the record.

    Examples
    --------
    >>> faults = Faults("log.csv")
    >>> for line in range(2, 100):
    ...     faults.place(line, "gap", "it has no unit", "write it in the heading")
    >>> try:
    ...     faults.judge()
    ... except MistakeError as mistake:
    ...     len(mistake.faults), mistake.faults[-1].wrong
    (4, 'and 95 lines more, the last of them 99')
    """

    def __init__(self, source: str) -> None:
        self._source = source
        self._alike: dict[tuple[str, str], list[Fault]] = {}
        self._more: dict[tuple[str, str], tuple[int, int | None]] = {}

    def place(self, line: int | None, column: str, wrong: str, right: str) -> None:
        """Keep a fault, or count it where enough like it are kept."""
        kind = (column, right)
        kept = self._alike.setdefault(kind, [])
        # One more than is told one by one, whose line the count of the others will bear.
        if len(kept) <= ALIKE:
            kept.append(Fault(self._source, line, column, wrong, right))
        many, _ = self._more.get(kind, (0, None))
        self._more[kind] = (many + 1, line)

    def judge(self) -> None:
        """Raise what was found wrong, if anything was.

        Raises
        ------
        MistakeError
            In the order of the lines.
        """
        told: list[Fault] = []
        for kind, kept in self._alike.items():
            many, last = self._more[kind]
            told += kept
            if many > len(kept):
                wrong = f"and {many - ALIKE} lines more, the last of them {last}"
                told[-1] = Fault(self._source, kept[-1].line, *(kind[0], wrong, kind[1]))
        if told:
            raise MistakeError(sorted(told, key=lambda fault: (fault.line is None, fault.line)))
