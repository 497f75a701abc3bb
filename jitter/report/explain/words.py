"""What `jitter explain` found, in plain sentences."""

from __future__ import annotations

import math

from jitter.answers.explain.answer import ExplainAnswer
from jitter.answers.explain.checking import Expected
from jitter.answers.explain.single_frame import FEWEST, Needed, SingleFrame
from jitter.answers.explain.suspects import LIKELIER, STRAYING
from jitter.errors import plain
from jitter.quantities import Level
from jitter.report.explain.names import (
    LUCK,
    UNKNOWN,
    explain_suspect,
    name_suspect,
    shown_outcome,
    shown_range,
)
from jitter.report.words import interval
from jitter.stages.look import KEPT, LOOKS
from jitter.units.writing import write_percent

STARTS = {
    "valve": "the valve's command",
    "first drop": "the first drop's crossing",
    "second drop": "the second drop's crossing",
}
"""What starts the timer, by the words of `timer.start`."""
RARE = 0.05
"""What luck makes less often than this is worth a word; with 14 looks one in 280 is."""
SURE = 0.5
LONGEST, LONGEST_NOTE = 60, 600
"""Letters; longer names of files, and longer notes, are cut in the middle."""
OFTEN = 0.05
"""Of the frames like one, a mishap that strikes in fewer is not told of."""


def findings(answer: ExplainAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first.

    Parameters
    ----------
    answer
        The answer.
    """
    if answer.facts.told == 0:
        return ("The log has no frame with a verdict: there is nothing to explain yet.",)
    return (
        _rate(answer),
        *_aim(answer),
        *_against(answer),
        *_blame(answer),
        *_next(answer),
        *_course(answer),
        *_frame(answer),
    )


def _rate(answer: ExplainAnswer) -> str:
    facts = answer.facts
    kept = facts.looks[KEPT]
    said = (
        f"Keepers: {kept} of {facts.told} {'frame' if facts.told == 1 else 'frames'},"
        f" {write_percent(facts.keepers.value, digits=0)}"
        f" (sure to 95 %: {interval(facts.keepers, digits=0)}"
    )
    if facts.clustered:
        return f"{said}, the spread of {facts.setups} set-ups in it)."
    if facts.setups > 1:
        return f"{said}, as if all {facts.setups} set-ups were alike)."
    return f"{said}, of this set-up: another one may do better or worse)."


def _aim(answer: ExplainAnswer) -> list[str]:
    said = f"{answer.unaimed} Mend that first: until then this comparison says little."
    return [said] if answer.unaimed else []


def _against(answer: ExplainAnswer) -> list[str]:
    fit = answer.fit
    if fit is None:
        return []
    odd = odd_looks(answer)
    if fit.chance >= RARE and not odd:
        many = write_percent(fit.chance, digits=0)
        return [
            "The rig as described gives such logs: how many frames have each look is nothing out of"
            f" the ordinary ({many} of its logs are as odd or odder)."
        ]
    said = []
    if fit.chance < RARE:
        said.append(
            "The rig as described hardly gives such a log: only"
            f" {write_percent(fit.chance)} of its logs are as odd or odder."
        )
    for one in odd[:3]:
        usual = "no frame" if one.high == 0.0 else f"{shown_range(one)} frames"
        said.append(
            f"The rig as described should give {usual} “{LOOKS[one.look]}” (nine logs in ten);"
            f" your log has {one.seen or 'none'}."
        )
    return said


def odd_looks(answer: ExplainAnswer) -> list[Expected]:
    """Return the looks of which there are more or fewer than luck gives, the oddest first."""
    if answer.fit is None:
        return []
    level = RARE / len(answer.fit.expected)
    return sorted(
        (one for one in answer.fit.expected if one.chance < level), key=lambda one: one.chance
    )


def _blame(answer: ExplainAnswer) -> list[str]:
    said = []
    if answer.unknown > SURE:
        said.append(
            f"Nothing that the study names explains this log: {UNKNOWN}, {_share(answer.unknown)}."
            " Look whether study and log belong together, and at what is not in the study."
        )
    if not answer.parties:
        rest = "the rest is spread over suspects of which this log speaks for none"
        return said or [f"No suspect stands out. {_luck(answer)}; {rest}."]
    for place, party in enumerate(answer.parties[:2]):
        lead = party.members[0]
        told = explain_suspect(answer.study, lead)
        head = "Most likely to blame" if place == 0 else "Or"
        if place == 0 and party.probability < max(answer.described, SURE):
            head = "Perhaps to blame"
        sentence = f"{head} ({_share(party.probability)}): {told}."
        others = [name_suspect(one.suspect) for one in party.members[1:] if one.probability > 0.005]
        if others:
            sentence += f" This log cannot tell it from: {', '.join(others[:6])}"
            sentence += f" and {len(others) - 6} more." if len(others) > 6 else "."
        said.append(sentence)
    return [*said, f"{_luck(answer)}."]


def _luck(answer: ExplainAnswer) -> str:
    described, unknown = _share(answer.described), _share(answer.unknown)
    return f"{LUCK.capitalize()}: {described}; {UNKNOWN}: {unknown}"


def _share(probability: float) -> str:
    if probability < 0.01:
        return "under 1 %"
    return "over 99 %" if probability > 0.99 else write_percent(probability, digits=0)


def _next(answer: ExplainAnswer) -> list[str]:
    if not answer.tests:
        return []
    test = answer.tests[0]
    if test.left <= 0.0 or test.gain < 0.05 * test.left:
        return ["No short series of frames would tell these suspects apart: measure them instead."]
    rigs = ["the rig is as described", *(name_suspect(suspect) for suspect in answer.doubted)]
    outcomes = [
        f"{shown_outcome(test, outcome)} if {name}"
        for name, outcome in zip(rigs, test.outcomes, strict=True)
    ]
    return [
        f"Test next: {test.frames} {test.series.name} ({setting(answer)})."
        f" It would settle {write_percent(test.gain / test.left, digits=0)} of the remaining doubt."
        f" Expect {'; '.join(outcomes[:3])}."
    ]


def setting(answer: ExplainAnswer, place: int = 0) -> str:
    """Say how a series of frames is set.

    Parameters
    ----------
    answer
        The answer.
    place
        Of the series among the tests.
    """
    series = answer.tests[place].series
    if series.what == "looks":
        return series.how
    delay = 1e3 * series.study.number("timer.delay")
    start = STARTS[str(series.study.entries["timer.start"].nominal)]
    return f"{series.how}; light {delay:.1f} ms after {start}"


def _course(answer: ExplainAnswer) -> list[str]:
    facts, said = answer.facts, []
    trend, change = facts.trend, facts.change
    if trend is not None and trend.chance < RARE:
        said.append(
            f"Keepers go from {write_percent(trend.first, digits=0)} in the first half to"
            f" {write_percent(trend.last, digits=0)} in the second, which luck makes in"
            f" {write_percent(trend.chance)} of such logs: something drifts."
        )
    if change is not None and change.chance < RARE:
        said.append(
            f"The log changes at line {change.line}: {write_percent(change.before, digits=0)}"
            f" keepers before, {write_percent(change.after, digits=0)} after (by luck in"
            f" {write_percent(change.chance)} of such logs). What was touched then?"
        )
    if not math.isnan(facts.long_run) and facts.long_run < RARE:
        said.append(
            f"{facts.longest} frames in a row are no keepers, a run that luck makes in"
            f" {write_percent(facts.long_run)} of such logs."
        )
    return said


def _frame(answer: ExplainAnswer) -> list[str]:
    single = answer.single
    if single is None:
        return []
    which = single.frame.number
    name = f"Frame {which}" if which is not None else f"The frame of line {single.frame.line}"
    look = ", ".join((LOOKS[single.frame.look or 0], *_written(single)))
    if single.matched < FEWEST:
        return [
            f"{name} ({look}) looks like {_few(single)} simulated frames: too rare under this study"
            " to say which errors made it."
        ]
    said = f"{name} ({look}) looks like {write_percent(single.share)} of the frames of this rig"
    said += _measured(single)
    mishaps = [words for words, _ in struck(single)]
    if mishaps:
        said += f" Mishaps: {', '.join(mishaps)}."
    parts = [needed_words(one) for one in single.needed[:4]]
    if parts:
        took = (
            "Most likely it took" if _matched(single) else "By its look alone it most likely took"
        )
        said += f" {took}: {'; '.join(parts)}."
    elif not mishaps:
        said += " No error had to be out of the ordinary."
    return [said]


def _written(single: SingleFrame) -> list[str]:
    """Return the time and the remarks of a frame, the log's own words, safe to print."""
    texts = (" ".join(text.split()) for text in (single.frame.time, single.frame.remarks))
    return [f"“{plain(text, LONGEST)}”" for text in texts if text]


def _measured(single: SingleFrame) -> str:
    if not _matched(single):
        return (
            ". The lengths that you noted for it, however, fit hardly any of those: look whether"
            " they were read right."
        )
    return ", and they have the lengths that you noted." if single.by_numbers else "."


def _matched(single: SingleFrame) -> bool:
    """Return whether all that was noted of a frame was found in simulated ones."""
    frame = single.frame
    sizes = (frame.gap, frame.width, frame.side, frame.height)
    return single.by_numbers or all(size is None for size in sizes)


def struck(single: SingleFrame) -> list[tuple[str, str]]:
    """Say of each mishap in how many of such frames it struck, and return its key.

    Parameters
    ----------
    single
        A frame.
    """
    return [
        (f"{key} in {write_percent(share, digits=0)} of such frames", key)
        for key, share in sorted(single.mishaps.items(), key=lambda pair: -pair[1])
        if share > OFTEN
    ]


def _few(single: SingleFrame) -> str:
    if not single.matched:
        return "none of the"
    return f"{single.matched} of {single.matched / single.share:.0f}"


def needed_words(one: Needed) -> str:
    """Say an error and how unusual it is."""
    when = "this set-up's" if one.level is Level.SETUP else "this shot's"
    part = f" ({one.part})" if one.part else ""
    return f"{when} {one.key}{part} off by {one.mean:+.1f} sd"


def source(answer: ExplainAnswer) -> str:
    """Say which study and which log it is about.

    Parameters
    ----------
    answer
        The answer.
    """
    log = answer.log
    name = plain(log.source, LONGEST)
    frames = f"{answer.facts.frames} {'frame' if answer.facts.frames == 1 else 'frames'}"
    return f"Study {answer.study.digest}; log {name}, {frames}."


def notes(answer: ExplainAnswer) -> list[str]:
    """Return the log's notes, in which its own words may stand, so that they are safe to print.

    Parameters
    ----------
    answer
        The answer.
    """
    return [plain(note, LONGEST_NOTE) for note in answer.log.notes]


def held(answer: ExplainAnswer) -> tuple[str, ...]:
    """Return how it was computed, and what was assumed.

    Parameters
    ----------
    answer
        The answer.
    """
    layout = answer.layout
    (low, high), (rare, often) = STRAYING, LIKELIER
    said = [
        f"Seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots for every suspect, on"
        " the same draws, with the delay"
        f" {'as trimmed' if answer.way == 'as_trimmed' else 'as set by ruler'} where the log does"
        " not tell it.",
        "Before the log, the rig as described was given one chance in two, something not in the"
        " model one in twenty, and every suspect an equal part of the rest: a value further off, a"
        f" spread {low:g} to {high:g} times as wide, a mishap {rare:g} to {often:g} times as"
        " frequent.",
    ]
    if answer.weight < 1.0:
        said.append(
            f"The log says more than so many set-ups can resolve; it was counted for"
            f" {write_percent(answer.weight, digits=0)} of what it says, so suspects may be surer"
            " than told here."
        )
    return tuple(said)
