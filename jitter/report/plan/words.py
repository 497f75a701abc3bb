"""What `jitter plan` says in words: manners, times, and the sentences that open the answer."""

from __future__ import annotations

from collections.abc import Sequence

from jitter.answers.hits import WAYS
from jitter.answers.plan.answer import LONGER, PlanAnswer
from jitter.answers.plan.planning import Manner, Need, Strategy
from jitter.report.words import interval
from jitter.units.writing import write_percent

WAY_WORDS = {"as_set": "as set by ruler", "as_trimmed": "trimmed"}
FEW = 0.01


def write_duration(seconds: float) -> str:
    """Write how long something takes.

    Examples
    --------
    >>> write_duration(40.0), write_duration(1545.0), write_duration(7260.0)
    ('40 s', '26 min', '2 h 1 min')
    """
    if seconds < 60.0:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60.0), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


def write_certainty(share: float) -> str:
    """Write a certainty without needless zeros, and never as 100 %.

    Examples
    --------
    >>> write_certainty(0.95), write_certainty(0.9999), write_certainty(0.9999999)
    ('95 %', '99.99 %', 'over 99.99 %')
    """
    rounded = round(100.0 * share, 2)
    return "over 99.99 %" if rounded >= 100.0 > 100.0 * share else f"{rounded:g} %"


def write_chance(share: float) -> str:
    """Write a chance that was estimated; what would round to certainty is said to be over the most.

    Examples
    --------
    >>> write_chance(0.9593), write_chance(0.99999), write_chance(1.0)
    ('95.9 %', 'over 99.9 %', '100.0 %')
    """
    return "over 99.9 %" if 0.9995 <= share < 1.0 else write_percent(share)


def frames_words(count: int) -> str:
    """Say how many frames."""
    return "one frame" if count == 1 else f"{count} frames"


def keepers_words(count: int) -> str:
    """Say how many keepers."""
    return "one keeper" if count == 1 else f"{count} keepers"


def setups_words(count: int) -> str:
    """Say how many set-ups."""
    return "one set-up" if count == 1 else f"{count} set-ups"


def manner_words(manner: Manner, *, short: bool = False) -> str:
    """Say how an evening is gone through.

    Parameters
    ----------
    manner
        The way.
    short
        Whether it must fit a narrow column.

    Examples
    --------
    >>> manner_words(Manner("as_trimmed", 2, 30))
    '2 set-ups, trimmed every 30 frames'
    """
    if short and manner.way == "as_set":
        return f"{setups_words(manner.setups)}, as set"
    again = f" every {manner.every} frames" if manner.every else ""
    return f"{setups_words(manner.setups)}, {WAY_WORDS[manner.way]}{again}"


def shared_words(shared: Sequence[int]) -> str:
    """Say how frames are shared out among set-ups.

    Examples
    --------
    >>> shared_words((23,)), shared_words((8, 8)), shared_words((8, 7, 7))
    ('23', '2 × 8', '8 + 2 × 7')
    """
    parts = []
    for length in sorted(set(shared), reverse=True):
        count = shared.count(length)
        parts.append(f"{count} × {length}" if count > 1 else f"{length}")
    return " + ".join(parts)


def run_words(manners: Sequence[Manner]) -> str:
    """Say how an evening is gone through, in some manners that differ in set-ups only.

    Examples
    --------
    >>> run_words([Manner("as_set", 2), Manner("as_set", 3)]), run_words([Manner("as_set", 2)])
    ('2 to 3 set-ups, as set by ruler', '2 set-ups, as set by ruler')
    """
    first, last = manners[0], manners[-1]
    if first.setups == last.setups:
        return manner_words(first)
    return f"{first.setups} to {manner_words(last)}"


def need_words(manner: Manner, need: Need) -> str:
    """Say what to shoot: frames, set-ups, trimming, time.

    Examples
    --------
    >>> need_words(Manner("as_trimmed", 1), Need(0.95, (20,), 8, 1620.0, 15.0))
    '8 frames to trim, then 20 more, in one set-up: about 27 min'
    """
    if need.trimming and manner.setups == 1 and not manner.every:
        return (
            f"{frames_words(need.trimming)} to trim, then {need.frames} more, in one set-up:"
            f" about {write_duration(need.time)}"
        )
    each = f" ({shared_words(need.shared)})" if manner.setups > 1 else ""
    trimming = f", and {need.trimming} more to trim" if need.trimming else ""
    return (
        f"{frames_words(need.frames)} in {manner_words(manner)}{each}{trimming}:"
        f" about {write_duration(need.time)}"
    )


def findings(answer: PlanAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    best = answer.best
    if best is None or best.asked is None or best.chance is None:
        return _out_of_reach(answer)
    asked, manner = best.asked, best.manner
    said = [
        f"For at least {keepers_words(answer.want)} with {write_certainty(answer.sure)} certainty"
        f" the quickest is to shoot {need_words(manner, asked)}, setting up included.",
        f"That gives {asked.expected:.1f} keepers on average, and enough with"
        f" {write_chance(best.chance.value)} certainty ({interval(best.chance)}).",
    ]
    independent = answer.independent[manner.way]
    if independent is not None and manner.setups == 1 and asked.frames > independent:
        said.append(
            f"Frames of one set-up are alike, good or bad together: if they were not,"
            f" {independent} frames would do."
        )
    said += [sentence for way in WAYS if (sentence := _one_or_several(answer, way))]
    if answer.moving:
        said.append(_again(answer))
    return (*said, _evening(answer, best))


def _one_or_several(answer: PlanAnswer, way: str) -> str:
    """Say whether one long set-up or several short ones are better, for one way."""
    one = answer.quickest_with(way, 1)
    several = [
        strategy
        for strategy in answer.strategies
        if strategy.manner.way == way and strategy.manner.setups > 1 and strategy.asked is not None
    ]
    start = WAY_WORDS[way].capitalize()
    if not several:
        return "" if one is None else f"{start}, only one set-up reaches it in the evening."
    quick = min(several, key=_time)
    shared = () if quick.asked is None else quick.asked.shared
    said = f"{setups_words(quick.manner.setups)} ({shared_words(shared)} frames)"
    time = write_duration(_time(quick))
    if one is None or one.asked is None:
        alone = next(
            strategy.evening.chance
            for strategy in answer.strategies
            if strategy.manner.way == way and strategy.manner.setups == 1
        )
        return (
            f"{start}, one long set-up risks a bad one: even all {answer.frames} frames of it give"
            f" enough with {write_chance(alone)} certainty only; {said} do it in {time}."
        )
    if _time(quick) < one.asked.time:
        return (
            f"{start}, one long set-up risks a bad one: it needs {one.asked.frames} frames and"
            f" {write_duration(one.asked.time)}; {said} do it in {time}."
        )
    fewest = min(several, key=_frames)
    saved = one.asked.frames - _frames(fewest)
    if saved <= 0:
        return f"{start}, setting up anew saves no frame and costs time."
    return (
        f"{start}, setting up anew saves {frames_words(saved)} of {one.asked.frames} at the most,"
        f" with {setups_words(fewest.manner.setups)}, and takes"
        f" {write_duration(_time(fewest) - one.asked.time)} longer."
    )


def _time(strategy: Strategy) -> float:
    return float("inf") if strategy.asked is None else strategy.asked.time


def _frames(strategy: Strategy) -> int:
    return 0 if strategy.asked is None else strategy.asked.frames


def _again(answer: PlanAnswer) -> str:
    """Say whether trimming again within the session is worth its frames."""
    once = [one for one in answer.strategies if one.manner.way == "as_trimmed"]
    again = [one for one in once if one.manner.every]
    once = [one for one in once if not one.manner.every]
    gained = min(map(_time, once)) - min(map(_time, again), default=float("inf"))
    if not gained > 0.0:
        return "Something drifts here, but trimming again within a set-up gains no time."
    best = min(again, key=_time)
    if gained == float("inf"):
        return f"Only with trimming again is it reached: {manner_words(best.manner)}."
    return (
        f"Something drifts here: trimming again, every {best.manner.every} frames, gains"
        f" {write_duration(gained)}."
    )


def _evening(answer: PlanAnswer, strategy: Strategy) -> str:
    whole = strategy.evening
    return (
        f"All {answer.frames} frames of the evening in {manner_words(strategy.manner)}, would give"
        f" {whole.low} to {whole.high} keepers (95 evenings in 100), at least {answer.want} with"
        f" {write_chance(whole.chance)} certainty."
    )


def _out_of_reach(answer: PlanAnswer) -> tuple[str, ...]:
    said = [
        f"At least {keepers_words(answer.want)} with {write_certainty(answer.sure)} certainty are"
        f" out of reach of an evening of {frames_words(answer.frames)}, whichever way it is shared"
        " out; what comes nearest:",
        _evening(answer, answer.surest),
    ]
    said += [
        f"{WAY_WORDS[one.manner.way].capitalize()}, {write_percent(one.evening.none)} of the"
        f" set-ups give no keeper at all in {frames_words(answer.frames)}."
        for one in answer.strategies
        if one.manner.setups == 1 and not one.manner.every and one.evening.none >= FEW
    ]
    if answer.beyond is not None:
        said.append(f"It takes {need_words(*answer.beyond)}.")
    elif not answer.moving:
        said.append(f"Not even {LONGER * answer.frames} frames do it.")
    said.append("Wish for fewer, or make the rig better first: jitter run says what costs most.")
    return tuple(said)


def rates_words(answer: PlanAnswer) -> str:
    """Say the hit rates."""
    ways = [
        f"{write_percent(foresight.rate.value)} {WAY_WORDS[way]} ({interval(foresight.rate)})"
        for way, foresight in answer.foresight.items()
    ]
    return f"Hit rate {' and '.join(ways)}."


def alike_words(answer: PlanAnswer) -> str:
    """Say how alike the frames of a set-up are."""
    alike = " and ".join(
        f"{write_percent(foresight.alikeness)} {WAY_WORDS[way]}"
        for way, foresight in answer.foresight.items()
    )
    return f"Of a hit's variance, {alike} is common to all frames of a set-up."
