"""Help in the words of people who take photographs, not of those who write programs."""

from __future__ import annotations

import re
from typing import Any

import typer
from typer.core import TyperCommand

_BRACES = re.compile(r"\{(\w+)\}")
_TYPE = re.compile(r"(?<=[A-Z.l]) <(?:str|list\[str\])>")
_IN_WORDS = {
    r".*\bvalid integer\b.*": "it is no whole number",
    r".*\bgreater than or equal to (\S+)": r"it is less than \1",
    r".*\bless than or equal to (\S+)": r"it is more than \1",
}
"""What is said of numbers, in words for people who do not write programs."""
_LIMITS = re.compile(r"\s+\[[\d<>=x]+\]")


class Command(TyperCommand):
    """A command whose usage and help say nothing of types and of limits nobody meets."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Return what is left to be read; whoever leaves out what must be given sees an example."""
        try:
            return super().parse_args(ctx, args)
        except typer.BadParameter as broken:
            for theirs, ours in _IN_WORDS.items():
                broken.message = re.sub(theirs, ours, broken.message)
            # Where a value is missing, there is nothing that could be said to be wrong with it.
            if not broken.message:
                broken.message = f"Such as: {(self.epilog or '').partition('Example: ')[2]}"
            raise

    def get_usage(self, ctx: Any) -> str:
        """Return the line of usage, what must be given without braces."""
        return _BRACES.sub(r"\1", super().get_usage(ctx))

    def get_help(self, ctx: Any) -> str:
        """Return the help; columns stay where they are."""
        told = _TYPE.sub(lambda found: " " * len(found[0]), super().get_help(ctx))
        return _BRACES.sub(r"\1", _LIMITS.sub("", told))
