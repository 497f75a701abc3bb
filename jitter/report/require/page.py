"""The page of `jitter require`: one quantity, all of them, the cheapest combination."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from jitter import __version__
from jitter.answers.require.answer import Asked, RequireAnswer
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.every import RequireAllAnswer
from jitter.answers.require.remedies import Remedy
from jitter.draws.layout import Layout
from jitter.report.assumed import assumptions
from jitter.report.html import cautions, figure, page, paragraphs, section, table
from jitter.report.require.all_words import all_findings, all_rows
from jitter.report.require.cheapest_words import cheapest_findings, cheapest_rows, total_rows
from jitter.report.require.document import Answer
from jitter.report.require.figures import factors_figure, offset_figure, room_figure, spread_figure
from jitter.report.require.rows import requirement_rows
from jitter.report.require.sizes import write_offset, write_size
from jitter.report.require.words import (
    BOTH,
    HELD,
    findings,
    made_words,
    named,
    sides,
    told,
)
from jitter.report.sorting import RANKING
from jitter.report.words import interval, points
from jitter.units.writing import write_percent, write_spread

SURE = "sure to 95 %"
CHEAPEST_LAW = (
    "At the cheapest point every spread gives the same number of keepers for the last bit of money"
    " (optimality-criteria iteration at common points or draws). The combination was checked at"
    " eight times as many fresh ones, scaled to make up for the gap that was found, and the hit"
    " rate told is that at as many again, which had no part in it."
)


def require_page(answer: Answer) -> str:
    """Return the page of an answer: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        To any of the three questions.
    """
    if isinstance(answer, RequireAnswer):
        about, said = f"how precisely: {answer.subject.name}", findings(answer)
        body, method = _one(answer), _method(answer, *_curves_made(answer))
    elif isinstance(answer, RequireAllAnswer):
        about, said = "how precisely, everything", all_findings(answer)
        body, method = _every(answer), _method(answer)
    else:
        about, said = "the cheapest way", cheapest_findings(answer)
        body, method = _cheapest(answer), _method(answer, CHEAPEST_LAW)
    return page(
        heading=answer.study.title,
        about=about,
        findings=said,
        warnings=answer.warnings,
        body=[*body, section("What was assumed", assumptions(answer.study)), method, cautions()],
    )


def _one(answer: RequireAnswer) -> list[str]:
    if not answer.ways:
        return []
    subject = answer.subject
    sections = [
        section(
            "Keepers against the spread",
            figure(spread_figure(answer))
            + table(("", *named(answer.ways)), requirement_rows(answer), kind="figures"),
        )
    ]
    offsets = offset_figure(answer)
    if offsets:
        sections.append(section("Keepers against a steady error", figure(offsets)))
    sections += _what_else(answer.remedies, answer.ways)
    told_sizes = [write_size(subject, size) for size in answer.spread.curve.sizes.tolist()]
    curves = "<h3>spread</h3>" + _curve(answer.spread, told_sizes, answer.ways)
    for words, sign, side in sides(answer):
        off = [sign * size for size in side.curve.sizes.tolist()]
        told_sizes = [write_offset(subject, one).removeprefix("-") for one in off]
        curves += f"<h3>too {words} by</h3>" + _curve(side, told_sizes, answer.ways)
    return [*sections, section("The curves", curves)]


def _curves_made(answer: RequireAnswer) -> tuple[str, ...]:
    return (
        "The same points or draws serve every size; from one size to the next runs a cubic that"
        " turns nowhere. Where no rise of the hit rate is clear, the curve was made to fall"
        " (isotonic regression); where one is, it stands as it was found; the limit is the end of"
        " the first stretch of sizes that reaches the target. The interval of a limit"
        " runs from where the lower band of the hit rate crosses the target to where the upper one"
        " does; the limit is rounded down.",
        f"Spreads were looked at up to {write_size(answer.subject, answer.subject.most)}; further"
        " only where the target was still reached, and never beyond what the quantity can be in"
        " this rig.",
    )


def _curve(asked: Asked, sizes: list[str], ways: Sequence[str]) -> str:
    rows = []
    for place in told(asked.curve):
        cells = []
        for way in ways:
            rate = asked.curve.rates[way][place]
            cells += [write_percent(rate.value), interval(rate)]
        rows.append((sizes[place], *cells))
    headers = [header for name in named(ways) for header in (name, SURE)]
    return table(("size", *headers), rows, kind="figures")


def _what_else(found: Mapping[str, tuple[Remedy, ...]], ways: Sequence[str]) -> list[str]:
    return [
        section(f"What else must shrink, {BOTH[way]}", _remedies(found[way]))
        for way in ways
        if found.get(way)
    ]


def _remedies(found: tuple[Remedy, ...]) -> str:
    rows = [
        (
            " and ".join(one.source.keys),
            one.source.level.value.replace("setup", "set-up"),
            write_spread(one.source.spread, one.source.unit),
            points(one.gain),
            write_percent(one.together.value),
            interval(one.together),
        )
        for one in found
    ]
    headers = ("quantity", "level", "spread", "points if removed", "with those above", SURE)
    return table(headers, rows, kind="figures")


def _every(answer: RequireAllAnswer) -> list[str]:
    rows, rest = all_rows(answer)
    if not rows:
        return [section("Required of each spread alone", paragraphs((f"{rest}.",)))] if rest else []
    drawn = room_figure(answer)
    note = [
        "Each row: the largest spread of that one source that reaches the target, all others as"
        " they are."
    ]
    if any(cell.startswith("at best ") for row in rows for cell in row):
        note.append("at best: the highest hit rate that it alone can bring.")
    return [
        section(
            "Required of each spread alone",
            (figure(drawn) if drawn else "")
            + paragraphs(note)
            + table(("quantity", "level", "now", *named(answer.ways)), rows, kind=RANKING)
            + (paragraphs((f"{rest}.",)) if rest else ""),
        ),
    ]


def _cheapest(answer: CheapestAnswer) -> list[str]:
    names = named(answer.ways)
    prices = [
        (
            " and ".join(price.source.keys),
            price.source.level.value.replace("setup", "set-up"),
            write_spread(price.source.spread, price.source.unit),
            f"{price.cost:g}",
            "inverse" if price.power == 1.0 else "inverse square",
        )
        for price in answer.prices
    ]
    costs = section(
        "The prices",
        table(("quantity", "level", "now", "costs now", "law"), prices, kind=RANKING),
    )
    if not names:
        return [costs]
    drawn = factors_figure(answer)
    return [
        section(
            "The cheapest spreads",
            (figure(drawn) if drawn else "")
            + table(("quantity", "level", "now", *names), cheapest_rows(answer), kind=RANKING),
        ),
        section("Together", table(("", *names), total_rows(answer), kind="figures")),
        costs,
        *_what_else(answer.remedies, answer.ways),
    ]


def _method(answer: Answer, *more: str) -> str:
    said = made_words(answer.study, answer.effort, fell_back=answer.fell_back)
    units = "set-ups" if isinstance(answer.effort, Layout) else "sets of points"
    made = f"jitter {__version__}: {said}, {units} being independent units."
    return section("How it was computed", paragraphs((made, HELD, *more)))
