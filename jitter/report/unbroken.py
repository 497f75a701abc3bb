"""Keep a number and its unit on one line, in whatever a page says."""

from __future__ import annotations

import re

from jitter.report.glue import with_units

WORDS = re.compile(r"<(style|script)\b.*?</\1>|(?<=>)[^<]+", re.DOTALL)
"""What stands between tags, or what is no words: a style or a script."""


def unbroken(html: str) -> str:
    """Return a page in which no line ends between a number and its unit.

    Parameters
    ----------
    html
        The page; its style, scripts and tags stay as they are.

    Examples
    --------
    >>> unbroken("<p title='2 mm'>within 1 mm or 3 %</p>").replace(chr(160), "_")
    "<p title='2 mm'>within 1_mm or 3_%</p>"
    """
    return WORDS.sub(lambda found: found[0] if found[1] else with_units(found[0]), html)
