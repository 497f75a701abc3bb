"""What-ifs that make a look common which a good rig seldom shows."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from jitter.answers.variants import with_spread, with_values
from jitter.quantities import Level, Quantity, sd, within
from jitter.stage import Chain, Events
from jitter.stages.look import LOOKS
from jitter.stages.sheet import GONE
from jitter.study.study import Nominal, Study
from jitter.trial import nominal_shot, single

CLEARLY = 2.5
"""What-ifs go beyond a keeper's limit by so much."""
MIDDLING = 0.2
"""A rim's speed on the average against the one with which it begins."""


@dataclass(frozen=True)
class WhatIf:
    """A study changed so that it shows some looks often.

    Attributes
    ----------
    words
        What differs, in words; "" for the study itself.
    looks
        For whose sake.
    study
        As changed.
    """

    words: str
    looks: tuple[str, ...]
    study: Study


def staged(study: Study, chain: Chain) -> Iterator[WhatIf]:
    """Yield what-ifs of a study, the mildest first: itself, then single faults, then other moments.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    """
    yield WhatIf("", LOOKS, study)
    for words, base in _bases(study, chain):
        nominal = nominal_shot(base, chain)
        if words:
            yield WhatIf(words, LOOKS, base)
        for fault, look, change in FAULTS:
            joined = " and ".join(part for part in (words, fault) if part)
            yield WhatIf(joined, (look,), change(base, nominal))


def _bases(study: Study, chain: Chain) -> Iterator[tuple[str, Study]]:
    """Yield the study, and it with the light where there is something to be seen."""
    yield "", study
    clocked = with_values(study, {"timer.start": "valve"})
    nominal = nominal_shot(clocked, chain)
    words = ""
    if _ill_lit(study, nominal):
        words = "enough light, "
        clocked = _well_lit(clocked, nominal)
    if math.isnan(single(nominal, "meeting_time")):
        words += "the second drop on time, "
        clocked = _timed(clocked, nominal)
    nominal = nominal_shot(clocked, chain)
    meeting, gone = single(nominal, "meeting_time"), single(nominal, "sheet_life")
    if not math.isnan(meeting):
        about = _lit_between(clocked, nominal, meeting - 0.1 * gone, meeting + gone)
        yield f"{words}the light about the meeting", about
    first, last = single(nominal, "first_landing"), single(nominal, "jet_gone")
    anywhere = _lit_between(clocked, nominal, first - 0.6 * (last - first), last)
    yield f"{words}the light at any moment", anywhere


def _ill_lit(study: Study, nominal: Events) -> bool:
    """Return whether most frames have no light, or the wrong one."""
    off = abs(math.log2(single(nominal, "exposure")))
    unlit = bool(nominal["unlit"].item()) or study.number("flash.dark_chance") > 0.5
    return unlit or off > study.number("keeper.exposure")


def _well_lit(study: Study, nominal: Events) -> Study:
    """Return the study with a flash that always fires and gives the right light."""
    energy = study.number("flash.energy") / single(nominal, "exposure")
    recycle = study.number("flash.full_recycle") * study.number("flash.power")
    return with_values(
        study,
        {
            "flash.dark_chance": 0.0,
            "flash.energy": _held(study, "flash.energy", energy),
            "session.cadence": max(study.number("session.cadence"), 2.0 * recycle),
        },
    )


def _timed(study: Study, nominal: Events) -> Study:
    """Return the study with the second drop landing as the jet stands highest."""
    late = single(nominal, "second_landing") - single(nominal, "jet_peaks")
    return with_values(study, {"valve.interval": max(study.number("valve.interval") - late, 0.0)})


def _lit_between(study: Study, nominal: Events, first: float, last: float) -> Study:
    """Return a study whose clock the valve starts with the light between two moments [s]."""
    offset = single(nominal, "flash_time") - single(nominal, "flash_command")
    first, last = max(first - offset, 0.0), max(last - offset, 0.0)
    lit = with_values(
        study,
        {
            "timer.delay": 0.5 * (first + last),
            # A shutter that opens late would darken them all.
            "camera.shutter_opens_before": 0.0,
            "camera.shutter_open": max(study.number("camera.shutter_open"), 2.0 * last),
        },
    )
    lit = with_spread(lit, ["camera.shutter_opens_before"], Level.SHOT, within(0.0))
    return with_spread(lit, ["timer.delay"], Level.SHOT, within(0.5 * (last - first)))


def _unlit(study: Study, nominal: Events) -> Study:
    del nominal
    return with_values(study, {"flash.dark_chance": 1.0})


def _scattered(study: Study, nominal: Events) -> Study:
    """Return the study with drops that stray until most are off-centre and some pass aside."""
    widths = single(nominal, "second_diameter")
    widths += single(nominal, "jet_head_ratio") * single(nominal, "first_diameter")
    return with_spread(study, ["valve.scatter"], Level.SHOT, sd(0.15 * widths))


def _dim(study: Study, nominal: Events) -> Study:
    """Return the study with too little light."""
    stops = CLEARLY * max(study.number("keeper.exposure"), 0.5)
    # Three stops at the most: at four the frame is dark.
    share = 2.0 ** -min(stops, 3.0) / single(nominal, "exposure")
    energy = share * study.number("flash.energy")
    return with_values(study, {"flash.energy": _held(study, "flash.energy", energy)})


def _long(study: Study, nominal: Events) -> Study:
    """Return the study with light so long that a rim in motion smears."""
    moved = single(nominal, "flash_duration") * single(nominal, "magnification")
    wanted = 1.5 * CLEARLY * study.number("keeper.blur") / (moved * _rim_pace(nominal))
    scale = study.number("flash.duration_scale") * wanted
    return with_values(study, {"flash.duration_scale": _held(study, "flash.duration_scale", scale)})


def _out_of_focus(study: Study, nominal: Events) -> Study:
    disc = single(nominal, "magnification") ** 2 / single(nominal, "working_aperture")
    far = CLEARLY * study.number("keeper.blur") / disc
    return with_values(study, {"camera.focus": _held(study, "camera.focus", -far)})


def _twice(study: Study, nominal: Events) -> Study:
    """Return the study with two flashes, one clearly after the other, and the same light."""
    drawn = single(nominal, "magnification") * _rim_pace(nominal)
    gap = 3.0 * CLEARLY * study.number("keeper.blur") / drawn
    count = study.entries["flash.count"].nominal
    before = 1.0 if count is None else study.number("flash.count")
    changes: dict[str, Nominal] = {
        "flash.count": 2.0,
        "flash.stagger": _held(study, "flash.stagger", gap),
        "camera.iso": study.number("camera.iso") * before / 2.0,
    }
    return with_spread(with_values(study, changes), ["flash.stagger"], Level.SETUP, within(0.0))


def _rim_pace(nominal: Events) -> float:
    """Return how fast the rim moves, at least a middling speed [m/s]; it begins at √We D/(2 τ)."""
    begins = 0.5 * single(nominal, "second_diameter") * math.sqrt(single(nominal, "sheet_weber"))
    middling = MIDDLING * begins * float(GONE) / single(nominal, "sheet_life")
    return max(middling, float(np.nan_to_num(single(nominal, "rim_speed"))))


def _held(study: Study, key: str, value: float) -> float:
    """Return a value within its declared limits."""
    declared = study.entries[key].declaration
    if not isinstance(declared, Quantity):
        raise TypeError(f"{key} is no number")
    return min(max(value, declared.lower), declared.upper)


FAULTS: tuple[tuple[str, str, Callable[[Study, Events], Study]], ...] = (
    ("a flash that does not fire", "dark", _unlit),
    ("drops that stray sideways", "lopsided", _scattered),
    ("too little light", "wrong exposure", _dim),
    ("light that lasts too long", "smeared", _long),
    ("the focus beside the fall line", "soft", _out_of_focus),
    ("two flashes, one after the other", "two images", _twice),
)
"""In words, the look that each makes, and how it changes a study of a nominal shot."""
