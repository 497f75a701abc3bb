"""Help in the words of people who take photographs, not of those who write programs."""

from __future__ import annotations

import re
from typing import Any

from typer.core import TyperCommand

_BRACES = re.compile(r"\{(\w+)\}")
_TYPE = re.compile(r"(?<=[A-Z.l]) <(?:str|list\[str\])>")
_LIMITS = re.compile(r"\s+\[[\d<>=x]+\]")


class Command(TyperCommand):
    """A command whose usage and help say nothing of types and of limits nobody meets."""

    def get_usage(self, ctx: Any) -> str:
        """Return the line of usage, what must be given without braces."""
        return _BRACES.sub(r"\1", super().get_usage(ctx))

    def get_help(self, ctx: Any) -> str:
        """Return the help; columns stay where they are."""
        told = _TYPE.sub(lambda found: " " * len(found[0]), super().get_help(ctx))
        return _BRACES.sub(r"\1", _LIMITS.sub("", told))
