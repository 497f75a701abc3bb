"""What a number may have been meant to be that could be read in more than one way."""

from __future__ import annotations

import re

_THOUSANDS = re.compile(r"(?<![\d,.])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")


def with_point(text: str) -> str:
    """Say how a number with a comma is written right: the number itself, with a point.

    Examples
    --------
    >>> with_point("18,5 cm")
    'write "18.5 cm", with a decimal point'
    >>> with_point("1,250 mm"), with_point("1,000.5 mm")
    ('write "1250 mm", or "1.250 mm" with a decimal point', 'write "1000.5 mm", without the comma')
    """
    written = text.strip()
    without, pointed = written.replace(",", ""), written.replace(",", ".")
    one_number = written.count(",") == 1 and "." not in written
    if not _THOUSANDS.search(written):
        if one_number:
            return f'write "{pointed}", with a decimal point'
        return "write a decimal point, and no comma"
    if one_number:
        return f'write "{without}", or "{pointed}" with a decimal point'
    return f'write "{without}", without the comma'


def is_doubtful(match: re.Match[str]) -> bool:
    """Whether a fraction can be read in two ways, such as ``18.1/2``, ``18 3/2``, ``18 - 1/2``.

    Parameters
    ----------
    match
        Of a number with a fraction: whole, gap, top and bottom. What is one whole number and a
        proper part of one is clear, and so is one whole or decimal number below another.
    """
    if match["whole"] is None:
        return "." in match["top"]
    parts = (match["top"], match["bottom"])
    if not (match["gap"] == "-" or match["gap"].isspace()) or not all(map(str.isdigit, parts)):
        return True
    return int(parts[0]) >= int(parts[1])


def whole_and_part(match: re.Match[str]) -> str:
    """Say how such a fraction is written right, in the user's own numbers.

    Parameters
    ----------
    match
        As `is_doubtful` takes it; its unit is the user's.
    """
    unit = f" {match['unit'].strip()}".replace('"', "in").rstrip()
    whole, top, bottom = match["whole"], match["top"], match["bottom"]
    if whole is None:
        # 18.1/2 may be 18 1/2; 18.5/2 can only be a half of 18.5, if it is anything.
        whole, _, top = top.partition(".")
        if not (whole and top.isdigit() and bottom.isdigit() and int(top) < int(bottom)):
            return f'write one number, such as "{float(match["top"]) / float(bottom):g}{unit}"'
    top = top.lstrip("+-")
    if not (top.isdigit() and bottom.isdigit()):
        return "write one number, with a decimal point"
    over, left = divmod(int(top), int(bottom))
    sign, size = whole[: -len(whole.lstrip("+-"))], int(whole.lstrip("+-")) + over
    if not left:
        return f'write "{sign}{size}{unit}"'
    part = f"{left / int(bottom):g}".removeprefix("0")
    return f'write "{sign}{size} {left}/{bottom}{unit}" or "{sign}{size}{part}{unit}"'
