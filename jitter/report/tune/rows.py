"""The tables of `jitter tune`, and what was held fixed."""

from __future__ import annotations

from jitter.answers.effort import Net
from jitter.answers.hits import WAYS
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START
from jitter.report.effort import FALLEN_BACK, effort_words
from jitter.report.tune.words import (
    NAMES,
    WHICH,
    ends_words,
    setting_unit,
    shown_setting,
    slack_words,
)
from jitter.report.words import gained
from jitter.units.writing import write_percent, write_value


def setting_rows(answer: TuneAnswer) -> list[tuple[str, ...]]:
    """Return a row for each setting: its name, yours, best, slack as set, slack as trimmed."""
    rows = []
    for key in NAMES:
        if key not in answer.best.entries:
            continue
        slack = answer.slack.get(key)
        ends = [slack_words(slack[way], setting_unit(answer, key)) if slack else "" for way in WAYS]
        rows.append(
            (NAMES[key], shown_setting(answer.study, key), shown_setting(answer.best, key), *ends)
        )
    return rows


def keeper_rows(answer: TuneAnswer) -> list[tuple[str, ...]]:
    """Return a row for each way: yours, best, the gain and its interval."""
    rows = []
    for way in WAYS:
        gain = answer.gain[way]
        rates = (hits.rates[way].value for hits in (answer.own_hits, answer.best_hits))
        shown = gained(gain)
        rows.append((WHICH[way], *map(write_percent, rates), shown, ends_words(gain)))
    return rows


def start_rows(answer: TuneAnswer) -> list[tuple[str, ...]]:
    """Return a row for each start signal at its best: delay, interval, height, both hit rates."""
    rows = []
    for row in answer.starts:
        if START not in row.study.entries or len(answer.starts) == 1:
            continue
        settings = [shown_setting(row.study, key) for key in (START, DELAY, INTERVAL, HEIGHT)]
        rates = [write_percent(row.hits.rates[way].value) for way in WAYS]
        rows.append((*settings, *rates))
    return rows


def held(answer: TuneAnswer) -> tuple[str, ...]:
    """Say what was held fixed, how it was computed and how sure it is.

    Parameters
    ----------
    answer
        The answer.
    """
    best = answer.best_hits.rates[answer.way]
    points, why = isinstance(answer.effort, Net), f" ({FALLEN_BACK})" if answer.fell_back else ""
    parts, units = ("points", "sets of points") if points else ("set-ups", "set-ups")
    said = [
        f"Searched with {effort_words(answer.effort)}{why}, the same for all settings, judged"
        f" {WHICH[answer.way]}; the map and the first comparison of start signals rest on a quarter"
        f" of the {parts}. The rates and gains told here were worked out afresh, with"
        f" {effort_words(answer.fresh)}: {write_percent(best.value)} there,"
        f" {write_percent(answer.searched)} in the search. Intervals hold to 95 %, {units} being"
        " the independent units.",
        "The sensor's height was searched first, then interval and delay together. A setting of"
        " yours stays where no other gains a frame in 100, told afresh; sensor and interval also"
        " where another loses the other way of setting the delay, unless it gains two frames in 100"
        " more than it loses. Otherwise the middle of the plateau is told, not its highest point:"
        " it is the furthest from where it goes wrong. Everything else in the study was held"
        " fixed.",
    ]
    limits = answer.limits
    if HEIGHT in answer.free and limits.height is not None:
        low, high = (write_value(end, "m") for end in limits.height)
        whose = "as you said" if limits.reach_given else "our assumption: clear of jet and nozzle"
        said.append(f"The sensor was tried from {low} to {high} ({whose}; --reach says otherwise).")
    if INTERVAL in answer.free and limits.interval is not None:
        low, high = (write_value(round(end, 4), "s") for end in limits.interval)
        said.append(f"The interval was tried from {low} to {high}, where drop and jet meet.")
    said.append(
        "Slack is told with all other settings as they stand, not with several off at once;"
        ' beyond "anywhere", "up" and "up to" the setting was not tried.'
    )
    return tuple(said)
