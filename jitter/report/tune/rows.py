"""The tables of `jitter tune`, and what was held fixed."""

from __future__ import annotations

from jitter.answers.hits import WAYS
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START
from jitter.report.tune.words import (
    NAMES,
    WHICH,
    ends_words,
    setting_unit,
    shown_setting,
    slack_words,
)
from jitter.report.words import points
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
        shown = points(gain) if gain.clear else "~0"
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
    layout, fresh, best = answer.layout, answer.fresh, answer.best_hits.rates[answer.way]
    said = [
        f"Searched on {layout.setups} set-ups of {layout.shots} shots, seed {layout.seed}, all"
        f" settings on the same draws, judged {WHICH[answer.way]}; start signals were first"
        " compared on a quarter of the set-ups. The rates and gains told here come from"
        f" {fresh.setups} set-ups of {fresh.shots} shots on fresh draws, seed {fresh.seed}:"
        f" {write_percent(best.value)} there, {write_percent(answer.searched)} in the search."
        " Intervals hold to 95 %, set-ups being the independent units.",
        "Interval, sensor height and delay were searched one after the other, the interval twice."
        " A setting of yours stays where no other gains a frame in 100; otherwise the middle of"
        " the plateau is told, not its highest point, which luck decides. Everything else in the"
        " study was held fixed.",
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
