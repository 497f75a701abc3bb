"""What `jitter show` says, for screen, page and document alike."""

from __future__ import annotations

import math

from jitter.answers.show.answer import Moment, ShowAnswer
from jitter.answers.show.numbers import BLUR, Number
from jitter.quantities import Mark
from jitter.stages.verdict import KEEPER, REASONS
from jitter.trial import single
from jitter.units.writing import write_difference, write_number, write_percent, write_value

LONGEST_BLUR = 1e-3
"""What is longer is a depth [m]."""


def understood(answer: ShowAnswer) -> tuple[str, ...]:
    """Return the plain sentences that open the answer.

    Parameters
    ----------
    answer
        The answer.
    """
    study, nominal = answer.study, answer.nominal
    entries = study.entries.values()
    given = sum(1 for entry in entries if entry.given)
    assumed = sum(
        1
        for entry in entries
        if not entry.given
        and entry.nominal is not None
        and entry.basis is not None
        and entry.basis.mark is Mark.ASSUMED
    )
    start = study.entries["timer.start"].nominal
    trigger = "the valve's own command" if start == "valve" else f"the {start} through the beam"
    stand = "value stands" if given == 1 else "values stand"
    said = [
        f"{given} {stand} in your file; {assumed} of the rest are assumptions of ours.",
        f"The timer is started by {trigger}, the light follows"
        f" {write_value(study.number('timer.delay'), 's')} later.",
    ]
    code = int(nominal["reason"].reshape(-1)[0])
    age = single(nominal, "age")
    low, high = study.window("keeper.age")
    wanted = f"{write_value(low, 's')} to {write_value(high, 's')}"
    if math.isnan(age):
        said.append(f"In the shot in which nothing strays there is {REASONS[code]}.")
    else:
        verdict = "a keeper" if code == KEEPER else f"no keeper: {REASONS[code]}"
        said.append(
            f"In the shot in which nothing strays the sheet's age at the light is"
            f" {write_value(age, 's')} (wanted: {wanted}): {verdict}."
        )
    return tuple(said)


def band() -> str:
    """Return what the bands mean."""
    return (
        "Bands and bars: nine in ten shots, over all set-ups, as set by ruler. Lines and ticks:"
        " the shot in which nothing strays."
    )


def moment_rows(answer: ShowAnswer) -> list[tuple[str, str, str, str, str]]:
    """Return the time line as rows: what, nominal, band, sd, share of the shots.

    Parameters
    ----------
    answer
        The answer.
    """
    return [
        (
            moment.what,
            write_value(moment.nominal, "s"),
            _ends(moment),
            write_difference(moment.sd, "s", digits=2) if moment.sd > 0.0 else "",
            write_percent(moment.share) if moment.share < 1.0 else "always",
        )
        for moment in answer.moments
    ]


def _ends(moment: Moment) -> str:
    if not moment.sd > 0.0:
        return ""
    digits = 1 if moment.high - moment.low > 5e-4 else 3
    return f"{1e3 * moment.low:.{digits}f} to {1e3 * moment.high:.{digits}f} ms"


def number_rows(answer: ShowAnswer) -> list[tuple[str, str, str, str]]:
    """Return the numbers as rows: group where it begins, name, symbol, value.

    Parameters
    ----------
    answer
        The answer.
    """
    rows, group = [], ""
    for number in answer.numbers:
        head = number.group if number.group != group else ""
        group = number.group
        rows.append((head, number.name, number.symbol, write_figure(number)))
    return rows


def write_figure(number: Number) -> str:
    """Write a number of the nominal shot with its unit."""
    if number.unit == "1":
        # Three digits of a thousand and more, too.
        return write_number(float(f"{number.value:.3g}"), 3)
    if number.unit == "m" and number.group == BLUR and number.value < LONGEST_BLUR:
        # All parts in one unit, so that they can be compared at a glance.
        return f"{write_number(1e6 * number.value, 3)} µm"
    return write_value(number.value, number.unit, digits=3)
