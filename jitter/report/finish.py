"""A page's last touches: the card it carries, and links to its tables as CSV."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from html import escape
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote

from jitter.answers.hits import WAYS
from jitter.report.beside import tables_folder
from jitter.report.card import Card, Rate, write_card
from jitter.report.html import CSV_PLACE, PAGE_END
from jitter.report.reading import PageTable, read_page
from jitter.report.sheets import sheet
from jitter.report.unbroken import unbroken
from jitter.report.values import write_drift, write_entry, write_level
from jitter.study.study import Entry, Study


class Finished(NamedTuple):
    """A page as it is written, and the tables beside it: CSV by file name."""

    html: str
    sheets: Mapping[str, str]


def finish(
    html: str,
    target: Path,
    *,
    question: str,
    answer: object,
    document: Mapping[str, Any],
    made: datetime,
) -> Finished:
    """Return a page with its card and with links to its tables, and those tables.

    Parameters
    ----------
    html
        The page as the report made it.
    target
        Where it goes; the links lead into the folder beside it.
    question, answer, document
        The folder of the report that made the page, from what, and the same for programs.
    made
        When, with its zone.
    """
    read = read_page(html)
    studies = studies_of(answer)
    card = Card(
        question=question,
        title=read.title,
        finding=" ".join(answering(question, read.findings)),
        made=made,
        digests=tuple(study.digest for study in studies),
        seed=studies[0].seed if studies else None,
        values=_values(studies[0]) if len(studies) == 1 else {},
        rates=rates_in(document),
    )
    linked = _linked(html, read.tables, tables_folder(target).name)
    return Finished(
        unbroken(linked).replace(PAGE_END, write_card(card) + PAGE_END),
        {f"{table.name}.csv": sheet(table) for table in read.tables},
    )


def answering(question: str, findings: tuple[str, ...]) -> tuple[str, ...]:
    """Return the findings that answer a question in short.

    Parameters
    ----------
    question
        The folder of the report that made the page.
    findings
        All that the page opens with.

    Examples
    --------
    >>> answering("require", ("As set, keep it within …", "Trimmed, any …", "It strays by …"))
    ('As set, keep it within …', 'Trimmed, any …')
    """
    # The ranking opens with the keepers, which every run tells.
    first, last = (1, 2) if question == "rank" and findings[1:] else (0, 2)
    return findings[first:last]


def studies_of(answer: object) -> tuple[Study, ...]:
    """Return the study that an answer is about, or those that it compares."""
    study = getattr(answer, "study", None)
    if isinstance(study, Study):
        return (study,)
    return tuple(one.study for one in getattr(answer, "contenders", ()))


def rates_in(document: Mapping[str, Any]) -> dict[str, Rate]:
    """Return the keepers of the study as it is by way, where a document tells them.

    Parameters
    ----------
    document
        For programs; in some the rates stand by themselves, in others among what a study's own
        settings give.
    """
    for held in (document.get("hit_rate"), document.get("own"), document):
        if isinstance(held, Mapping) and held.keys() >= set(WAYS):
            told = {way: held[way].get("hit_rate", held[way]) for way in WAYS}
            if all(one.keys() >= {"value", "low", "high"} for one in told.values()):
                return {
                    way: Rate(one["value"], one["low"], one["high"]) for way, one in told.items()
                }
    return {}


def _values(study: Study) -> dict[str, str]:
    return {key: _value(entry) for key, entry in study.entries.items()}


def _value(entry: Entry) -> str:
    """Return a value with everything that strays about it, as short as pages tell it."""
    levels = {"set-up": write_level(entry, "setup"), "shot": write_level(entry, "shot")}
    spreads = [f"{name} {said}" for name, said in levels.items() if said not in ("", "none")]
    return "; ".join(filter(None, (write_entry(entry), *spreads, write_drift(entry))))


def _linked(html: str, tables: tuple[PageTable, ...], folder: str) -> str:
    """Return a page with a link under each table; no text of a page holds a tag."""
    pieces = html.split(CSV_PLACE)
    parts = [pieces[0]]
    for table, piece in zip(tables, pieces[1:], strict=True):
        address = escape(f"{quote(folder)}/{table.name}.csv")
        label = f"this table as CSV: {table.name}"
        link = f'<p class="csv"><a href="{address}" aria-label="{label}">this table as CSV</a></p>'
        parts += [link, piece]
    return "".join(parts)
