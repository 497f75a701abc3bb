"""The page of `jitter quantities`: everything a study may say, section by section."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from jitter import __version__
from jitter.answers.reference.examples import example_study
from jitter.answers.reference.items import Heading, Item
from jitter.quantities import Choice
from jitter.report.html import cautions, page, paragraphs, scrolling, section, table
from jitter.report.reference.words import (
    NUMBERS,
    SPREADS,
    YOURS,
    examples,
    facts,
    used_parts,
)

TOP = "the top of the file"

_COLUMNS = '<colgroup><col style="width: 6.5rem"><col></colgroup>'
"""The labels, then as much as there is."""


def reference_page(items: Sequence[Item]) -> str:
    """Return the page of the answer to `jitter quantities`: HTML without network or script.

    Parameters
    ----------
    items
        What to tell, section by section.
    """
    sections: dict[str, list[Item]] = {}
    for item in items:
        sections.setdefault(item.section, []).append(item)
    made = f"jitter {__version__}, from the declarations that the program itself reads."
    return page(
        heading="What a study may say",
        about="the reference of every value",
        findings=(
            f"{len(items)} value{'s' * (len(items) > 1)}: what each is, its default and spreads,"
            " what it may be, what that rests on, and how to write it."
            if items
            else "How the parts of any value are written.",
            "What your study leaves out takes the default. Measure what is marked as an assumption"
            " first.",
        ),
        warnings=(),
        body=[
            *([section("Where to find it", _contents(sections))] if items else []),
            section("How to write it", _writing(items)),
            *(_section(name, own) for name, own in sections.items()),
            section("How it was made", paragraphs((made, YOURS))),
            cautions(),
        ],
    )


def _contents(sections: dict[str, list[Item]]) -> str:
    """Return a line of links to each section."""
    rows = []
    for name, own in sections.items():
        links = ", ".join(f'<a href="#{escape(item.key)}">{escape(item.name)}</a>' for item in own)
        rows.append(f"<p><strong>{escape(name or TOP)}</strong>: {links}</p>")
    return "".join(rows)


def _writing(items: Sequence[Item]) -> str:
    """Return how values, numbers and spreads are written, with the value of most parts."""
    shown = paragraphs((NUMBERS,))
    if items:
        sample = max(items, key=lambda item: len(item.lines[-1].parts))
        study = _code(example_study(sample.lines))
        shown = f"<p>A study that says one thing only:</p>{study}{shown}"
    if told := used_parts(items):
        shown += table(("part", "in braces"), told) + paragraphs((SPREADS,))
    return shown


def _code(text: str) -> str:
    return f"<code>{'<br>'.join(escape(line) for line in text.splitlines())}</code>"


def _section(name: str, items: Sequence[Item]) -> str:
    title = f"[{name}]" if name else TOP[0].upper() + TOP[1:]
    groups = "\n".join(_group(item) for item in items)
    listed = scrolling(f"<table>{_COLUMNS}{groups}</table>", about=f"values of {title}")
    return section(title, listed)


def _group(item: Item) -> str:
    """Return the rows about one value."""
    rows = [
        f'<tr id="{escape(item.key)}" class="band"><th colspan="2" scope="rowgroup">'
        f"<strong>{escape(item.name)}</strong> {_symbol(item)}<br>{escape(item.meaning)}</th></tr>"
    ]
    for label, text in facts(item):
        lines = "<br>".join(escape(line) for line in text.splitlines())
        rows.append(f'<tr><th scope="row">{escape(label)}</th><td>{lines}</td></tr>')
    for label, text in examples(item):
        rows.append(f'<tr><th scope="row">{escape(label)}</th><td>{_code(text)}</td></tr>')
    return f"<tbody>{''.join(rows)}</tbody>"


def _symbol(item: Item) -> str:
    """Return the symbol of the equations, what follows its underscore set low."""
    if isinstance(item.declaration, Choice | Heading):
        return ""
    letter, mark, low = item.declaration.symbol.partition("_")
    return f"<i>{escape(letter)}{f'<sub>{escape(low)}</sub>' if mark else ''}</i>"
