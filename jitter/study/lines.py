"""Find the line of each key in a study file, for messages."""

from __future__ import annotations

from jitter.study.statements import find_statements, inside


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
    statements, headers = find_statements(text)
    places = [(header.end, header.path) for header in headers]
    # A list and no recursion: tables in tables may go deep.
    while statements:
        one = statements.pop()
        # What is named part by part is named as a whole, too.
        places += [
            (one.start, one.path[:many]) for many in range(one.section + 1, len(one.path) + 1)
        ]
        statements += inside(text, one)
    found: dict[str, int] = {}
    number, counted = 1, 0
    for place, path in sorted(places):
        number += text.count("\n", counted, place)
        counted = place
        found.setdefault(".".join(path), number)
    return found
