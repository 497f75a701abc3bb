"""The plain sentences that open every form of an answer."""

from __future__ import annotations

from collections.abc import Sequence

from jitter.answers.intervals import Estimate
from jitter.answers.ranking import Rank, Source
from jitter.answers.run import RunAnswer, Way
from jitter.answers.session import SessionAnswer
from jitter.answers.warnings import unaimed
from jitter.quantities import Level, Mark, Quantity
from jitter.study.study import Study
from jitter.units.writing import write_percent, write_spread

WHEN = {Level.SETUP: "from set-up to set-up", Level.SHOT: "from shot to shot"}
UNCLEAR = "not distinguishable from 0"
NONE_TOLD = "≈ 0"
"""What is written for that in a table."""


def share_words(share: float) -> str:
    """Say a share as so many in a hundred, or in a thousand where that is too coarse.

    Examples
    --------
    >>> share_words(0.727), share_words(0.9987)
    ('73 in 100', '999 in 1000')
    """
    if 0.01 <= share <= 0.99 or share in (0.0, 1.0):
        return f"{round(100 * share)} in 100"
    if share > 0.9995:
        return "over 999 in 1000"
    return f"{round(1000 * share)} in 1000" if share >= 0.0005 else "under 1 in 1000"


def points(estimate: Estimate) -> str:
    """Say a gain in percentage points, or that it cannot be told from none.

    Of gains under a twentieth of a point the first digit is told.

    Examples
    --------
    >>> points(Estimate(0.1429, 0.14, 0.146))
    '+14.3'
    """
    if not estimate.clear:
        return UNCLEAR
    gain = 100 * estimate.value
    return f"{gain:+.1f}" if abs(gain) >= 0.05 else f"{gain:+.1g}"


def gained(estimate: Estimate) -> str:
    """Say a gain in percentage points where there is little room.

    Examples
    --------
    >>> gained(Estimate(0.1429, 0.14, 0.146)), gained(Estimate(0.001, -0.002, 0.004))
    ('+14.3', '≈ 0')
    """
    return points(estimate) if estimate.clear else NONE_TOLD


def interval(estimate: Estimate, *, digits: int = 1) -> str:
    """Say an interval in per cent; one that would round to nothing is said to end below the least.

    Examples
    --------
    >>> interval(Estimate(0.727, 0.724, 0.731)), interval(Estimate(0.0002, 0.0001, 0.0004))
    ('72.4 to 73.1 %', 'under 0.1 %')
    """
    least = 10.0**-digits
    if 0.0 < 100.0 * estimate.high < 0.5 * least:
        return f"under {least:g} %"
    return f"{100 * estimate.low:.{digits}f} to {100 * estimate.high:.{digits}f} %"


def strays(rank: Rank) -> str:
    """Say which quantity strays, when and how far."""
    source = rank.source
    size = write_spread(source.spread, source.unit)
    return f"{source.meaning}, {WHEN[source.level]} ({size})"


def leading_reasons(way: Way, count: int = 2) -> list[tuple[str, str]]:
    """Return the most frequent reasons for a miss that happen at all, with their shares.

    One that is told to be as frequent as the last of them is among them.
    """
    ordered = sorted(way.reasons.items(), key=lambda item: -item[1].value)
    told = [(reason, write_percent(share.value)) for reason, share in ordered if share.value > 0.0]
    return [one for place, one in enumerate(told) if place < count or one[1] == told[count - 1][1]]


def listed(words: Sequence[str]) -> str:
    """Return words as they follow one another in a sentence.

    Examples
    --------
    >>> listed(["early", "late", "lopsided"])
    'early, late and lopsided'
    """
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def is_assumed(study: Study, source: Source) -> bool:
    """Return whether a spread of a study is an assumption of ours."""
    entry = study.entries[source.keys[0]]
    declared = entry.declaration
    if not isinstance(declared, Quantity):
        return False
    basis = entry.setup_basis if source.level is Level.SETUP else entry.shot_basis
    if not declared.strays:
        basis = entry.basis
    return basis is not None and basis.mark is Mark.ASSUMED


def findings(answer: RunAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    as_set, trimmed = answer.as_set, answer.as_trimmed
    said = [
        f"Of your frames, {share_words(as_set.hit_rate.value)} will be keepers as set by ruler and "
        f"{share_words(trimmed.hit_rate.value)} after trimming the delay."
    ]
    said += filter(None, (unaimed(answer.study, answer.nominal),))
    reasons = [f"{reason} ({share})" for reason, share in leading_reasons(trimmed)]
    if reasons:
        said.append(f"After trimming, the rest miss mostly because of: {listed(reasons)}.")
    gains = [rank for rank in answer.ranking if rank.as_trimmed.removed.low > 0.0]
    if gains:
        best = max(gains, key=lambda rank: rank.as_trimmed.removed.value)
        gain = best.as_trimmed
        sentence = (
            f"What costs most is the {strays(best)}. Without it "
            f"{round(100 * gain.removed.value, 1):g} more trimmed frames in 100 would be keepers"
        )
        if gain.halved.low > 0.0:
            sentence += f"; with half of it, {round(100 * gain.halved.value, 1):g}"
        said.append(sentence + ".")
        if is_assumed(answer.study, best.source):
            said.append(
                "That spread is an assumption of ours, not your measurement: measure it before"
                " you spend money on it."
            )
    else:
        said.append(
            f"On {answer.ranked_setups} set-ups no single spread costs a share of keepers that can"
            " be told from 0; more set-ups may tell more."
        )
    if answer.session is not None:
        said.extend(session_findings(answer.session))
    return tuple(said)


def session_findings(session: SessionAnswer) -> tuple[str, ...]:
    """Say how keepers come and go over a session, and when to trim again.

    Parameters
    ----------
    session
        Of a study in which something drifts.
    """
    first, last = session.once[0], session.once[-1]
    said = [
        f"Over the session of {session.frames} frames keepers go from"
        f" {share_words(first.value)} right after the first trimming to"
        f" {share_words(last.value)} at the end if you never trim again."
    ]
    best = session.best
    if best.trims > 1:
        said.append(
            f"Trim again every {best.every:.0f} frames: {share_words(best.share.value)} of all"
            f" frames are then keepers, those shot to trim counted in, instead of"
            f" {share_words(session.policies[0].share.value)}."
        )
    elif all(policy.gain.high < 0.0 for policy in session.policies[1:]):
        said.append("Trimming again within the session costs more frames than it brings.")
    else:
        said.append("Trimming again within the session gains nothing that can be told from 0.")
    if session.worn is not None:
        said.append(
            f"From about frame {session.worn:.0f} on even a fresh trimming does not bring the first"
            " frames' share back: stop there, refill and set up again."
        )
    return tuple(said)
