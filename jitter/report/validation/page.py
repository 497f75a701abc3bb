"""The validation as a page: what does not agree first, then every stage, value by value."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from itertools import groupby

from jitter import __version__
from jitter.report.html import cautions, contents, figure, page, paragraphs, section, table
from jitter.report.validation.figures import (
    durations_figure,
    froude_figure,
    likeness_figure,
    strains_figure,
    terminal_figure,
    tip_figure,
    viscosity_figure,
    wobble_figure,
)
from jitter.report.validation.words import (
    findings,
    root_mean_square,
    summary,
    write_check,
    write_claim,
    write_deviation,
)
from jitter.units.writing import write_percent
from jitter.validation.checks import UNSTATED, WHOLE_SHOT, Check, Doubt, Known, worst
from jitter.validation.propagation import paired, propagated
from jitter.validation.rig import STARTS
from jitter.validation.validate import Validation

LONG = 12
"""Series with more rows than this are folded away."""
FIGURES: dict[str, tuple[Callable[[], str], ...]] = {
    "liquid": (viscosity_figure,),
    "fall": (terminal_figure,),
    "wobble": (wobble_figure,),
    "jet": (tip_figure, froude_figure),
    "flash": (durations_figure,),
    WHOLE_SHOT: (likeness_figure,),
}
RECKONED = (Known.CLOSED_FORM, Known.PROGRAM)
HEADERS = ("", "jitter", "outside", "deviation", "allowed")


def validation_page(found: Validation) -> str:
    """Return the page of the answer to `jitter validate`: HTML that needs no network, no script.

    Parameters
    ----------
    found
        The answer.
    """
    by_stage = {
        stage: list(series)
        for stage, series in groupby(found.series.items(), key=lambda item: item[1][0].stage)
    }
    links = [(_name(stage), stage) for stage in by_stage]
    method = (
        f"jitter {__version__}. Every value of jitter's is computed for this page by the code that"
        " fires the shots, on the default rig where nothing else is said, with seed 1 where it is"
        " simulated. 'Allowed' is what we claim, and why stands beside it; a value agrees if its"
        " deviation is no larger.",
        "Marks: published (read in the source), read in the abstract or second-hand where we could"
        " not reach it, reference library (name and version), closed form (derived in view), a"
        " second program (same equations, other code and other numerical method), common practice,"
        " from memory. A fit cannot be tested by the values it was fitted to; where that is so, it"
        " is said.",
    )
    return page(
        heading="jitter held against the outside",
        about="validation",
        findings=findings(found),
        warnings=(),
        body=[
            contents([("apart", "what does not agree"), *links]),
            section("At a glance", figure(strains_figure(found))),
            section(
                "What does not agree, or cannot be checked",
                _doubts(found.doubts) + _apart(found),
                name="apart",
            ),
            *(
                section(stage.capitalize(), _stage(stage, series), name=_name(stage))
                for stage, series in by_stage.items()
            ),
            section("How it was computed", paragraphs(method)),
            cautions(),
        ],
    )


def _name(stage: str) -> str:
    return stage.replace(" ", "-")


def _apart(found: Validation) -> str:
    rows = []
    for series in found.apart:
        checks = found.series[series]
        notes = " ".join(dict.fromkeys(check.note for check in checks if check.note))
        rows.append((series, checks[0].stage, write_deviation(worst(checks)), notes))
    note = paragraphs(["Series in which a value lies further off than is claimed:"])
    return note + table(("", "where", "largest", "why"), rows)


def _doubts(doubts: Sequence[Doubt]) -> str:
    return "".join(
        f"<h3>{escape(doubt.what)}</h3>"
        f'<p class="source">{escape(doubt.stage)}: {escape(doubt.size)}</p>'
        f"{paragraphs([f'{doubt.why} {doubt.effect}'])}"
        for doubt in doubts
    )


def _stage(stage: str, series: Sequence[tuple[str, tuple[Check, ...]]]) -> str:
    drawn = "".join(figure(draw()) for draw in FIGURES.get(stage, ()))
    tables = "".join(_series(name, rows) for name, rows in series)
    return drawn + tables + (_likeness() if stage == WHOLE_SHOT else "")


def _series(name: str, rows: tuple[Check, ...]) -> str:
    sources = dict.fromkeys((row.source, row.known, row.uncertainty) for row in rows)
    told = "; ".join(f"{source} ({known})" for source, known, _ in sources)
    # Reckoning has no uncertainty to state.
    doubts = dict.fromkeys(
        doubt for _, known, doubt in sources if known not in RECKONED or doubt != UNSTATED
    )
    doubt = f" Uncertainty: {' / '.join(doubts)}." if doubts else ""
    notes = " ".join(dict.fromkeys(row.note for row in rows if row.note))
    good = all(row.agrees for row in rows)
    listed = table(HEADERS, [_row(row) for row in rows], kind="figures")
    if len(rows) > LONG:
        spread = root_mean_square(rows)
        mean = f", root mean square {write_percent(spread)}" if rows[0].claim.relative else ""
        listed = (
            f"<details><summary>All {len(rows)} values{escape(mean)}</summary>{listed}</details>"
        )
    said = f"{summary(rows)}."
    return (
        f"<h3>{escape(name)}</h3>"
        f'<p class="{"verdict" if good else "apart"}">{escape(said[0].upper() + said[1:])}</p>'
        f'<p class="source">{escape(told)}.{escape(doubt)}</p>'
        f"{paragraphs([notes]) if notes else ''}{listed}"
    )


def _row(check: Check) -> tuple[str, ...]:
    return (
        check.what,
        write_check(check, check.ours),
        write_check(check, check.theirs),
        write_deviation(check) + ("" if check.agrees else " (apart)"),
        write_claim(check.claim, check.unit),
    )


def _likeness() -> str:
    """Return the table of what likeness does, quantity by quantity."""
    keys = list(dict.fromkeys(key for start in STARTS for key in paired(start)))
    rows = [("none", *(_spread(start, 0.0) for start in STARTS))]
    rows += [(key, *(_spread(start, 1.0, key) for start in STARTS)) for key in keys]
    rows.append(("all of them", *(_spread(start, 1.0) for start in STARTS)))
    headers = ("fully alike", *(f"started by the {start}" for start in STARTS))
    note = (
        "Standard deviation of the age from shot to shot if the two drops' errors of one quantity"
        " are fully alike and those of all others not, by the law of propagation."
    )
    return f"<h3>likeness, quantity by quantity</h3>{paragraphs([note])}" + table(
        headers, rows, kind="figures"
    )


def _spread(start: str, alike: float, only: str = "") -> str:
    return f"{1e3 * propagated(start, alike, only=only):.2f} ms"
