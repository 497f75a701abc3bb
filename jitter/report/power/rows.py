"""The tables of `jitter power`."""

from __future__ import annotations

import math

from jitter.answers.hits import Hits
from jitter.answers.power.answer import PowerAnswer
from jitter.answers.power.rungs import Rung, Tried
from jitter.report.power.settings import (
    BY,
    beyond,
    is_best,
    is_own,
    name_power,
    reaches,
    tell_means,
)
from jitter.report.power.words import marks
from jitter.report.words import gained
from jitter.stages.streak import duration_from_streak
from jitter.stages.verdict import REASONS
from jitter.trial import single
from jitter.units.writing import write_difference, write_number, write_percent

NONE = "–"
MANY = 24
LOST = ("smeared", "soft", "wrong exposure", "no light")
"""The reasons that hang on the light."""


def shown_rungs(answer: PowerAnswer) -> tuple[Rung, ...]:
    """Return the powers that a table shows: all, or of very many those at whole stops.

    One's own, the recommended one and its neighbours are always shown.

    Parameters
    ----------
    answer
        The answer.
    """
    if len(answer.rungs) <= MANY:
        return answer.rungs
    beside = {other.pick.rung.power for other in answer.beside}

    def whole(power: float) -> bool:
        stops = math.log2(power)
        return abs(stops - round(stops)) < 1e-6

    return tuple(
        rung
        for rung in answer.rungs
        if whole(rung.power)
        or rung.power in beside
        or is_own(answer, rung)
        or is_best(answer, rung)
    )


def hidden(answer: PowerAnswer) -> str:
    """Return the words about powers that no table shows; empty where all are shown.

    Parameters
    ----------
    answer
        The answer.
    """
    count = len(answer.rungs) - len(shown_rungs(answer))
    told = f"{count} powers between these are in --json; of more than {MANY}, whole stops are shown"
    return told if count else ""


def share_lost(hits: Hits, way: str, reason: str) -> float:
    """Return the share of all frames that a reason takes."""
    frames = getattr(hits, way)
    return float(frames[:, REASONS.index(reason)].sum()) / (len(frames) * hits.shots)


def microns(length: float) -> str:
    """Write a length in bare micrometres; a dash where there is none.

    Examples
    --------
    >>> microns(33.1e-6), microns(2.9202e-3), microns(float("nan"))
    ('33', '2920', '–')
    """
    return NONE if math.isnan(length) else write_number(1e6 * length, 2)


def signed(stops: float) -> str:
    """Write stops with their sign, nothing without one.

    Examples
    --------
    >>> signed(1.04), signed(-0.01), signed(-12.43)
    ('+1.0', '0.0', '-12.4')
    """
    return f"{stops:+.1f}" if abs(stops) >= 0.05 else "0.0"


def light_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each power: mark, t0.5, t0.1 and its band, blurs, shift, recharging."""
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        band, rim = rung.bands.tenth, rung.bands.rim
        rows.append(
            (
                name_power(rung.power),
                marks(answer, rung),
                microns(rung.half),
                microns(rung.tenth),
                f"{microns(band.low)} to {microns(band.high)}",
                NONE if math.isnan(rim.low) else f"{microns(rim.low)} to {microns(rim.high)}",
                microns(rung.drop),
                microns(rung.tip),
                f"{1e6 * rung.shift:+.0f}" if abs(rung.shift) >= 0.5e-6 else "0",
                write_difference(rung.recycle, "s", digits=2),
            )
        )
    return rows


def keeper_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each power: mark, the share smeared, and for each means value and keepers.

    Where gear does not reach, the value is followed by what is missing.
    """
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        cells = [name_power(rung.power), marks(answer, rung)]
        for means in answer.means:
            tried = rung.tried[means]
            missing = beyond(tried.setting)
            cells.append(tell_means(answer, means, tried.setting.value))
            cells.append(missing or write_percent(tried.hits.rates[answer.way].value))
        rows.append(tuple(cells))
    return rows


def loss_rows(answer: PowerAnswer, means: str) -> list[tuple[str, ...]]:
    """Return a row for each power kept right by one means: what the light costs in frames."""
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        tried = rung.tried[means]
        rows.append(
            (
                name_power(rung.power),
                marks(answer, rung),
                tell_means(answer, means, tried.setting.value),
                write_percent(tried.hits.rates["as_set"].value),
                write_percent(tried.hits.rates["as_trimmed"].value),
                *(write_percent(share_lost(tried.hits, answer.way, reason)) for reason in LOST),
            )
        )
    return rows


def cost_rows(answer: PowerAnswer, means: str) -> list[tuple[str, ...]]:
    """Return a row for each power kept right by one means: light, depth, diffraction, noise."""
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        tried = rung.tried[means]
        rows.append(
            (
                name_power(rung.power),
                marks(answer, rung),
                _guide(answer, rung),
                tell_means(answer, means, tried.setting.value),
                signed(tried.setting.off),
                write_number(tried.working_aperture),
                _depth(tried.depth_of_field),
                microns(tried.diffraction),
                _noise(answer, tried),
                NONE if math.isinf(tried.ghost) else signed(tried.ghost),
            )
        )
    return rows


def _guide(answer: PowerAnswer, rung: Rung) -> str:
    """Write the guide number of all flashes together at a power and ISO 100; relative without."""
    study = answer.study
    if answer.relative:
        return f"× {write_number(math.sqrt(rung.power / study.number('flash.power')))}"
    flashes = float(str(study.entries["flash.count"].nominal or 1.0))
    guide = study.number("flash.guide_number") * math.sqrt(rung.power * flashes)
    return f"{write_number(guide)} m"


def _depth(depth: float) -> str:
    return "no end" if math.isinf(depth) else write_difference(depth, "m", digits=2)


def _noise(answer: PowerAnswer, tried: Tried) -> str:
    iso = tried.setting.study.number("camera.iso")
    told = answer.study.entries["camera.lowest_iso"].nominal
    lowest = told if isinstance(told, float) else min(100.0, answer.study.number("camera.iso"))
    return signed(math.log2(iso / lowest))


def blur_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each power: each blur in pixels and in circles of confusion."""
    pixel = answer.study.number("camera.pixel")
    circle = single(answer.nominal, "circle_of_confusion")
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        sizes = (rung.bands.rim.middle, rung.bands.rim.high, rung.drop, rung.tip)
        told = (_in_parts(size, pixel, circle) for size in sizes)
        rows.append((name_power(rung.power), marks(answer, rung), *told))
    return rows


def _in_parts(size: float, pixel: float, circle: float) -> str:
    if math.isnan(size):
        return NONE
    return f"{write_number(size / pixel, 2)} px, {write_number(size / circle, 2)} c"


def means_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each means: its best setting and the keepers, both ways."""
    rows: list[tuple[str, ...]] = []
    for means in answer.means:
        pick = answer.by_means.get(means)
        if pick is None:
            none = "none keeps a frame" if reaches(answer, means) else "none is exposed right"
            rows.append((f"by {BY[means]}", none, NONE, NONE, NONE))
            continue
        rates = pick.tried.hits.rates
        rows.append(
            (
                f"by {BY[means]}",
                name_power(pick.rung.power),
                tell_means(answer, means, pick.tried.setting.value),
                *(write_percent(rates[way].value) for way in ("as_set", "as_trimmed")),
            )
        )
    return rows


def over_note(answer: PowerAnswer) -> str:
    """Say what stands for keepers where gear does not reach; empty where it always does."""
    settings = [tried.setting for rung in shown_rungs(answer) for tried in rung.tried.values()]
    if all(setting.reached for setting in settings):
        return ""
    return (
        "stops in place of per cents: over-exposed (+) or under-exposed (-) by so much, the gear"
        " being at its end"
    )


def several_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each number of flashes that share the recommended light."""
    if answer.best is None:
        return []
    rows: list[tuple[str, ...]] = []
    for row in answer.several:
        gains = [gained(row.gain[way]) for way in ("as_set", "as_trimmed")]
        rows.append(
            (
                str(row.count),
                name_power(row.power),
                microns(row.tenth),
                microns(row.stagger),
                microns(row.edge_gap),
                microns(row.smear),
                *gains,
            )
        )
    return rows


def streak_rows(answer: PowerAnswer) -> list[tuple[str, ...]]:
    """Return a row for each power: the streak of a glint near the surface, and a pixel's worth."""
    speed = single(answer.nominal, "impact_speed")
    size = single(answer.nominal, "magnification")
    pixel = answer.study.number("camera.pixel")
    worth = duration_from_streak(
        streak_length=answer.nominal["magnification"] * 0.0 + pixel,
        glint_length=answer.nominal["magnification"] * 0.0,
        magnification=answer.nominal["magnification"],
        speed=answer.nominal["impact_speed"],
    )
    rows: list[tuple[str, ...]] = []
    for rung in shown_rungs(answer):
        streak = size * speed * rung.tenth
        rows.append(
            (
                name_power(rung.power),
                marks(answer, rung),
                microns(rung.tenth),
                microns(streak),
                write_number(streak / pixel, 2),
                f"{write_number(100 * float(worth.item()) / rung.tenth, 1)} %",
            )
        )
    return rows
