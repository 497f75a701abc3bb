"""Find the line of each key in a study file, for messages."""

from __future__ import annotations

import re

_HEADER = re.compile(r"\s*\[\s*([^\[\]]+?)\s*\]\s*(?:#.*)?$")
_KEY = re.compile(r"\s*([A-Za-z0-9_\-\"'.\s]+?)\s*=")
_INNER = re.compile(r"([A-Za-z0-9_\-]+)\s*=")


def find_lines(text: str) -> dict[str, int]:
    r"""Return the line on which each key first stands, counted from 1.

    Parameters
    ----------
    text
        A TOML document that parses.

    Returns
    -------
    dict
        By dotted key, such as ``sensor.height`` and ``sensor.height.setup``; sections too.

    Examples
    --------
    >>> find_lines('[sensor]\nheight = { nominal = "19 in" }')["sensor.height.nominal"]
    2
    """
    found: dict[str, int] = {}
    section = ""
    for number, line in enumerate(text.splitlines(), start=1):
        header = _HEADER.match(line)
        if header:
            section = _plain(header[1])
            found.setdefault(section, number)
            continue
        key = _KEY.match(line)
        if key is None:
            continue
        name = ".".join(part for part in (section, _plain(key[1])) if part)
        found.setdefault(name, number)
        for inner in _INNER.finditer(line[key.end() :]):
            found.setdefault(f"{name}.{inner[1]}", number)
    return found


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))
