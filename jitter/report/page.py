"""An answer as a self-contained page: finding, pictures, tables, assumptions, method, cautions."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape

from jitter import __version__
from jitter.answers.run import RunAnswer
from jitter.quantities import Choice, Quantity, Shape
from jitter.report.figures import ages_figure, ranking_figure, reasons_figure
from jitter.report.page_style import STYLE
from jitter.report.safety import CAUTIONS
from jitter.report.target import STAMP
from jitter.report.timeline import moments, timeline_figure
from jitter.report.words import UNCLEAR, findings, interval, points
from jitter.study.study import Entry
from jitter.units.writing import write_difference, write_percent, write_spread, write_value


def run_page(answer: RunAnswer) -> str:
    """Return the page of the answer to `jitter run`: HTML that needs no network and no script.

    Parameters
    ----------
    answer
        The answer.
    """
    study = answer.study
    title = " ".join(study.title.split()) or "Untitled"
    parts = [
        "<!doctype html>",
        f'<html lang="en"><head><meta charset="utf-8">{STAMP}',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title[:200])}: keepers and misses</title><style>{STYLE}</style></head>",
        f'<body><main><h1 dir="auto">{escape(title)}</h1>',
        *(f'<p class="finding">{escape(sentence)}</p>' for sentence in findings(answer)),
        *(f'<p class="warning"><strong>Warning.</strong> {escape(w)}</p>' for w in answer.warnings),
        _section("Keepers", _keepers(answer)),
        _section("Why the rest miss", _figure(reasons_figure(answer)) + _reasons(answer)),
        _section("The age against the window", _figure(ages_figure(answer))),
        _section("What costs most", _figure(ranking_figure(answer)) + _ranking(answer)),
        _section(
            "One shot in which nothing strays", _figure(timeline_figure(answer)) + _times(answer)
        ),
        _section("What was assumed", _assumptions(answer)),
        _section("How it was computed", _method(answer)),
        _section("Working safely", _cautions()),
        "</main></body></html>\n",
    ]
    return "\n".join(parts)


def _section(title: str, content: str) -> str:
    return f"<section><h2>{escape(title)}</h2>{content}</section>"


def _figure(svg: str) -> str:
    return f"<figure>{svg}</figure>"


def _table(headers: Iterable[str], rows: Iterable[Iterable[str]], *, kind: str = "") -> str:
    """Return a table of a kind that the style knows; the first cell of a row is its heading."""
    head = "".join(f'<th scope="col">{escape(header)}</th>' for header in headers)
    body = []
    for row in rows:
        first, *rest = row
        cells = "".join(f"<td>{escape(cell)}</td>" for cell in rest)
        body.append(f'<tr><th scope="row">{escape(first)}</th>{cells}</tr>')
    joined = "\n".join(body)
    return (
        f'<div class="scroll"><table class="{kind}"><thead><tr>{head}</tr></thead>'
        f"<tbody>{joined}</tbody></table></div>"
    )


def _keepers(answer: RunAnswer) -> str:
    ways = (answer.as_set, answer.as_trimmed)

    def time(seconds: float) -> str:
        return "none" if math.isnan(seconds) else write_difference(seconds, "s")

    rows = [
        ("share of frames", *(write_percent(way.hit_rate.value) for way in ways)),
        ("sure to 95 %", *(interval(way.hit_rate) for way in ways)),
        ("a bad set-up, one in ten", *(write_percent(way.by_setup.p10) for way in ways)),
        ("a middling set-up", *(write_percent(way.by_setup.p50) for way in ways)),
        ("a good set-up, one in ten", *(write_percent(way.by_setup.p90) for way in ways)),
        ("age, mean", *(time(way.ages.mean) for way in ways)),
        ("age, sd from set-up to set-up", *(time(way.ages.setup) for way in ways)),
        ("age, sd from shot to shot", *(time(way.ages.shot) for way in ways)),
    ]
    return _table(("", "as set by ruler", "after trimming"), rows)


def _reasons(answer: RunAnswer) -> str:
    rows = [
        (
            reason,
            write_percent(share.value, digits=2),
            interval(share, digits=2),
            write_percent(answer.as_trimmed.reasons[reason].value, digits=2),
            interval(answer.as_trimmed.reasons[reason], digits=2),
        )
        for reason, share in answer.as_set.reasons.items()
    ]
    headers = ("reason", "as set", "sure to 95 %", "trimmed", "sure to 95 %")
    note = "<p>A frame with several reasons counts under the first of them, in the order below.</p>"
    return note + _table(headers, rows, kind="figures")


def _ranking(answer: RunAnswer) -> str:
    rows = []
    for rank in answer.ranking:
        source = rank.source
        share = "" if math.isnan(rank.age_share) else write_percent(rank.age_share)
        gains = [
            getattr(way, name)
            for way in (rank.as_set, rank.as_trimmed)
            for name in ("removed", "halved")
        ]
        rows.append(
            (
                " and ".join(source.keys),
                source.level.value.replace("setup", "set-up"),
                write_spread(source.spread, source.unit),
                *(points(gain) if gain.clear else "≈ 0" for gain in gains),
                share,
            )
        )
    headers = (
        "quantity",
        "level",
        "spread",
        "removed, as set",
        "halved, as set",
        "removed, trimmed",
        "halved, trimmed",
        "share of the age",
    )
    note = (
        "<p>Percentage points that the hit rate gains if a spread is removed or halved, on the same"
        f" draws; ≈ 0: {UNCLEAR}. A loss is real: such a spread brings frames into the window that"
        " would miss it otherwise.</p>"
    )
    return note + _table(headers, rows, kind="figures")


def _times(answer: RunAnswer) -> str:
    rows = [(what, write_value(when, "s")) for what, when in moments(answer.nominal)]
    return _table(("", "after the first valve command"), rows)


def _assumptions(answer: RunAnswer) -> str:
    rows = [_assumption(key, entry) for key, entry in answer.study.entries.items()]
    headers = ("quantity", "value", "set-up spread", "shot spread", "what it is, and its basis")
    return _table(headers, rows)


def _assumption(key: str, entry: Entry) -> tuple[str, ...]:
    declared, nominal = entry.declaration, entry.nominal
    unit = "" if isinstance(declared, Choice) else declared.unit
    if nominal is None:
        value = "from the liquid"
    elif isinstance(nominal, str):
        value = nominal
    elif isinstance(nominal, tuple):
        value = " to ".join(write_value(end, unit) for end in nominal)
    else:
        value = write_value(nominal, unit)
    spreads = ("", "")
    if isinstance(declared, Quantity) and declared.strays:
        spreads = (write_spread(entry.setup, unit), write_spread(entry.shot, unit))
    said = []
    for name, basis, shown in (
        ("value", entry.basis, True),
        ("set-up", entry.setup_basis, entry.setup.shape is not Shape.NONE),
        ("shot", entry.shot_basis, entry.shot.shape is not Shape.NONE),
    ):
        if basis is not None and shown:
            said.append(f"{name}: {basis.mark}{', ' + basis.source if basis.source else ''}")
    return (key, value, *spreads, f"{declared.meaning}. {'; '.join(said)}")


def _method(answer: RunAnswer) -> str:
    layout = answer.layout
    sentences = (
        f"jitter {__version__}, study {answer.study.digest}, seed {layout.seed}: {layout.setups}"
        f" set-ups of {layout.shots} shots each, every one fired twice on the same draws, with the"
        " delay as set by ruler and with the delay trimmed.",
        "Intervals hold to 95 % and take set-ups as the independent units: shots of one set-up"
        " share its errors. The hit rates of bad and good set-ups are freed of the noise of finite"
        " shots.",
        f"The ranking fires the first {answer.ranked_setups} set-ups again with one spread removed"
        " or halved and all draws kept. At 95 %, one row in twenty may look clear by luck.",
        "The share of the age's variance is the mean square by which removing the spread moves the"
        " age, over the age's variance.",
    )
    return "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences)


def _cautions() -> str:
    return "<ul>" + "".join(f"<li>{escape(caution)}</li>" for caution in CAUTIONS) + "</ul>"
