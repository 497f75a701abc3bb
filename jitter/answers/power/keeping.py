"""How the exposure is kept right when the flash's power changes: aperture, speed or distance."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from jitter.answers.variants import with_values
from jitter.quantities import NONE, Quantity
from jitter.stage import Events
from jitter.stages.exposure import GUIDE_ISO
from jitter.study.study import Entry, Study
from jitter.trial import single

MEANS = {"aperture": "camera.aperture", "iso": "camera.iso", "distance": "flash.distance"}
"""What may be changed, in the order in which it is recommended where all do as well."""
LIMITS = {
    "aperture": ("camera.widest_aperture", "camera.narrowest_aperture", 2.8, 32.0),
    "iso": ("camera.lowest_iso", "camera.highest_iso", 100.0, 1600.0),
    "distance": ("flash.nearest", "flash.farthest", 0.15, 3.0),
}
"""By means: where the gear ends, as the study says it, and where it is taken to end otherwise."""
DISTANCE_STEP = 0.005
POWER, DELAY, GUIDE, DISTANCE = (
    "flash.power",
    "timer.delay",
    "flash.guide_number",
    MEANS["distance"],
)


@dataclass(frozen=True)
class Setting:
    """A power, and what keeps the exposure right at it.

    Attributes
    ----------
    means
        One of `MEANS`.
    value
        Aperture number, ISO, or distance [m]; a multiple of one's own distance in a study without
        a guide number.
    wanted
        The same, if gear had no steps and no ends.
    off
        By how much the nominal exposure is over a right one [stop].
    reached
        Whether that is within what a keeper may have.
    study
        The rig so set, its delay following the light.
    """

    means: str
    value: float
    wanted: float
    off: float
    reached: bool
    study: Study


def is_relative(study: Study) -> bool:
    """Return whether a study leaves the exposure relative: it gives no guide number."""
    return study.entries[GUIDE].nominal is None


def absolute(study: Study, nominal: Events) -> Study:
    """Return a study in which the exposure hangs on power, aperture, speed and distance.

    A study without a guide number gets the one that makes its own settings right, at a distance of
    1, with no spread: a trial found the settings, so that nothing strays but the flash's energy.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of its shot in which nothing strays.
    """
    if not is_relative(study):
        return study
    flashes = study.entries["flash.count"].nominal or 1.0
    light = study.number(POWER) * float(str(flashes)) * study.number("camera.iso") / GUIDE_ISO
    guide = single(nominal, "working_aperture") / math.sqrt(light)
    tried = with_values(study, {GUIDE: guide, DISTANCE: 1.0, "flash.loss": 0.0})
    still = {key: _stand_in(tried.entries[key]) for key in (GUIDE, DISTANCE)}
    return replace(tried, entries={**tried.entries, **still})


def _stand_in(entry: Entry) -> Entry:
    """Return a number that does not stray, nor is held within what such a thing can be."""
    declared = entry.declaration
    if isinstance(declared, Quantity):
        declared = replace(declared, lower=0.0, upper=math.inf)
    return replace(entry, declaration=declared, setup=NONE, shot=NONE)


def limits(study: Study, means: str) -> tuple[float, float]:
    """Return between what ends a means can be set, the study's own setting within them.

    Parameters
    ----------
    study
        The rig, as the user gave it.
    means
        One of `MEANS`.
    """
    if means == "distance" and is_relative(study):
        return 0.0, math.inf
    least, most, low, high = LIMITS[means]
    own = study.number(MEANS[means])
    lowest, highest = (study.entries[key].nominal for key in (least, most))
    return (
        lowest if isinstance(lowest, float) else min(low, own),
        highest if isinstance(highest, float) else max(high, own),
    )


def keep(
    study: Study,
    *,
    means: str,
    ends: tuple[float, float],
    power: float,
    exposure: float,
    delay: float,
    relative: bool,
) -> Setting:
    """Return a rig at another power whose exposure is kept right by one means.

    Parameters
    ----------
    study
        From `absolute`.
    means
        One of `MEANS`.
    ends
        From `limits`.
    power
        Share of the full energy [1].
    exposure
        Of the study at that power and nothing else changed, 1 being right.
    delay
        Of the timer, so that the light's middle stays where it is [s].
    relative
        Whether distances are multiples of one's own.
    """
    own = study.number(MEANS[means])
    # Light goes with the square of aperture and distance, and with the speed itself.
    square = -1.0 if means == "iso" else 2.0
    wanted = own * exposure ** (1.0 / square)
    value = min(max(_on_a_mark(wanted, means, own=own, relative=relative), ends[0]), ends[1])
    off = math.log2(exposure) - square * math.log2(value / own)
    made = with_values(study, {POWER: power, DELAY: delay, MEANS[means]: value})
    return Setting(
        means, value, wanted, off, abs(off) <= study.number("keeper.exposure") + 1e-9, made
    )


def _on_a_mark(wanted: float, means: str, *, own: float, relative: bool) -> float:
    """Return the nearest value that can be set; one's own where that is it."""
    if means == "distance":
        if relative:
            return float(f"{wanted:.3g}")
        if abs(wanted - own) <= 0.5 * DISTANCE_STEP:
            return own
        return max(round(wanted / DISTANCE_STEP), 1) * DISTANCE_STEP
    steps, zero = (6.0, 1.0) if means == "aperture" else (3.0, 100.0)
    place = round(steps * math.log2(wanted / zero))
    if place == round(steps * math.log2(own / zero)):
        return own
    marked: float = zero * 2.0 ** (place / steps)
    return marked
