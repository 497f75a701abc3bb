"""What `jitter power` advises: the setting put first, its neighbours, and the price of light."""

from __future__ import annotations

import math

from jitter.answers.hits import WAYS, Hits
from jitter.answers.power.answer import Confirmed, PowerAnswer
from jitter.answers.power.choosing import Pick, best_of
from jitter.report.power.nothing import nothing_words
from jitter.report.power.settings import WHICH, in_full, in_short, is_own
from jitter.report.words import UNCLEAR
from jitter.units.writing import write_number

NEAR = 0.005
"""Stops are said in thirds where they are as near to them [stop]."""
USES = {"aperture": "for depth", "iso": "for a lower ISO", "distance": "for distance"}
"""What light is good for, by the means that takes it."""


def advice(answer: PowerAnswer) -> tuple[str, ...]:
    """Return what to set, what its neighbours would do, and what light was taken to be worth.

    Parameters
    ----------
    answer
        The answer.
    """
    if answer.best is None:
        return (nothing_words(answer),)
    return (
        *_set(answer, answer.best),
        *_beside(answer, answer.best),
        *_free(answer, answer.best),
    )


def in_hundred(share: float) -> str:
    """Say a share as so many in a hundred, to a tenth.

    Examples
    --------
    >>> in_hundred(0.7236), in_hundred(0.0001)
    ('72.4 in 100', 'under 0.1 in 100')
    """
    return f"{_hundreds(share)} in 100"


def _hundreds(share: float) -> str:
    return "under 0.1" if 0.0 < share < 0.0005 else f"{100.0 * share:.1f}"


def _kept(answer: PowerAnswer, hits: Hits, *, short: bool = False) -> str:
    """Say how many frames are kept: both ways, or after trimming where the aim is off."""
    ways = WAYS if not answer.unaimed else (answer.way,)
    shares = [_hundreds(hits.rates[way].value) for way in ways]
    if short:
        return " and ".join(shares)
    first, *rest = (f"{share} {WHICH[way]}" for share, way in zip(shares, ways, strict=True))
    return ", ".join([first.replace(" ", " in 100 frames ", 1), *rest])


def _set(answer: PowerAnswer, best: Confirmed) -> list[str]:
    words = in_full(answer, best.pick.tried.setting.study)
    yours = in_full(answer, answer.study)
    kept = _kept(answer, best.pick.tried.hits)
    if words == yours:
        return [f"Leave the flash at {words}: it keeps {kept}."]
    stops = _stops_given(answer, best)
    if keeps_less(answer):
        return [_dearer(answer, best, words, yours)]
    said = [f"Set the flash to {words}: that keeps {kept}."]
    if any(in_full(answer, other.pick.tried.setting.study) == yours for other in answer.beside):
        return said
    gain = answer.gain[answer.way]
    change = f"{100 * gain.value:+.1f} in 100" if gain.clear else f"a change {UNCLEAR}"
    if abs(stops) >= NEAR:
        change += f", and it {'gives' if stops > 0.0 else 'costs'} {stops_words(abs(stops))}"
    own_kept = in_hundred(answer.searched.rates[answer.way].value)
    return [*said, f"Yours, {yours}, keeps {own_kept} {WHICH[answer.way]}: {change}."]


def _stops_given(answer: PowerAnswer, best: Confirmed) -> float:
    return math.log2(best.pick.rung.power / answer.study.number("flash.power"))


def keeps_less(answer: PowerAnswer) -> bool:
    """Return whether the recommended setting clearly keeps fewer frames than one's own."""
    gain = answer.gain.get(answer.way)
    return gain is not None and gain.high < 0.0


def _dearer(answer: PowerAnswer, best: Confirmed, words: str, yours: str) -> str:
    """Say that one's own setting keeps more, and what the other is put first for."""
    gain, stops = answer.gain[answer.way], _stops_given(answer, best)
    ends = sorted(abs(100 * end) for end in (gain.low, gain.high))
    fewer = (
        f"{abs(100 * gain.value):.1f} fewer {WHICH[answer.way]} (95 %: {ends[0]:.1f} to"
        f" {ends[1]:.1f})"
    )
    own = f"{yours} (yours) keeps {_kept(answer, answer.searched)}."
    own = own[0].upper() + own[1:]
    other = f"{words} keeps {_kept(answer, best.pick.tried.hits, short=True)}, {fewer}"
    if stops < NEAR:
        return f"{own} Leave it: {other}."
    light = stops_words(stops)
    use = USES[best.pick.tried.setting.means]
    return (
        f"{own} {other[0].upper()}{other[1:]}, and gives {light} {use}: a stop is counted as worth"
        f" {worth_words(answer)} (--worth), so it is put first. If you do not need the light,"
        " leave the flash."
    )


def worth_words(answer: PowerAnswer) -> str:
    """Say what a stop was taken to be worth."""
    worth = 100.0 * answer.worth
    return f"{write_number(worth)} keeper{'' if worth == 1.0 else 's'} in 100"


def stops_words(stops: float) -> str:
    """Say so many stops.

    Examples
    --------
    >>> stops_words(1.0), stops_words(1 / 3), stops_words(0.5), stops_words(2.0)
    ('a stop', '1/3 stop', 'half a stop', '2 stops')
    """
    thirds = round(3.0 * stops)
    for size, words in ((1.0, "a stop"), (0.5, "half a stop")):
        if abs(stops - size) < NEAR:
            return words
    if thirds in (1, 2) and abs(3.0 * stops - thirds) < NEAR:
        return f"{thirds}/3 stop"
    return f"{write_number(stops, 2)} stops"


def _beside(answer: PowerAnswer, best: Confirmed) -> list[str]:
    """Say what the next darker and the next brighter setting would change, and cost."""
    said = []
    for other in answer.beside:
        same = in_full(answer, other.pick.tried.setting.study) == in_full(answer, answer.study)
        if same and keeps_less(answer):
            # It was said already.
            continue
        stops = math.log2(best.pick.rung.power / other.pick.rung.power)
        gain = other.gain[answer.way]
        does = f"makes a difference {UNCLEAR}"
        if gain.clear:
            ends = sorted(abs(100 * end) for end in (gain.low, gain.high))
            does = (
                f"{'gains' if gain.value > 0.0 else 'loses'} {abs(100 * gain.value):.1f} keepers"
                f" in 100 (95 %: {ends[0]:.1f} to {ends[1]:.1f})"
            )
        if keeps_less(answer):
            does += f" against {in_short(answer, best.pick)}"
        light = f"{'costs' if stops > 0.0 else 'gives'} {stops_words(abs(stops))}"
        # What is gained and what is paid stand against each other, or they do not.
        word = "but" if (gain.value > 0.0) == (stops > 0.0) or not gain.clear else "and"
        mine = is_own(answer, other.pick.rung)
        yours = " (yours)" if same else " (your power)" if mine else ""
        sentence = f"{in_short(answer, other.pick)}{yours} {does} {word} {light}."
        said.append(sentence[0].upper() + sentence[1:])
    return said


def _most(answer: PowerAnswer) -> Pick | None:
    """Return the setting that keeps the most frames, whatever its light costs."""
    return best_of(answer.rungs, answer.means, worth=0.0, way=answer.way)


def is_paid(answer: PowerAnswer) -> bool:
    """Return whether the recommended setting is so for its light: another keeps more frames."""
    most = _most(answer)
    if answer.best is None or most is None:
        return False
    return in_short(answer, most) != in_short(answer, answer.best.pick)


def _free(answer: PowerAnswer, best: Confirmed) -> list[str]:
    if answer.worth == 0.0:
        return ["Light was taken to cost nothing: the setting with the most keepers is the best."]
    said = f"A stop of light was taken to be worth {worth_words(answer)} (--worth says otherwise)"
    most = _most(answer)
    if most is None or not is_paid(answer):
        return [f"{said}; were light free, the choice would be the same."]
    rate = _rate(answer, most.tried.hits)
    others = (("yours", answer.searched), (in_short(answer, best.pick), best.pick.tried.hits))
    for words, hits in others:
        if _rate(answer, hits) == rate:
            return [f"{said}; were light free, none would keep more than {words}, {rate}."]
    return [f"{said}; were light free, {in_short(answer, most)} would keep the most, {rate}."]


def _rate(answer: PowerAnswer, hits: Hits) -> str:
    return in_hundred(hits.rates[answer.way].value)
