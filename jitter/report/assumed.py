"""The tables that every page about a study shares: the shot's moments, and what was assumed."""

from __future__ import annotations

from jitter.answers.show.moments import happenings
from jitter.report.html import table
from jitter.report.values import bases, origin, write_drift, write_entry, write_level
from jitter.stage import Events
from jitter.study.study import Study
from jitter.units.writing import write_value


def times(study: Study, nominal: Events) -> str:
    """Return the table of the moments of the shot in which nothing strays.

    Parameters
    ----------
    study
        The rig.
    nominal
        The shot's events.
    """
    rows = [(what, write_value(when, "s")) for what, _, when in happenings(study, nominal)]
    return table(("", "after the first valve command"), rows)


def assumptions(study: Study) -> str:
    """Return the table of every value as it was run, with its mark.

    Parameters
    ----------
    study
        The rig.
    """
    rows = []
    for key, entry in study.entries.items():
        drift = write_drift(entry)
        value = write_entry(entry) + (f", {drift}" if drift else "")
        spreads = (write_level(entry, "setup"), write_level(entry, "shot"))
        about = f"{entry.declaration.meaning}. {bases(entry)}"
        rows.append((key, value, *spreads, origin(entry), about))
    headers = ("quantity", "value", "set-up spread", "shot spread", "whose", "what it is")
    return table(headers, rows)
