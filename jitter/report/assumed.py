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
    """Return the table of every value as it was run, with its mark; those without a part folded.

    Parameters
    ----------
    study
        The rig.
    """
    rows, resting = [], []
    for key, entry in study.entries.items():
        about = f"{entry.declaration.meaning}. {bases(entry)}"
        if entry.idle or entry.nominal is None:
            resting.append((key, origin(entry), about))
            continue
        drift = write_drift(entry)
        value = write_entry(entry) + (f", {drift}" if drift else "")
        spreads = (write_level(entry, "setup"), write_level(entry, "shot"))
        rows.append((key, value, *spreads, origin(entry), about))
    headers = ("quantity", "value", "set-up spread", "shot spread", "whose", "what it is")
    return table(headers, rows, kind="assumed") + _folded(resting)


def _folded(resting: list[tuple[str, str, str]]) -> str:
    if not resting:
        return ""
    listed = table(("quantity", "whose", "what it is"), resting)
    return (
        f"<details><summary>{len(resting)} more values have no part in this study as it stands"
        f"</summary>{listed}</details>"
    )
