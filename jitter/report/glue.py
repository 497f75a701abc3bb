"""Where no line may end: between a number and what it counts."""

from __future__ import annotations

import re

GLUE = "\N{NO-BREAK SPACE}"
_AFTER_A_NUMBER = re.compile(r"(?<=\d) (?=(?:%|°?[A-Za-zµ]{1,3}(?:[/²³]\S*)?|stops?)(?![\w-]))")
_BEFORE_A_NUMBER = re.compile(r"(±|\b(?:of|in|to|sd|ISO)) (?=[-+]?\d)")


def with_units(text: str) -> str:
    r"""Return a text whose numbers hold to their units, or to another short word after them.

    Examples
    --------
    >>> with_units("within 6.1 mm, sure to 95 %").split(" ")
    ['within', '6.1\xa0mm,', 'sure', 'to', '95\xa0%']
    """
    return _AFTER_A_NUMBER.sub(GLUE, text)


def glued(text: str) -> str:
    r"""Return a text whose numbers hold to what they count, and to the words before them.

    Examples
    --------
    >>> glued("72 in 100 frames, sd 6.1 mm").split(" ")
    ['72\xa0in\xa0100', 'frames,', 'sd\xa06.1\xa0mm']
    """
    return _BEFORE_A_NUMBER.sub(rf"\1{GLUE}", with_units(text))
