"""What wakes each value of a study that rests by default."""

from __future__ import annotations

from collections.abc import Iterator

from jitter.quantities import Quantity
from jitter.stages import CHAIN

# Something to give where the value has no default.
SAMPLES = {
    "air.pressure": "950 hPa",
    "air.temperature": "12 C",
    "liquid.density": "1.02 g/ml",
    "liquid.viscosity": "2 mPa s",
    "liquid.surface_tension": "60 mN/m",
    "valve.first_mass": "5 g",
    "valve.second_mass": "5 g",
    "valve.first_opening": "40 ms",
    "valve.second_opening": "40 ms",
    "valve.flow": "1 ml/s",
    "valve.wobble": "0.1",
    "pool.width": "20 cm",
    "jet.time": "60 ms",
    "jet.height": "30 mm",
    "flash.half_durations": "[['1/64', '80 us'], [1, '2 ms']]",
    "flash.tenth_durations": "[['1/64', '90 us'], [1, '6 ms']]",
    "flash.lowest_power": "1/128",
    "flash.count": "2",
    "flash.guide_number": "10 m",
    "flash.nearest": "15 cm",
    "flash.farthest": "3 m",
    "camera.field_width": "12 cm",
    "camera.frame_height": "16 mm",
    "camera.circle_of_confusion": "20 um",
    "camera.focal_length": "105 mm",
    "camera.widest_aperture": "f/2.8",
    "camera.narrowest_aperture": "f/32",
    "camera.lowest_iso": "100",
    "camera.highest_iso": "1600",
}
# Where the frame ends is seen by a drop that comes into it: a shot shortly before the meeting.
BEFORE_THE_MEETING = ("timer.delay=284 ms",)
SHOWN_BY = {
    "camera.frame_height": BEFORE_THE_MEETING,
    "camera.surface_place": BEFORE_THE_MEETING,
}
# Read by the draws, which make that many frames; no stage needs them.
READ_BY_DRAWS = {"trim.frames", "session.frames"}
# What the gear can be set to. A study that goes beyond is refused, and a question about settings
# keeps to them; the shot itself knows only what is set.
READ_BY_QUESTIONS = {
    "flash.lowest_power",
    "flash.power_step",
    "flash.nearest",
    "flash.farthest",
    "camera.widest_aperture",
    "camera.narrowest_aperture",
    "camera.lowest_iso",
    "camera.highest_iso",
}
# What a choice demands of others.
DEMANDS = {
    ("flash.kind", "full discharge"): ("flash.power=1",),
    ("liquid.kind", "thickened water"): (
        "liquid.viscosity=50 mPa s",
        "liquid.surface_tension=60 mN/m",
    ),
}


def chosen(key: str, option: str) -> tuple[str, ...]:
    """Return the settings that choose an option, with what it demands of others."""
    return (f"{key}={option}", *DEMANDS.get((key, option), ()))


def surroundings(key: str) -> Iterator[tuple[str, ...]]:
    """Yield the sets of settings of other values in each of which a value may be given."""
    item = CHAIN.declarations[key]
    if not isinstance(item, Quantity) or not item.only_with:
        yield ()
        return
    for condition in item.only_with:
        other, equals, option = condition.partition("=")
        yield chosen(other, option) if equals else (f"{other}={SAMPLES[other]}",)


def wakings(key: str) -> Iterator[tuple[str, ...]]:
    """Yield the sets of settings each of which gives a value a part."""
    own = (f"{key}={SAMPLES[key]}",) if key in SAMPLES else ()
    for others in surroundings(key):
        yield others + SHOWN_BY.get(key, ()) + own
