"""Judge a table of pairs in a study against its declaration."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from jitter.errors import shown
from jitter.quantities import Basis, Curve, Mark
from jitter.study.samples import likely_pairs
from jitter.study.straying import STRAYING, Complain, refuse
from jitter.study.study import Entry
from jitter.units.reading import UnreadableError, read_measure
from jitter.units.writing import write_value


def read_curve(default: Entry, declared: Curve, raw: Any, complain: Complain) -> Entry:
    """Read a table of pairs.

    Parameters
    ----------
    default
        The entry where the study is silent.
    declared
        What the columns hold.
    raw
        What the TOML document holds.
    complain
        Called for each fault; the default then stands in.

    Returns
    -------
    Entry
        With the pairs in SI, rising in the first column.
    """
    basis = ""
    if isinstance(raw, Mapping):
        basis = raw.get("basis", "")
        for name in raw:
            if name in STRAYING:
                refuse(name, complain)
            elif name not in ("nominal", "basis"):
                wrong = f"{shown(name)} is not a part of a table"
                complain(f".{name}", wrong, "write the pairs alone")
        if not isinstance(basis, str):
            wrong = f"{shown(basis)} is no text"
            complain(".basis", wrong, 'write where the numbers come from, in "quotes"')
        raw = raw.get("nominal")
    right = f"write pairs of {' and '.join(declared.columns)}, such as {likely_pairs(declared)}"
    if not isinstance(raw, list) or len(raw) < 2:
        wrong = f"{shown(raw)} is no table of two pairs or more"
        complain("", wrong if raw is not None else "it holds no pairs", right)
        return default
    pairs = [
        _read_pair(declared, row, number, right, complain) for number, row in enumerate(raw, 1)
    ]
    known = sorted(pair for pair in pairs if pair is not None)
    if len(known) < len(pairs):
        return default
    for (low, _), (high, _) in itertools.pairwise(known):
        if low == high:
            twice = write_value(low, declared.units[0])
            name = declared.columns[0]
            complain("", f"the {name} {twice} stands in it twice", f"give each {name} once")
            return default
    return replace(
        default,
        nominal=tuple(known),
        given=frozenset({"nominal"}),
        basis=Basis(Mark.USER, basis if isinstance(basis, str) else ""),
    )


def _read_pair(
    declared: Curve, row: Any, number: int, right: str, complain: Complain
) -> tuple[float, float] | None:
    if not isinstance(row, list) or len(row) != 2:
        complain("", f"{shown(row)} is no pair", right)
        return None
    read = []
    for item, unit, low, high, name in zip(
        row, declared.units, declared.lower, declared.upper, declared.columns, strict=True
    ):
        try:
            value = read_measure(item, unit).value
        except UnreadableError as fault:
            # One fault for a pair: it may be the wrong way round.
            complain("", f"{name} of pair {number}: {fault.wrong}", right)
            return None
        if not low <= value <= high:
            wrong = f"{name} of pair {number}: {shown(item)} is out of range"
            limits = f"{write_value(low, unit)} to {write_value(high, unit)}"
            complain("", wrong, f"write a {name} from {limits}")
            return None
        read.append(value)
    return read[0], read[1]
