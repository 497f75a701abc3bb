"""Gather the mistakes of several things that are read, so that all are told at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from jitter.errors import Fault, MistakeError

Read = TypeVar("Read")


class Gather:
    """What was found wrong so far."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []

    def read(self, reader: Callable[[], Read]) -> Read | None:
        """Return what is read, or None and keep its faults."""
        try:
            return reader()
        except MistakeError as mistake:
            self.add(*mistake.faults)
            return None

    def add(self, *faults: Fault) -> None:
        """Keep faults, each once."""
        self._faults.extend(fault for fault in faults if fault not in self._faults)

    def judge(self) -> None:
        """Raise what was found wrong, if anything was.

        Raises
        ------
        MistakeError
            With every fault.
        """
        if self._faults:
            raise MistakeError(self._faults)
