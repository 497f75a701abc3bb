"""Screens on terminals that do not know every letter."""

from __future__ import annotations

import codecs
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import RenderableType

NAME = "jitter.plain"
PLAIN = {
    "µ": "u",
    "μ": "u",
    "°": "",
    "×": "x",
    "±": "+-",
    "≈": "~",
    "√": "sqrt",
    "²": "2",
    "³": "3",
    "·": "*",
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "½": "1/2",
    "¾": "3/4",
    "¼": "1/4",
    "→": "->",
    "≤": "<=",
    "≥": ">=",
    "Δ": "d",
    "λ": "lambda",
    "π": "pi",
    "ρ": "rho",
    "σ": "sigma",
    "τ": "tau",
    "ν": "nu",
    "χ": "chi",
    "φ": "phi",
    "Φ": "phi",
    "ε": "eps",
    "δ": "d",
    "ω": "omega",
    "Σ": "sum",
    "∞": "inf",
    "⁻": "-",
    "⁵": "5",
    "¹": "1",
    "₀": "0",
    "₁": "1",
    "₂": "2",
    "⅓": "1/3",
    "⅔": "2/3",
    "é": "e",
    "ë": "e",
    "ü": "ue",
    "ä": "ae",
    "ö": "oe",
}
"""What stands for a letter that cannot be written; a question mark for any other."""


def speak_plainly() -> str:
    """Return the name of an error handler that writes other letters for those it cannot write."""
    codecs.register_error(NAME, _plain)
    return NAME


def spelled(shown: RenderableType, encoding: str) -> RenderableType:
    """Return a screen in the letters of an encoding, before it is laid out.

    Stand-ins are longer or shorter than what they stand for: columns made without them would not
    stand below one another.

    Parameters
    ----------
    shown
        Groups, tables, paddings and texts; changed in place.
    encoding
        What the terminal can show.
    """
    from rich.console import Group
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    from jitter.report.prose import Prose

    if encoding.startswith("utf"):
        return shown
    if isinstance(shown, str):
        return _written(shown, encoding)
    if isinstance(shown, Text):
        # Letter by letter, so that each keeps its style.
        letters = shown.divide(range(1, len(shown)))
        for letter in letters:
            plain = _written(letter.plain, encoding)
            if plain != letter.plain:
                letter.plain = plain
        return shown.blank_copy().join(letters)
    if isinstance(shown, Prose):
        shown.text = _written(shown.text, encoding)
    elif isinstance(shown, Padding):
        shown.renderable = spelled(shown.renderable, encoding)
    elif isinstance(shown, Group):
        return Group(*(spelled(part, encoding) for part in shown.renderables))
    elif isinstance(shown, Table):
        for column in shown.columns:
            column.header = spelled(column.header, encoding)
            column._cells[:] = [spelled(cell, encoding) for cell in column._cells]
    return shown


def _written(text: str, encoding: str) -> str:
    return text.encode(encoding, errors=speak_plainly()).decode(encoding)


def _plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(PLAIN.get(letter, "?") for letter in missing), error.end
