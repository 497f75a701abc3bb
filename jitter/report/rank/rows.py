"""The rows of the uncertainty budget, as screen and page write them."""

from __future__ import annotations

import math
from typing import NamedTuple

from jitter.answers.rank.budget import Budget, Line
from jitter.quantities import Shape
from jitter.units.writing import write_difference, write_number, write_percent, write_spread

DROPS = ("first drop", "second drop")
AXES = ("across the view", "towards the camera")
DISTRIBUTIONS = {
    Shape.NORMAL: "normal",
    Shape.RECTANGULAR: "rectangular",
    Shape.TRIANGULAR: "triangular",
    Shape.ARCSINE: "arcsine",
    Shape.LOGNORMAL: "lognormal",
    Shape.TRUNCATED: "truncated normal",
    Shape.TICK: "rectangular from 0",
}
SHOWN = 0.0005
"""Share of the variance from which a line is written; the rest is summed up."""


class BudgetRow(NamedTuple):
    """A line of the budget in words."""

    source: str
    level: str
    spread: str
    distribution: str
    uncertainty: str
    coefficient: str
    contribution: str
    share: str
    freedom: str


HEADERS = BudgetRow(
    "source",
    "level",
    "spread",
    "distribution",
    "standard uncertainty",
    "sensitivity coefficient",
    "contribution",
    "share of variance",
    "degrees of freedom",
)


def line_name(line: Line) -> str:
    """Return the name of a budget's line: quantity, drop, direction."""
    first, *others = line.source.keys
    parts = [" and ".join([first, *(key.split(".")[1] for key in others)])]
    if line.place.drop >= 0:
        parts.append(DROPS[line.place.drop])
    if line.place.axis >= 0:
        parts.append(AXES[line.place.axis])
    return ", ".join(parts)


def coefficient(line: Line) -> tuple[float, str]:
    """Return a sensitivity coefficient and its unit, milliseconds per the unit of the uncertainty.

    Parameters
    ----------
    line
        Of the budget.
    """
    written = write_difference(line.uncertainty, line.source.unit, digits=12)
    number, _, unit = written.partition(" ")
    size = float(number)
    value = 1e3 * line.effect / size if size > 0.0 else math.nan
    if not unit:
        return value, "ms"
    return value, f"ms/({unit})" if " " in unit or "/" in unit else f"ms/{unit}"


def freedom_words(freedom: float, *, blocks: bool = True) -> str:
    """Write degrees of freedom, cut to a whole number."""
    if math.isnan(freedom):
        return "none"
    if math.isinf(freedom):
        return "∞" if blocks else "infinite"
    return f"{math.floor(freedom)}"


def budget_rows(budget: Budget, *, blocks: bool = True) -> list[BudgetRow]:
    """Return the budget's lines of weight and, in the last, what all others add.

    Parameters
    ----------
    budget
        Of an age that there is.
    blocks
        Whether more than plain characters can be shown.
    """
    rows: list[BudgetRow] = []
    smaller, rest, fair = 0, 0.0, 0.0
    for line in budget.lines:
        share = budget.share(line.fair)
        if share < SHOWN:
            smaller, rest, fair = smaller + 1, rest + line.effect**2, fair + line.fair
            continue
        value, unit = coefficient(line)
        rows.append(
            BudgetRow(
                line_name(line),
                line.source.level.value.replace("setup", "set-up"),
                write_spread(line.source.spread, line.source.unit),
                DISTRIBUTIONS[line.source.spread.shape],
                write_difference(line.uncertainty, line.source.unit),
                f"{write_number(value)} {unit}",
                f"{write_number(abs(1e3 * line.effect))} ms",
                write_percent(share),
                freedom_words(line.freedom, blocks=blocks),
            )
        )
    rows.extend(
        _sum_row(
            f"{' and '.join(one.keys)} alike: {100.0 * budget.share(one.variance):+.0f} %",
            share="",
        )
        for one in budget.likenesses
    )
    if smaller:
        words = f"{smaller} more, each under {100.0 * SHOWN:g} %"
        size = f"{write_number(1e3 * math.sqrt(rest))} ms"
        rows.append(_sum_row(words, contribution=size, share=write_percent(budget.share(fair))))
    return rows


def _sum_row(source: str, *, share: str, contribution: str = "") -> BudgetRow:
    return BudgetRow(source, "", "", "", "", "", contribution, share, "")
