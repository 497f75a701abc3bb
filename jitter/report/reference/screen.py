"""The reference on a screen: a line to each value, or a card where there are few."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from jitter.answers.reference.answer import Told
from jitter.answers.reference.items import Heading, Item
from jitter.quantities import Choice
from jitter.report.reference.words import (
    NUMBERS,
    SPREADS,
    YOURS,
    default,
    examples,
    facts,
    spread,
    spreads,
    used_parts,
)
from jitter.report.values import NOT_USED

FEW = 12
WIDE = 120
INDENT = 2
LABEL = 10

Say = Callable[[str], str]
"""Turns a text into one that the screen can show."""

_TYPED = str.maketrans({"µ": "u", "°": None, "³": "3", "–": "-", "…": "..."})
"""What every screen has, in the place of what ours shows."""


def reference_screen(items: Sequence[Item], *, width: int, blocks: bool) -> Group:
    """Return the answer to `jitter quantities` as it is printed.

    A single section, or fewer than twelve values, are shown in full; else each value has a line,
    on narrow screens two.

    Parameters
    ----------
    items
        What to show, section by section.
    width
        Columns of the screen, 60 and more.
    blocks
        Whether the screen can show more than the letters of ASCII.
    """
    full = len(items) < FEW or len({item.section for item in items}) == 1
    say = str if blocks else in_ascii
    if full:
        return Group(*_cards(items, width, say))
    listed = _wide(items, say) if width >= WIDE else _narrow(items, width, say)
    asked = _parts(items, say) if isinstance(items, Told) and items.writing else ()
    return Group(*listed, *asked, *_after_a_list(say))


def in_ascii(text: str) -> str:
    """Return a text in the letters of ASCII, with a question mark for what has none.

    Examples
    --------
    >>> in_ascii("20 µs at 20 °C – Volk & Kähler")
    '20 us at 20 C - Volk & Kahler'
    """
    plain = unicodedata.normalize("NFKD", text.translate(_TYPED))
    bare = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return bare.encode("ascii", "replace").decode("ascii")


def _sections(items: Sequence[Item]) -> Iterator[tuple[Text, list[Item]]]:
    for section in dict.fromkeys(item.section for item in items):
        title = f"[{section}]" if section else "at the top"
        yield Text(title, style="bold cyan"), [item for item in items if item.section == section]


def _table(*headers: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=any(headers))
    for header in headers:
        table.add_column(Text(header, style="dim"))
    return table


def _wide(items: Sequence[Item], say: Say) -> Iterator[RenderableType]:
    table = _table("", "default", "set-up spread", "shot spread", "")
    for title, own in _sections(items):
        table.add_row(title)
        for item in own:
            declared = item.declaration
            cells = (default(declared), spread(declared, "setup"), spread(declared, "shot"))
            meaning = Text(_meaning(item), style="dim")
            table.add_row(Text(item.name, style="bold"), *(Text(say(c)) for c in cells), meaning)
        table.add_row("")
    yield table


def _narrow(items: Sequence[Item], width: int, say: Say) -> Iterator[RenderableType]:
    names = max(len(item.name) for item in items)
    for title, own in _sections(items):
        yield title
        for item in own:
            said = (default(item.declaration), *spreads(item.declaration))
            lines = _broken((say(text) for text in said), width - names - INDENT)
            value = f"\n{' ' * (names + INDENT)}".join(lines)
            yield Text.assemble((item.name.ljust(names + INDENT), "bold"), value)
            yield _indented(Text(_meaning(item), style="dim"))
        yield Text("")


def _broken(texts: Iterable[str], room: int) -> Iterator[str]:
    """Yield lines of texts between commas, broken only at the commas."""
    line = ""
    for text in texts:
        longer = f"{line}, {text}" if line else text
        if line and len(longer) > room:
            yield f"{line},"
            longer = text
        line = longer
    yield line


def _after_a_list(say: Say) -> Iterator[RenderableType]:
    for sentence in (
        f"{NOT_USED} has no part unless a study gives it; its spreads then hold. Set-up spreads are"
        f" drawn once, until the rig is touched again; shot spreads anew for each shot. {YOURS}",
        "Name a section, a key or a word to see all there is to say: jitter quantities valve,"
        " jitter quantities latency, jitter quantities drop",
    ):
        yield Text(say(sentence), style="dim")


def _meaning(item: Item) -> str:
    other = "" if item.sphere is None else f", or {item.sphere.key.rpartition('.')[2]}"
    return item.meaning + other


def _cards(items: Sequence[Item], width: int, say: Say) -> Iterator[RenderableType]:
    for title, own in _sections(items):
        yield title
        for item in own:
            yield from (_card(item, width, say), Text(""))
    yield from _parts(items, say)


def _parts(items: Sequence[Item], say: Say) -> Iterator[RenderableType]:
    """Yield how the parts of values are written, where some have any or it was asked."""
    if told := used_parts(items):
        yield Text("Parts, in braces", style="bold cyan")
        yield _grid([(Text(part, style="bold"), Text(text)) for part, text in told])
        for sentence in (SPREADS, NUMBERS, YOURS):
            yield from (Text(""), Text(say(sentence), style="dim"))


def _card(item: Item, width: int, say: Say) -> Group:
    declared = item.declaration
    symbol = "" if isinstance(declared, Choice | Heading) else declared.symbol
    shown = f"  {symbol}" if symbol and say(symbol) == symbol else ""
    head = Text.assemble((item.name, "bold"), (shown, "dim italic"))
    rows = [(Text(label, style="dim"), Text(say(text))) for label, text in facts(item)]
    room = width - INDENT - LABEL - 2
    for label, text in examples(item, room):
        rows.append((Text(label, style="dim"), Text(say(text), style="green")))
    return Group(head, _indented(Text(say(item.meaning))), _grid(rows))


def _grid(rows: Iterable[tuple[Text, Text]]) -> Padding:
    table = _table("", "")
    table.columns[0].min_width = LABEL
    for label, text in rows:
        table.add_row(label, text)
    return _indented(table)


def _indented(shown: RenderableType) -> Padding:
    return Padding(shown, (0, 0, 0, INDENT), expand=False)
