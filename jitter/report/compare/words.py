"""What `jitter compare` says in words: letters, differences, and the sentences that open it."""

from __future__ import annotations

from jitter.answers.compare.answer import CompareAnswer, Pair
from jitter.answers.compare.difference import Change, Difference
from jitter.answers.compare.drivers import Driver
from jitter.answers.hits import WAYS
from jitter.answers.intervals import Estimate
from jitter.report.values import NOT_USED, write_drift, write_entry, write_level
from jitter.report.words import UNCLEAR, points
from jitter.study.study import Entry
from jitter.units.writing import write_difference, write_number, write_percent

LETTERS = "ABCDEFGHIJKL"
WAY_WORDS = {"as_set": "as set by ruler", "as_trimmed": "after trimming"}
PART_WORDS = {
    "nominal": "",
    "setup": "set-up spread",
    "shot": "shot spread",
    "alike": "likeness of the drops",
    "drift": "drift",
    "offset": "offset",
}
NAMED = 3


def letter(answer: CompareAnswer, place: int) -> str:
    """Return the letter and the name of a study."""
    return f"{LETTERS[place]} ({answer.contenders[place].name})"


def points_interval(estimate: Estimate) -> str:
    """Say the interval of a difference in percentage points.

    Examples
    --------
    >>> points_interval(Estimate(0.125, 0.123, 0.128))
    '+12.3 to +12.8'
    """
    ends = (100.0 * estimate.low, 100.0 * estimate.high)
    largest = max(map(abs, ends))
    digits = 1 if largest >= 1.0 else 2 if largest >= 0.1 else 3
    return " to ".join(f"{end:+.{digits}f}" for end in ends)


def part_words(change: Change) -> str:
    """Name what changed: the key, and the part of it that did."""
    part = PART_WORDS[change.part]
    return f"{change.key}, {part}" if part else change.key


def name_of(difference: Difference) -> str:
    """Name a difference by its changes, the first few of them.

    Where it has values, by these; their spreads come with them.
    """
    values = [change for change in difference.changes if change.part == "nominal"]
    names = [part_words(change) for change in values or difference.changes]
    more = [f"{len(names) - NAMED} more"] if len(names) > NAMED else []
    return " and ".join([*names[:NAMED], *more])


def side(change: Change, entry: Entry) -> str:
    """Write one side of a change."""
    if entry.nominal is None:
        return NOT_USED
    if change.part == "nominal":
        return write_entry(entry)
    if change.part in ("setup", "shot"):
        return write_level(entry, change.part) or "none"
    if change.part == "alike":
        return write_number(entry.alike)
    if change.part == "drift":
        return write_drift(entry) or "none"
    return write_difference(entry.offset, getattr(entry.declaration, "unit", "1"))


def sides(difference: Difference) -> tuple[tuple[str, str, str], ...]:
    """Return what changed and both sides of it, a row for each change."""
    return tuple(
        (part_words(change), side(change, change.one), side(change, change.other))
        for change in difference.changes
    )


def findings(answer: CompareAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    said = []
    if len(answer.contenders) == 2:
        (pair,) = answer.pairs
        said += [_change(answer, pair, way) for way in reversed(WAYS)]
        said += [_reasons(pair), *_driven(answer)]
    else:
        said += [_best(answer, way) for way in reversed(WAYS)]
        said += [_change(answer, pair, "as_trimmed") for pair in answer.against_first]
    if answer.aimed:
        said.append("Every delay was set anew, to aim at the middle of the window.")
    for place, contender in enumerate(answer.contenders):
        if not contender.aims["as_set"]:
            word = "but trimming mends that" if contender.aims["as_trimmed"] else "trimmed or not"
            said.append(
                f"{letter(answer, place)} misses even when nothing strays, as set by ruler"
                f" ({word}): compare it after trimming, or aim every delay with --aim."
            )
    return tuple(said)


def _change(answer: CompareAnswer, pair: Pair, way: str) -> str:
    change, words = pair.change[way], WAY_WORDS[way]
    first, second = letter(answer, pair.one), letter(answer, pair.other)
    if not change.clear:
        return (
            f"{words.capitalize()}, the difference between {second} and {first} is {UNCLEAR}"
            f" ({points_interval(change)} keepers in 100 frames)."
        )
    rates = [answer.contenders[place].hits.rates[way].value for place in (pair.other, pair.one)]
    more = "more" if change.value > 0.0 else "fewer"
    count = points(change).lstrip("+-")
    return (
        f"{words.capitalize()}, {second} gives {count} {more} keepers in 100 frames than {first}"
        f" ({points_interval(change)}): {write_percent(rates[0])} instead of"
        f" {write_percent(rates[1])}."
    )


def _reasons(pair: Pair) -> str:
    changed = [(reason, one) for reason, one in pair.reasons["as_trimmed"].items() if one.clear]
    if not changed:
        return "After trimming, no reason for a miss changed by more than cannot be told from 0."
    changed.sort(key=lambda item: -abs(item[1].value))
    named = ", ".join(f"{reason} {points(one)}" for reason, one in changed[:NAMED])
    return f"What changed after trimming, in frames of 100: {named}."


def _driven(answer: CompareAnswer) -> list[str]:
    """Say which difference drove the change."""
    drive = answer.drive
    if drive is None or not drive.drivers:
        return []
    if len(drive.drivers) == 1 and not drive.unfired:
        (driver,) = drive.drivers
        named = name_of(driver.difference)
        if len({change.key for change in driver.difference.changes}) > 1:
            return [f"The two differ in {named}, which go together."]
        return [f"The two differ in one thing: {named}."]
    fitting = [driver for driver in drive.ranked("as_trimmed") if driver.fits["as_trimmed"]]
    clear = [driver for driver in fitting if driver.clear("as_trimmed")]
    count = len(drive.drivers) + len(drive.unfired)
    said = []
    if clear:
        said.append(_drove(clear[0], count))
    else:
        said.append(
            f"Of the {count} differences, every single one is {UNCLEAR} after trimming, alone or"
            " with all the others changed already."
        )
    tied = len(drive.drivers) - len(fitting) + len(drive.unfired)
    if tied:
        said.append(
            f"{tied} of them make no sense alone: they spoil even the shot in which nothing strays,"
            " and belong together."
        )
    return said


def _drove(driver: Driver, count: int) -> str:
    alone, last = driver.alone["as_trimmed"], driver.last["as_trimmed"]
    return (
        f"Of the {count} differences, the one that did most after trimming is"
        f" {name_of(driver.difference)}: alone {points(alone)} keepers in 100 frames"
        f"{_sure(alone)}, with all the others changed already {points(last)}{_sure(last)}."
    )


def _sure(estimate: Estimate) -> str:
    return f" ({points_interval(estimate)})" if estimate.clear else ""


def _best(answer: CompareAnswer, way: str) -> str:
    best, following = answer.ranked(way)[:2]
    lead = answer.lead(way)
    rate = write_percent(answer.contenders[best].hits.rates[way].value)
    if not lead.clear:
        return (
            f"{WAY_WORDS[way].capitalize()}, {letter(answer, best)} has the most keepers, {rate} of"
            f" frames, but its lead over {letter(answer, following)} is {UNCLEAR}"
            f" ({points_interval(lead)} in 100 frames)."
        )
    return (
        f"{WAY_WORDS[way].capitalize()}, {letter(answer, best)} is best with {rate} of frames,"
        f" {points(lead)} in 100 frames ({points_interval(lead)}) ahead of the next,"
        f" {letter(answer, following)}."
    )


def made(answer: CompareAnswer) -> str:
    """Say on what the answer rests."""
    layout = answer.layout
    studies = ", ".join(
        f"{LETTERS[place]} {contender.study.digest}"
        for place, contender in enumerate(answer.contenders)
    )
    return (
        f"seed {layout.seed} for all, the first study's, {layout.setups} set-ups of"
        f" {layout.shots} shots, the same draws for every study; studies {studies}; intervals 95 %"
    )
