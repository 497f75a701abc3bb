"""What every form of the full ranking says: findings, rows of tables, how sure."""

from __future__ import annotations

import math

from jitter import __version__
from jitter.answers.intervals import Estimate
from jitter.answers.rank.answer import InputRow, RankAnswer, Row
from jitter.answers.rank.frames import AGE, HIT
from jitter.answers.rank.groups import AIM, SET_UP
from jitter.answers.rank.indices import Index
from jitter.report.effort import effort_words
from jitter.report.words import NONE_TOLD, WHEN, is_assumed, points, share_words
from jitter.units.writing import write_difference, write_percent, write_spread

STAR = "* this spread is an assumption of ours: measure yours"
STEP = (
    "A hit is a step: an error counts only where it carries a frame over a limit, alone or on top"
    " of others, so what moves the age most need not decide most hits."
)


def name(row: InputRow) -> str:
    """Return an input's name, the second key of a pair without its section."""
    source = row.one.source
    if source is None:
        return row.one.name
    first, *others = source.keys
    return " and ".join([first, *(key.split(".")[1] for key in others)])


def level(row: InputRow) -> str:
    """Return the level of a row's source, as people write it."""
    return row.one.level.value.replace("setup", "set-up")


def shapley(row: Row, way: str, what: str) -> Index:
    """Return a row's Shapley share of an output."""
    return row.parts[way, what].shapley


def index_words(index: Index, *, blocks: bool = True) -> str:
    """Write an index in per cent, with its standard error; ≈ 0 where it cannot be told from 0.

    Parameters
    ----------
    index
        The index.
    blocks
        Whether more than plain characters can be shown.
    """
    share = 100.0 * index.estimate.value
    if math.isnan(share):
        return "none"
    if not index.estimate.low > 0.0:
        return NONE_TOLD
    if share < 0.05:
        return "<0.1"
    error = 100.0 * index.error
    doubt = f"{error:.1f}" if error >= 0.05 else "<0.1"
    return f"{share:.1f} {'±' if blocks else '+-'}{doubt}"


def scaling_words(estimate: Estimate | None) -> str:
    """Write a gain in percentage points; ≈ 0 where it cannot be told from 0."""
    if estimate is None:
        return "–"
    return points(estimate) if estimate.clear else NONE_TOLD


def starred(answer: RankAnswer, row: InputRow) -> str:
    """Return an input's name, with a star where its spread is an assumption of ours."""
    return name(row) + ("*" if rests_on_assumption(answer, row) else "")


def rests_on_assumption(answer: RankAnswer, row: InputRow) -> bool:
    """Return whether the spread of an input is an assumption of ours."""
    return row.one.source is not None and is_assumed(answer.study, row.one.source)


def findings(answer: RankAnswer) -> tuple[str, ...]:
    """Return everything that is said in sentences: what comes first, then what tables show.

    Parameters
    ----------
    answer
        The answer.
    """
    return (
        *opening(answer),
        *shares_findings(answer),
        *groups_findings(answer),
        age_finding(answer),
    )


def opening(answer: RankAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first: the rest stands with its tables.

    Parameters
    ----------
    answer
        The answer.
    """
    rates = (
        f"Of your frames, {share_words(answer.rates['as_set'].value)} will be keepers as set by"
        f" ruler and {share_words(answer.rates['as_trimmed'].value)} after trimming the delay."
    )
    return (rates, *filter(None, (answer.unaimed,)), _costliest(answer))


def _costliest(answer: RankAnswer) -> str:
    gains = [
        (row, row.effects["as_trimmed"])
        for row in answer.rows
        if row.effects is not None and row.effects["as_trimmed"].removed.low > 0.0
    ]
    if not gains:
        return "No single spread costs a share of trimmed keepers that can be told from 0."
    row, effect = max(gains, key=lambda gain: gain[1].removed.value)
    source = row.one.source
    if source is None:
        raise TypeError("what has no spread has no gain")
    said = (
        f"What costs most is the {source.meaning}, {WHEN[source.level]}"
        f" ({write_spread(source.spread, source.unit)}). Without it {_more(effect.removed)} trimmed"
        " frames in 100 would be keepers"
    )
    for words, scaled in (("half", effect.halved), ("twice", effect.doubled)):
        if scaled is not None and scaled.clear:
            said += f"; with {words} of it, {_more(scaled)}"
    said += "."
    if rests_on_assumption(answer, row):
        said += (
            " That spread is an assumption of ours, not your measurement: measure it before you"
            " spend money on it."
        )
    return said


def _more(estimate: Estimate) -> str:
    gain = round(100.0 * estimate.value, 1)
    return f"{abs(gain):g} {'more' if gain >= 0.0 else 'fewer'}"


def _leaders(answer: RankAnswer, what: str, count: int = 2) -> list[InputRow]:
    clear = [row for row in answer.rows if shapley(row, "as_trimmed", what).estimate.low > 0.0]
    return sorted(clear, key=lambda row: -_share(row, what))[:count]


def _share(row: Row, what: str) -> float:
    return shapley(row, "as_trimmed", what).estimate.value


def shares_findings(answer: RankAnswer) -> list[str]:
    """Say what makes the age, what makes the hit, and why the two differ."""
    leaders = {what: _leaders(answer, what) for what in (AGE, HIT)}
    if not leaders[HIT]:
        return ["What makes hits cannot be told: no source's share can be told from 0."]
    told = {
        what: " and ".join(
            f"{_subject(row)} ({write_percent(_share(row, what), digits=0)})" for row in rows
        )
        for what, rows in leaders.items()
    }
    if leaders[AGE] == leaders[HIT]:
        said = [
            f"The age and the hit rank their sources alike here: {told[HIT]} of the hit. {STEP}"
        ]
    elif leaders[AGE]:
        said = [
            "The age and the hit rank their sources differently: after trimming the age varies"
            f" mostly by {told[AGE]}, the hit by {told[HIT]}. {STEP}"
        ]
    else:
        said = [f"No age varies; the hit varies mostly by {told[HIT]}."]
    for group in answer.groups:
        if group.name == AIM and shapley(group, "as_trimmed", HIT).estimate.low > 0.0:
            made = write_percent(_share(group, HIT), digits=0)
            age = group.parts["as_trimmed", AGE].total.estimate
            if age.high < 0.01:
                enters = "never enters the age" if age.high == 0.0 else "hardly enters the age"
                said.append(f"Aim makes {made} of the variance of the hit and {enters}.")
    return said


def _subject(row: InputRow) -> str:
    return f"{name(row)} {WHEN[row.one.level]}" if row.one.source else f"the {row.one.name}"


def groups_findings(answer: RankAnswer) -> list[str]:
    """Say how much of the hit a set-up fixes; nothing where that cannot be told."""
    for group in answer.groups:
        shares = [shapley(group, way, HIT).estimate for way in answer.rates]
        if group.name == SET_UP and not any(math.isnan(share.value) for share in shares):
            first, second = (
                write_percent(max(share.value, 0.0), digits=0) if share.clear else "nothing"
                for share in shares
            )
            return [
                f"What a set-up fixes makes {first} of the variance of the hit as set by ruler and"
                f" {second} after trimming, trimming's own errors among it; the rest changes from"
                " shot to shot."
            ]
    return []


def age_finding(answer: RankAnswer) -> str:
    """Say how far the age strays, by its budget and simulated."""
    found, seen = answer.budget, answer.ages
    if math.isnan(found.combined):
        return "The shot in which nothing strays has no age, so that there is no budget of it."
    said = (
        f"By its uncertainty budget the age strays by {_time(found.combined)} (combined standard"
        f" uncertainty) as set by ruler: {_time(found.setup)} with the set-up,"
        f" {_time(found.shot)} from shot to shot"
    )
    if math.isnan(seen.setup) or math.isnan(seen.shot):
        return said + "."
    return (
        said + f"; simulated, by {_time(math.hypot(seen.setup, seen.shot))}:"
        f" {_time(seen.setup)} and {_time(seen.shot)}."
    )


def _time(seconds: float) -> str:
    return write_difference(seconds, "s", digits=3)


def held(answer: RankAnswer) -> tuple[str, ...]:
    """Say what was held fixed, how it was computed and how sure it is."""
    layout = answer.layout
    return (
        f"jitter {__version__}, study {answer.study.digest}. Gains: {effort_words(answer.effort)},"
        " worked out again with one spread removed, halved, a tenth smaller or larger, or doubled,"
        " every point or draw, all other spreads and every nominal held; removing a shot spread"
        " removes it from the frames shot to trim too. Intervals hold to 95 % and take sets of"
        " points, or set-ups, as the independent units.",
        f"Slopes: a value is off by a quarter of its size to either side. The simulated age:"
        f" {layout.setups} set-ups of {layout.shots} shots.",
        f"Shares: {answer.pairs} pairs of frames, each the only shot of a set-up of its own, drawn"
        " from this seed and a second one made from it; errors are standard errors. First-order and"
        " total indices are those of Sobol', by swapping one input of each pair; Shapley shares are"
        " by turning each frame into its partner one input at a time in a random order. Frames"
        " without an age say nothing about the age.",
        "The frames shot to trim are one more source as trimmed: their errors stay in the delay for"
        " the whole set-up. What cannot be told from 0 is written ≈ 0; of twenty such rows one may"
        " look clear by luck.",
        "Groups follow from what a source moves: it strays by one standard uncertainty from the"
        " shot in which nothing strays, and belongs to timing, aim or picture by the limit of"
        " which it moves the age, the off-centre, or blur and exposure by the largest part;"
        " chances, and what can only spoil a frame outright, are mishaps.",
    )
