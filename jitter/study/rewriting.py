"""The text of a study with some values changed, and not a letter of the rest."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from jitter.errors import RefusedError
from jitter.study.statements import Statement, find_statements, inside


@dataclass(frozen=True)
class NewValue:
    """What a study shall say of one key.

    Attributes
    ----------
    key
        As written in the study: ``section.name``.
    parts
        In TOML, by part: ``nominal``, ``setup``, ``shot``. What the study says of other parts
        stays.
    basis
        Where they come from, in words; what the study said before follows it.
    instead
        Keys that must not stand beside it: their lines become comments.
    """

    key: str
    parts: Mapping[str, str]
    basis: str
    instead: tuple[str, ...] = ()


def rewrite(text: str, values: Iterable[NewValue]) -> str:
    r"""Return the text of a study with some values changed.

    Comments, order, spaces and everything that is not measured stay as they are. A changed key's
    line becomes an inline table; a key that is not there yet is added at the end of its section.

    Parameters
    ----------
    text
        A TOML document that parses.
    values
        What it shall say, a key at a time.

    Raises
    ------
    RefusedError
        If the text is written in a way that cannot be changed so, with what to change by hand.

    Examples
    --------
    >>> new = NewValue("sensor.height", {"nominal": '"483 mm"'}, "12 readings")
    >>> print(rewrite('[sensor]\nheight = "19 in"  # ruler', [new]))
    [sensor]
    height = { nominal = "483 mm", basis = "12 readings" }  # ruler
    """
    for value in values:
        wanted = _wanted(tomllib.loads(text.removeprefix("\ufeff")), value)
        for other in value.instead:
            text = _commented(text, other, value.key)
        text = _changed(text, value)
        try:
            said = tomllib.loads(text.removeprefix("\ufeff"))
        except tomllib.TOMLDecodeError:
            said = {}
        if said != wanted:
            parts = ", ".join(f"{name} = {one}" for name, one in value.parts.items())
            raise RefusedError(
                f"{value.key} is written in a way that cannot be changed line by line",
                f"write it on a line of its own under its section, or change it by hand: {parts}",
            )
    return text


def _wanted(document: dict[str, Any], value: NewValue) -> dict[str, Any]:
    """Return what the document shall say."""
    document = deepcopy(document)
    for other in value.instead:
        section, _, name = other.partition(".")
        document.get(section, {}).pop(name, None)
    section, _, name = value.key.partition(".")
    table = document.setdefault(section, {})
    old = table.get(name)
    before = old if isinstance(old, dict) else {} if old is None else {"nominal": old}
    parts = {part: tomllib.loads(f"x = {one}")["x"] for part, one in value.parts.items()}
    table[name] = {**before, **parts, "basis": _basis(value.basis, before.get("basis"))}
    return document


def _basis(new: str, old: object) -> str:
    return f"{new}; before: {old}" if isinstance(old, str) and old else new


def _quoted(text: str) -> str:
    """Return a text as a TOML string."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    plain = "".join(c if c.isprintable() else f"\\u{ord(c):04X}" for c in escaped)
    return f'"{plain}"'


def _changed(text: str, value: NewValue) -> str:
    path = tuple(value.key.split("."))
    statements, headers = find_statements(text)
    whole = next((one for one in statements if one.path == path), None)
    if whole is not None:
        table = _inline(text[whole.value : whole.end], value)
        return text[: whole.value] + table + text[whole.end :]
    inside = [one for one in statements if one.path[: len(path)] == path]
    if inside:
        return _changed_part_by_part(text, inside, len(path), value)
    line = f"{path[1]} = {_inline('{}', value)}"
    end = "\r\n" if "\r\n" in text else "\n"
    beside = [one for one in statements if one.path[:-1] == path[:1] and one.section == 1]
    if beside:
        return _after(text, beside[-1].end, line, end)
    for header in headers:
        if header.path == path[:1]:
            return _after(text, header.end, line, end)
    dotted = [one for one in statements if one.path[:1] == path[:1] and one.section == 0]
    if dotted:
        return _after(text, dotted[-1].end, f"{path[0]}.{line}", end)
    gap = "" if text.endswith("\n") or not text else end
    return f"{text}{gap}{end}[{path[0]}]{end}{line}{end}"


def _after(text: str, place: int, line: str, end: str) -> str:
    """Put a line after the one on which a place of a text is."""
    stop = text.find("\n", place)
    if stop < 0:
        return f"{text}{end}{line}{end}"
    return f"{text[: stop + 1]}{line}{end}{text[stop + 1 :]}"


def _inline(old: str, value: NewValue) -> str:
    """Return a value as an inline table, the parts that are not changed word for word."""
    parts = {"nominal": old}
    if old.startswith("{"):
        table = Statement((), 0, 0, 0, len(old))
        parts = {".".join(one.path): old[one.value : one.end] for one in inside(old, table)}
    before = tomllib.loads(f"x = {parts['basis']}")["x"] if "basis" in parts else None
    parts.pop("basis", None)
    parts |= value.parts
    parts["basis"] = _quoted(_basis(value.basis, before))
    known = [name for name in ("nominal", "setup", "shot") if name in parts]
    rest = [name for name in parts if name not in known]
    return f"{{ {', '.join(f'{name} = {parts[name]}' for name in (*known, *rest))} }}"


def _changed_part_by_part(text: str, inside: list[Statement], depth: int, value: NewValue) -> str:
    """Change a value whose parts stand on lines of their own."""
    end = "\r\n" if "\r\n" in text else "\n"
    there = {one.path[depth]: one for one in inside if len(one.path) == depth + 1}
    old = there.get("basis")
    before = None
    if old is not None:
        before = tomllib.loads(f"x = {text[old.value : old.end]}")["x"]
    parts = {**value.parts, "basis": _quoted(_basis(value.basis, before))}
    last = inside[-1]
    # The last part of the dotted name is the part's; what stands before it is kept.
    dots = len(last.path) - last.section - 1
    lead = ".".join(last.path[last.section : last.section + dots])
    added = [
        f"{lead + '.' if lead else ''}{name} = {one}"
        for name, one in parts.items()
        if name not in there
    ]
    for line in reversed(added):
        text = _after(text, last.end, line, end)
    for name in sorted(there, key=lambda name: -there[name].start):
        if name in parts:
            one = there[name]
            text = text[: one.value] + parts[name] + text[one.end :]
    return text


def _commented(text: str, key: str, by: str) -> str:
    """Turn the lines of a key into comments."""
    path = tuple(key.split("."))
    statements, _ = find_statements(text)
    for one in reversed([one for one in statements if one.path[: len(path)] == path]):
        start = text.rfind("\n", 0, one.start) + 1
        stop = text.find("\n", one.end)
        stop = len(text) if stop < 0 else stop
        lines = text[start:stop].split("\n")
        marked = "\n".join(
            [f"# {by} stands in its place: {lines[0]}", *(f"# {x}" for x in lines[1:])]
        )
        text = text[:start] + marked + text[stop:]
    return text
