"""Judge one value of a study against its declaration."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

from jitter.errors import shown
from jitter.quantities import (
    Basis,
    Choice,
    Curve,
    Declaration,
    Kind,
    Mark,
    Quantity,
    Window,
)
from jitter.study.curves import read_curve
from jitter.study.samples import how_to_write
from jitter.study.straying import STRAYING, Complain, read_alike, read_drift, read_level, refuse
from jitter.study.study import Entry
from jitter.units.reading import UnreadableError, example, read_measure
from jitter.units.writing import write_number, write_value

_PARTS = ("nominal", "setup", "shot", "alike", "drift", "basis")


def nearest(name: str, known: list[str]) -> str:
    """Return a hint at the nearest known name, or the known ones if none is near.

    Examples
    --------
    >>> nearest("hight", ["height", "offset"])
    'did you mean height?'
    """
    near = get_close_matches(name.lower(), known, n=1, cutoff=0.55)
    if near:
        return f"did you mean {near[0]}?"
    return "known here: " + ", ".join(known)


def part_meant(declared: Declaration | None, raw: Any) -> str:
    """Return the part of a value that a text without braces stands for.

    Parameters
    ----------
    declared
        What the value is; None where nothing of that name is known.
    raw
        What the study gives: the nominal, but for what only strays its spread.
    """
    strays = isinstance(declared, Quantity) and declared.kind is Kind.ERROR
    spread = isinstance(raw, str) and not raw.strip()[:1].isdigit()
    return "shot" if strays and spread else "nominal"


def read_entry(default: Entry, raw: Any, complain: Complain) -> Entry:
    """Read what a study gives for one key.

    Parameters
    ----------
    default
        The entry where the study is silent.
    raw
        What the TOML document holds.
    complain
        Called for each fault; the default then stands in, so that reading can go on.

    Returns
    -------
    Entry
    """
    declared = default.declaration
    if isinstance(declared, Choice):
        return _read_choice(default, declared, raw, complain)
    if isinstance(declared, Window):
        return _read_window(default, declared, raw, complain)
    if isinstance(declared, Curve):
        return read_curve(default, declared, raw, complain)
    parts = raw if isinstance(raw, Mapping) else {part_meant(declared, raw): raw}
    for name in parts:
        if name not in _PARTS:
            complain(
                f".{name}", f"{shown(name)} is not a part of a value", nearest(name, list(_PARTS))
            )
    nominal = default.nominal
    if "nominal" in parts:
        nominal = _read_nominal(declared, parts["nominal"], nominal, complain)
    elif default.nominal is None:
        straying = next((STRAYING[name] for name in parts if name in STRAYING), "")
        if straying:
            wrong = f"{straying} is given but no value"
            complain("", wrong, f"give nominal too: {how_to_write(declared)}")
    yours = Basis(Mark.USER, _text(parts.get("basis", ""), complain))
    if nominal is None:
        return default
    entry = replace(default, nominal=nominal)
    if default.nominal is None:
        entry = replace(entry, setup=declared.setup, shot=declared.shot)
    given = {"nominal"} if "nominal" in parts else set()
    if given:
        entry = replace(entry, basis=yours)
    for level in ("setup", "shot"):
        if level not in parts:
            continue
        if not declared.strays:
            refuse(level, complain)
            continue
        spread = read_level(declared, parts[level], entry.number, f".{level}", complain)
        if spread is not None:
            changes: dict[str, Any] = {level: spread, f"{level}_basis": yours}
            entry = replace(entry, **changes)
            given.add(level)
    if "alike" in parts:
        entry = replace(entry, alike=read_alike(declared, parts["alike"], complain))
        given.add("alike")
    if "drift" in parts:
        entry = replace(entry, drift=read_drift(declared, parts["drift"], entry.number, complain))
        given.add("drift")
    return replace(entry, given=frozenset(given))


def _text(raw: Any, complain: Complain) -> str:
    if not isinstance(raw, str):
        complain(
            ".basis", f"{shown(raw)} is no text", 'write where the number comes from, in "quotes"'
        )
        return ""
    return raw


def _read_nominal(declared: Quantity, raw: Any, default: Any, complain: Complain) -> Any:
    if not isinstance(raw, str | int | float):
        complain("", f"{shown(raw)} is no value", how_to_write(declared))
        return default
    try:
        read = read_measure(raw, declared.unit, right=how_to_write(declared))
    except UnreadableError as fault:
        complain("", fault.wrong, fault.right)
        return default
    value = read.value
    if declared.kind is Kind.ERROR and value != 0.0:
        complain(
            "",
            f"{shown(raw)}: this only strays, about 0; it has no value",
            f'write "sd {raw}" alone',
        )
        return default
    if declared.whole and value != round(value):
        complain("", f"{shown(raw)} is not a whole number", "write a whole number")
        return default
    # A hair of room, so that a limit written in inches is still inside itself.
    room = 1e-9 * max(abs(declared.lower), abs(declared.upper), abs(value))
    if not (declared.lower - min(room, 1e-12) <= value <= declared.upper + min(room, 1e-12)):
        low, high = (
            f"{write_number(100.0 * end)} %" if read.percent else write_value(end, declared.unit)
            for end in (declared.lower, declared.upper)
        )
        complain("", f"{shown(raw)} is out of range", f"write a value from {low} to {high}")
        return default
    return value


def _plain_parts(raw: Any, complain: Complain) -> Mapping[str, Any]:
    """Return the parts of a value that has no spread."""
    parts = raw if isinstance(raw, Mapping) else {"nominal": raw}
    for name in parts:
        if name in STRAYING:
            refuse(name, complain)
        elif name not in _PARTS:
            complain(f".{name}", f"{shown(name)} is not a part of a value", "write the value alone")
    return parts


def _read_choice(default: Entry, declared: Choice, raw: Any, complain: Complain) -> Entry:
    parts = _plain_parts(raw, complain)
    basis = Basis(Mark.USER, _text(parts.get("basis", ""), complain))
    if "nominal" not in parts:
        return default
    word = parts["nominal"]
    if isinstance(word, bool) and "yes" in declared.options:
        word = "yes" if word else "no"
    if not isinstance(word, str) or word.strip().lower() not in declared.options:
        complain("", f"{shown(word)} is none of the choices", _near(word, declared.options))
        return default
    return replace(default, nominal=word.strip().lower(), given=frozenset({"nominal"}), basis=basis)


def _near(word: object, options: tuple[str, ...]) -> str:
    near = get_close_matches(str(word).lower(), options, n=1, cutoff=0.7)
    guess = f"did you mean {near[0]}? " if near else ""
    return f"{guess}write {_either(options)}"


def _either(options: tuple[str, ...]) -> str:
    quoted = [f'"{option}"' for option in options]
    return f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def _read_window(default: Entry, declared: Window, raw: Any, complain: Complain) -> Entry:
    parts = _plain_parts(raw, complain)
    basis = Basis(Mark.USER, _text(parts.get("basis", ""), complain))
    if "nominal" not in parts:
        return default
    ends = parts["nominal"]
    samples = [write_value(end, declared.unit) for end in declared.nominal]
    usual = ", ".join(f'"{sample}"' for sample in samples)
    right = f"write the two ends in brackets, such as [{usual}]"
    if not isinstance(ends, list) or len(ends) != 2:
        complain("", f"{shown(ends)} is not a pair", right)
        return default
    values = []
    for end, sample in zip(ends, samples, strict=True):
        try:
            hint = example(declared.unit, sample)
            values.append(read_measure(end, declared.unit, right=hint).value)
        except UnreadableError as fault:
            complain("", fault.wrong, fault.right)
    if len(values) < 2:
        return default
    low, high = values
    if low >= high:
        complain(
            "", f"the window ends ({shown(ends[1])}) before it starts ({shown(ends[0])})", right
        )
        return default
    if low < declared.lower or high > declared.upper:
        limits = [write_value(end, declared.unit) for end in (declared.lower, declared.upper)]
        complain("", "the window is out of range", f"stay between {limits[0]} and {limits[1]}")
        return default
    return replace(default, nominal=(low, high), given=frozenset({"nominal"}), basis=basis)
