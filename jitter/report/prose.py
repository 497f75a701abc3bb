"""Sentences on a screen: short enough lines, and no number torn from its unit."""

from __future__ import annotations

import textwrap

from rich.console import Console, ConsoleOptions, RenderResult
from rich.measure import Measurement
from rich.text import Text

from jitter.report.glue import GLUE, glued

READABLE = 96
"""No line of a sentence is longer, however wide the screen: eyes lose their way back."""
HANG = 2
"""What goes on below stands in by so much, so that beginnings are found at a glance."""


class Prose:
    """A sentence or a few, which go on below themselves.

    Parameters
    ----------
    text
        What is said.
    style
        Of all of it.
    label
        Stands before it, marked.
    hang
        By how much the lines after the first stand in.
    """

    def __init__(self, text: str, *, style: str = "", label: str = "", hang: int = HANG) -> None:
        self.text, self.style, self.label, self.hang = text, style, label, hang

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Yield the sentence in lines of the width there is."""
        label = self.label and f"{self.label}: "
        said = textwrap.wrap(
            glued(label + self.text),
            min(options.max_width, READABLE),
            subsequent_indent=" " * self.hang,
            break_on_hyphens=False,
        )
        whole = "\n".join(said).replace(GLUE, " ").removeprefix(label)
        yield Text.assemble((label, "bold yellow"), (whole, self.style))

    def __rich_measure__(self, console: Console, options: ConsoleOptions) -> Measurement:
        """Return the least width, that of the longest word, and the most."""
        words = glued(self.text).split(" ")
        return Measurement(max(map(len, words)) + self.hang, len(self.text))


def warned(warnings: tuple[str, ...]) -> list[Prose | Text]:
    """Return warnings, each after an empty line."""
    return [part for told in warnings for part in (Text(""), Prose(told, label="Warning"))]
