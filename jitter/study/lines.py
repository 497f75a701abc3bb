"""Find the line of each key in a study file, for messages."""

from __future__ import annotations

import re

_PLAIN_KEY = re.compile(r"[\w\-\"'. \t]+")
_INNER = re.compile(r"[{,]\s*([A-Za-z0-9_\-]+)\s*=")
_FENCES = ('"""', "'''")


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
    section = fence = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if fence:
            # Inside a text of several lines nothing is a key.
            fence = "" if line.count(fence) % 2 else fence
            continue
        stripped = line.strip()
        if stripped.startswith("[") and "=" not in stripped.partition("]")[0]:
            section = _plain(stripped.lstrip("[ \t").partition("]")[0])
            found.setdefault(section, number)
            continue
        key, equals, value = line.partition("=")
        if not equals or not _PLAIN_KEY.fullmatch(key):
            continue
        name = ".".join(part for part in (section, _plain(key)) if part)
        found.setdefault(name, number)
        for inner in _INNER.finditer(value):
            found.setdefault(f"{name}.{inner[1]}", number)
        fence = next((mark for mark in _FENCES if value.count(mark) % 2), "")
    return found


def _plain(key: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in key.split("."))
