"""What `jitter tune` found, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.answers.tune.answer import TuneAnswer
from jitter.answers.tune.changes import Change, loses, other_way
from jitter.answers.tune.delays import DELAY
from jitter.answers.tune.limits import HEIGHT, INTERVAL, START, WHOLE_LIFE
from jitter.answers.tune.plateau import SLIGHT, Slack, slight
from jitter.answers.tune.settings import STEPS, has_part
from jitter.quantities import Quantity
from jitter.report.words import UNCLEAR, points, share_words
from jitter.study.study import Nominal, Study
from jitter.units.writing import write_difference, write_percent, write_value

NAMES = {
    START: "start signal",
    HEIGHT: "sensor height",
    INTERVAL: "interval",
    DELAY: "delay",
}
WHICH = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}


def write_setting(study: Study, key: str, value: Nominal) -> str:
    """Write a setting in its unit; a dash where it has no part."""
    declared = study.entries[key].declaration
    if isinstance(declared, Quantity) and isinstance(value, int | float):
        return write_value(float(value), declared.unit)
    return "–" if value is None else str(value)


def shown_setting(study: Study, key: str) -> str:
    """Write the setting that a rig has; a dash where it has no part in it."""
    return write_setting(study, key, study.entries[key].nominal if has_part(study, key) else None)


def slack_words(slack: Slack, unit: str) -> str:
    """Say from where to where a setting may go; an end beyond which none was tried is left open.

    Examples
    --------
    >>> from jitter.answers.tune.plateau import End
    >>> slack_words(Slack(End(0.2905, open=False), End(0.298, open=False)), "s")
    '290.5 to 298 ms'
    >>> slack_words(Slack(End(0.05, open=True), End(0.55, open=True)), "m")
    'anywhere from 50 to 550 mm'
    """
    # A tenth of a millisecond or millimetre is as fine as the ends are known.
    low, high = (write_value(round(end.value, 4), unit) for end in (slack.low, slack.high))
    if slack.low.open and not slack.high.open:
        return f"up to {high}"
    if slack.high.open and not slack.low.open:
        return f"from {low} up"
    if low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    return f"{'anywhere from ' if slack.low.open else ''}{low} to {high}"


def gain_words(gain: Estimate) -> str:
    """Say a gain of keepers in a hundred frames with its interval, or that there is none."""
    if not gain.clear:
        return f"a change {UNCLEAR}"
    return f"{points(gain)} keepers in 100 (95 %: {ends_words(gain)})"


def ends_words(gain: Estimate) -> str:
    """Say the interval of a gain in percentage points, of a small one with more digits."""
    low, high = 100 * gain.low, 100 * gain.high
    digits = 1 if max(-low, high) >= 0.5 else 3
    return f"{low:+.{digits}f} to {high:+.{digits}f}"


def change_words(answer: TuneAnswer, change: Change) -> str:
    """Say one change and what it is worth."""
    name, best = NAMES[change.key], write_setting(answer.best, change.key, change.best)
    own = write_setting(answer.study, change.key, change.own)
    yours = "" if change.own is None else f" (yours: {own})"
    said = f"Set the {name} to {best}{yours}"
    if change.key == START:
        said = f"Start the timer by the {best}{yours}"
    if change.worth is None:
        return f"{said}, which goes with the rest."
    gains = [
        f"{points(gain)} keepers in 100" if gain.clear else UNCLEAR
        for gain in (change.worth[way] for way in WAYS)
    ]
    only = ""
    if loses(change, other_way(answer.way)):
        only = f"; worth it only if you {'never' if answer.way == 'as_set' else 'always'} trim"
    return f"{said}: {gains[0]} as set by ruler, {gains[1]} after trimming{only}."


def withheld_words(answer: TuneAnswer, change: Change) -> str:
    """Say why a setting stays as it is though another was found."""
    own, best = (
        write_setting(answer.study, change.key, each) for each in (change.own, change.best)
    )
    said = f"Leave the {NAMES[change.key]} ({own}): {best} brought"
    if change.worth is None:
        raise ValueError("what only follows the others is not withheld")
    other = other_way(answer.way)
    judged, trade = change.worth[answer.way], change.worth[other]
    brought = points(judged) if judged.clear else f"a change {UNCLEAR}"
    if slight(judged):
        return f"{said} {brought} in 100 {WHICH[answer.way]}, less than one frame."
    return f"{said} {brought} in 100 {WHICH[answer.way]}, but {points(trade)} {WHICH[other]}."


def findings(answer: TuneAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first.

    Parameters
    ----------
    answer
        The answer.
    """
    if answer.lost_to is not None:
        return (_hopeless(answer.lost_to), ROBUST)
    said = [*_advice(answer), *_rest(answer), *_slack(answer), *_phase(answer), *_other(answer)]
    return (*said, ROBUST)


ROBUST = (
    "Every rate is the mean over set-ups with all their errors: what is best here is best for rigs"
    " set up as this study says, not the sharp best of a perfect one."
)


def _hopeless(reason: str) -> str:
    return (
        "Nothing that may be changed here gives a single keeper. Most of your frames miss because"
        f" of: {reason}. Leave fewer settings out, or look at what jitter run says."
    )


def _advice(answer: TuneAnswer) -> list[str]:
    own, best = (hits.rates for hits in (answer.own_hits, answer.best_hits))
    if not answer.changes:
        offered = answer.offered[answer.way]
        gain = f"{points(offered)} in 100" if offered.clear else f"a gain {UNCLEAR}"
        why = f"the best settings found bring {gain}, less than one frame in 100"
        same = offered.value == 0.0
        return [
            "Leave it as it is: "
            + ("nothing better was found" if same else why)
            + f". {share_words(own['as_set'].value)} are keepers as set by ruler,"
            f" {share_words(own['as_trimmed'].value)} after trimming."
        ]
    gains = [
        f"{share_words(best[way].value)} instead of {share_words(own[way].value)} are keepers"
        f" {WHICH[way]}, {gain_words(answer.gain[way])}"
        for way in WAYS
    ]
    bound = answer.offered[answer.way].high <= 0.0
    forced = ["Your own settings lie outside the limits that you set."] if bound else []
    return [
        *forced,
        *(change_words(answer, change) for change in answer.changes),
        f"All together: {'; '.join(gains)}.",
    ]


def _rest(answer: TuneAnswer) -> list[str]:
    changed = {change.key for change in answer.changes}
    held = {change.key for change in answer.withheld}
    left = [key for key in answer.free if key not in changed | held and has_part(answer.best, key)]
    said = [withheld_words(answer, change) for change in answer.withheld]
    if left and changed:
        names = _listed([f"{NAMES[key]} ({shown_setting(answer.best, key)})" for key in left])
        said.append(f"Leave the {names}: no other value gains a frame in 100.")
    if answer.kept:
        said.append(f"Left alone, as you asked: {_listed([NAMES[key] for key in answer.kept])}.")
    return said


def _slack(answer: TuneAnswer) -> list[str]:
    def said(way: str, keys: Sequence[str]) -> str:
        units = {key: setting_unit(answer, key) for key in keys}
        return _listed(
            [f"{NAMES[key]} {slack_words(answer.slack[key][way], units[key])}" for key in keys]
        )

    keys = [key for key in (DELAY, INTERVAL, HEIGHT) if key in answer.slack]
    if not keys:
        return []
    first = said("as_set", keys)
    sentences = [
        f"As set by ruler these cost you less than one frame in 100, each with the others as they"
        f" stand: {first}."
    ]
    sentences += _narrow(answer)
    delay = answer.slack[DELAY]["as_trimmed"]
    others = [key for key in keys if key != DELAY]
    second = f"; {said('as_trimmed', others)} cost as little" if others else ""
    if delay.low.open and delay.high.open:
        span = slack_words(delay, "s")
        sentences.append(
            f"After trimming the delay hardly matters: {span} the trimming brings it to the same"
            f" place{second}."
        )
    else:
        sentences.append(f"After trimming, as little is lost with: {said('as_trimmed', keys)}.")
    return sentences


def _narrow(answer: TuneAnswer) -> list[str]:
    """Say which changes lead to where a setting has less room, as set by ruler, than it is set to.

    The delay, which goes with the others, is set by a clock.
    """
    told, mended = [], True
    for key in (change.key for change in answer.changes if change.key in STEPS):
        entry, unit = answer.best.entries[key], setting_unit(answer, key)
        error = entry.setup.size * (entry.number if entry.setup.relative else 1.0)
        error = max(STEPS[key], error)
        if _wide(answer.slack[key]["as_set"], error):
            continue
        told.append(f"the {NAMES[key]} (±{write_difference(error, unit)})")
        mended = mended and _wide(answer.slack[key]["as_trimmed"], error)
    if not told:
        return []
    what = "trim, or set with care" if mended else "set with care"
    return [
        f"The new place is narrow for {_listed(told)}, less room than the error of setting: {what}."
    ]


def _wide(slack: Slack, error: float) -> bool:
    """Return whether a setting may be off either way by an error of setting it."""
    return slack.low.open or slack.high.open or slack.high.value - slack.low.value >= 2.0 * error


def setting_unit(answer: TuneAnswer, key: str) -> str:
    """Return the SI unit of a setting; empty for a word."""
    declared = answer.best.entries[key].declaration
    return declared.unit if isinstance(declared, Quantity) else ""


def phase_words(phase: float) -> str:
    """Say where in the jet's life drop and jet meet.

    Examples
    --------
    >>> phase_words(-0.5)
    'as the jet rises, at 75 % of its height (phase -0.50)'
    """
    if math.isnan(phase):
        return "nowhere: there is no meeting"
    going = "as the jet rises" if phase < -0.05 else "as the jet sinks" if phase > 0.05 else ""
    height = write_percent(max(1.0 - phase * phase, 0.0), digits=0)
    where = f"{going}, at {height} of its height" if going else "at the jet's top"
    return f"{where} (phase {phase:.2f})"


def _phase(answer: TuneAnswer) -> list[str]:
    own, best = answer.phases
    if math.isnan(best):
        return []
    asked = answer.limits.phase != WHOLE_LIFE
    if asked or not any(change.key == INTERVAL for change in answer.changes):
        return [f"Drop and jet meet {phase_words(best)}."]
    when = "" if math.isnan(own) else " later" if best > own else " earlier"
    return [
        f"With this interval drop and jet meet{when and f'{when} on the jet than with yours'}:"
        f" {phase_words(best)}; yours: {phase_words(own)}. If that is not the look you want, keep"
        " your interval with --keep valve.interval, or ask with --phase for the part of the jet's"
        " life in which they may meet, -1 as it emerges, 0 at its top, 1 as it is gone."
    ]


def _other(answer: TuneAnswer) -> list[str]:
    """Say where another start signal does better the other way of setting the delay."""
    other = next(way for way in WAYS if way != answer.way)
    better = [row for row in answer.starts[1:] if row.behind[other].high < -SLIGHT]
    if not better:
        return []
    best = min(better, key=lambda row: row.behind[other].value)
    judged = "--trimmed" if other == "as_trimmed" else "no --trimmed"
    return [
        f"{WHICH[other].capitalize()}, starting by the {best.study.entries[START].nominal} does"
        f" better, {share_words(best.hits.rates[other].value)}: ask with {judged} to judge so."
    ]


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
