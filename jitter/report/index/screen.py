"""The screen of `jitter index`."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from jitter.report.index.cards import Leaf
from jitter.report.index.versions import Family, families
from jitter.report.index.words import about, changes, findings
from jitter.report.prose import Prose
from jitter.report.screen import heading, shortened


def index_screen(leaves: tuple[Leaf, ...], *, width: int) -> Group:
    """Return the index as it is printed.

    Parameters
    ----------
    leaves
        The pages of a folder, newest first.
    width
        Columns of the screen, 60 and more.
    """
    found = families(leaves)
    parts: list[RenderableType] = [*map(Prose, findings(leaves, found))]
    parts.append(Text(""))
    for leaf in leaves:
        parts.append(Text(shortened(leaf.file, width), style="bold"))
        parts.append(Text(f"  {shortened(leaf.card.title, width - 2)}"))
        told = [Prose(leaf.card.finding)] if leaf.card.finding else []
        parts += [Padding(one, (0, 0, 0, 2)) for one in (*told, Prose(about(leaf), style="dim"))]
    for family in found:
        if len(family.versions) > 1:
            parts += _family(family, width)
    return Group(*parts)


def _family(family: Family, width: int) -> list[RenderableType]:
    said = [f"{key}: {' <- '.join(values)}" for key, *values in family.differing] + changes(family)
    return [
        Text(""),
        heading(shortened(family.title, width)),
        *(Padding(Prose(line), (0, 0, 0, 2)) for line in said),
    ]
