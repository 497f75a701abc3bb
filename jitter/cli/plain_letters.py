"""Screens on terminals that do not know every letter."""

from __future__ import annotations

import codecs

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


def _plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(PLAIN.get(letter, "?") for letter in missing), error.end
