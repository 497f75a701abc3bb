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
        yield others + own
