"""Whether a study makes physical sense: judged after every single value has been read."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from jitter.quantities import NONE, Curve, Quantity
from jitter.stage import Chain, walk
from jitter.study.settle import nominal_arguments
from jitter.study.study import Study
from jitter.units.writing import write_number, write_power, write_value

SIZES = ("first_diameter", "second_diameter")
SIZE_KEYS = tuple(
    f"valve.{which}_{way}"
    for which in ("first", "second")
    for way in ("volume", "diameter", "mass", "opening")
)
# What the size of a drop follows from, where it is neither volume nor diameter.
WEIGHING = ("valve.weighed_drops",)
POURING = ("valve.dead_time", "valve.flow", "valve.orifice", "valve.discharge")


class Nonsense(NamedTuple):
    """Values that do not fit together.

    Attributes
    ----------
    keys
        The values concerned; the first is the one to change.
    wrong, right
        What is wrong, and what would be right.
    """

    keys: tuple[str, ...]
    wrong: str
    right: str


def nominal_sizes(study: Study, chain: Chain) -> tuple[float, float] | None:
    """Return the nominal diameters of the two drops [m], or None in a chain without drops.

    Parameters
    ----------
    study
        With every value read.
    chain
        The stages of a shot.
    """
    arguments = nominal_arguments(study.entries)
    stages = chain.towards(SIZES)
    if not stages:
        return None
    events = walk(stages, arguments | chain.nominals(arguments, SIZES))
    first, second = (float(events[name]) for name in SIZES)
    return first, second


def find_nonsense(study: Study, sizes: tuple[float, float]) -> Iterator[Nonsense]:
    """Yield what does not fit together in a study.

    Parameters
    ----------
    study
        With every value read.
    sizes
        Nominal diameters of the two drops [m].
    """
    yield from _drops(study, sizes)
    yield from _heights(study, largest=max(sizes), smallest=min(sizes))
    yield from _flash(study)
    yield from _camera(study)
    yield from _liquid(study)


def _drops(study: Study, sizes: tuple[float, float]) -> Iterator[Nonsense]:
    for which, size in zip(("first", "second"), sizes, strict=True):
        volume = study.entries[f"valve.{which}_volume"]
        declared = volume.declaration
        if volume.nominal is not None or not isinstance(declared, Quantity):
            continue
        low, high = (math.cbrt(6.0 / math.pi * end) for end in (declared.lower, declared.upper))
        # The chain holds a drop within these ends, so one at an end would be beyond it.
        if low * (1.0 + 1e-6) < size < high * (1.0 - 1e-6):
            continue
        opened = study.entries[f"valve.{which}_opening"].nominal is not None
        beyond = "less" if size < 0.5 * (low + high) else "more"
        used = [key for key in POURING if study.entries[key].nominal is not None]
        doubtful = ["it", *(used if opened else WEIGHING)]
        yield Nonsense(
            (f"valve.{which}_{'opening' if opened else 'mass'}", *WEIGHING, *POURING),
            f"it makes a drop of {write_value(size, 'm')} or {beyond}",
            f"a drop is from {write_value(low, 'm')} to {write_value(high, 'm')} wide; check "
            f"{', '.join(doubtful[:-1])} and {doubtful[-1]}",
        )
    opening, interval = study.entries["valve.first_opening"], study.number("valve.interval")
    if opening.nominal is not None and opening.number >= interval:
        yield Nonsense(
            ("valve.first_opening", "valve.interval"),
            f"the valve is still open ({write_value(opening.number, 's')}) when it is told to open"
            f" for the second drop ({write_value(interval, 's')})",
            "write a shorter time, or a longer valve.interval",
        )


def _heights(study: Study, *, largest: float, smallest: float) -> Iterator[Nonsense]:
    nozzle, level = study.number("valve.nozzle_height"), study.number("pool.level")
    if nozzle - level <= 1.5 * largest:
        yield Nonsense(
            ("valve.nozzle_height", "pool.level", *SIZE_KEYS),
            f"the nozzle ({write_value(nozzle, 'm')}) is too close to the surface "
            f"({write_value(level, 'm')}) for a drop to fall",
            f"raise it above {write_value(level + 1.5 * largest, 'm')}",
        )
    if study.entries["pool.level"].drift != 0.0 and study.entries["pool.level_drift"].nominal:
        yield Nonsense(
            ("pool.level_drift", "pool.level"),
            "pool.level says already by how much the surface rises with each frame",
            "give one of pool.level_drift and the drift of pool.level",
        )
    if study.number("reservoir.bore") <= largest:
        yield Nonsense(
            ("reservoir.bore", *SIZE_KEYS),
            "the reservoir is narrower than a drop",
            f"write a width above {write_value(largest, 'm')}",
        )
    if study.entries["timer.start"].nominal == "valve":
        return
    beam, offset = study.number("sensor.height"), abs(study.number("sensor.offset"))
    if not level < beam < nozzle - largest:
        yield Nonsense(
            ("sensor.height", "valve.nozzle_height", "pool.level", "timer.start", *SIZE_KEYS),
            f"the beam ({write_value(beam, 'm')}) is not between the surface "
            f"({write_value(level, 'm')}) and the nozzle ({write_value(nozzle, 'm')})",
            f"put it above {write_value(level, 'm')} and, a drop under the nozzle, below "
            f"{write_value(nozzle - largest, 'm')}",
        )
    if offset >= 0.5 * smallest:
        yield Nonsense(
            ("sensor.offset", "timer.start", *SIZE_KEYS),
            f"the beam passes {write_value(offset, 'm')} beside the fall line, so it misses the "
            "drop",
            f"keep it under {write_value(0.5 * smallest, 'm')}, half a drop",
        )


def _flash(study: Study) -> Iterator[Nonsense]:
    power = study.number("flash.power")
    if study.entries["flash.kind"].nominal == "full discharge" and power != 1.0:
        yield Nonsense(
            ("flash.power", "flash.kind"),
            f"a flash that discharges fully has no power setting of {write_power(power)}",
            'write power = 1, or flash.kind = "voltage-controlled"',
        )
    if study.entries["flash.count"].nominal == 1.0 and study.entries["flash.stagger"].given:
        yield Nonsense(
            ("flash.stagger", "flash.count"),
            "a single flash has no other to be apart from",
            "leave it out, or write how many flashes there are into flash.count",
        )
    lowest = study.entries["flash.lowest_power"].nominal
    if isinstance(lowest, float) and power < lowest * (1.0 - 1e-9):
        yield Nonsense(
            ("flash.power", "flash.lowest_power"),
            f"the power {write_power(power)} is beyond the flash's range, which ends at"
            f" {write_power(lowest)}",
            f"write a power from {write_power(lowest)} to 1, or mend flash.lowest_power",
        )
    for key in ("flash.half_durations", "flash.tenth_durations"):
        entry = study.entries[key]
        if not isinstance(entry.declaration, Curve) or not isinstance(entry.nominal, tuple):
            continue
        powers = [pair[0] for pair in entry.nominal if isinstance(pair, tuple)]
        if not powers[0] * (1.0 - 1e-9) <= power <= powers[-1] * (1.0 + 1e-9):
            yield Nonsense(
                ("flash.power", key, "flash.kind"),
                f"the power {write_power(power)} is outside the table {key}",
                f"write a power from {write_power(powers[0])} to {write_power(powers[-1])}, or"
                " extend the table",
            )


def _camera(study: Study) -> Iterator[Nonsense]:
    for key, least, most, shown in (
        ("camera.aperture", "camera.widest_aperture", "camera.narrowest_aperture", _aperture),
        ("camera.iso", "camera.lowest_iso", "camera.highest_iso", _iso),
        ("flash.distance", "flash.nearest", "flash.farthest", _length),
    ):
        if study.entries[key].nominal is None:
            continue
        value = study.number(key)
        low, high = (study.entries[limit].nominal for limit in (least, most))
        if isinstance(low, float) and isinstance(high, float) and low > high:
            yield Nonsense(
                (most, least),
                f"{shown(high)} is below {least}, {shown(low)}",
                "swap the two, or mend one of them",
            )
            continue
        for limit, end, side in ((least, low, 1.0), (most, high, -1.0)):
            if isinstance(end, float) and side * value < side * end:
                yield Nonsense(
                    (key, limit),
                    f"{shown(value)} is beyond {limit}, {shown(end)}",
                    f"stay within {shown(end)}, or mend {limit}",
                )


def _aperture(number: float) -> str:
    return f"f/{write_number(number)}"


def _iso(number: float) -> str:
    return f"ISO {write_number(number, 7)}"


def _length(number: float) -> str:
    return write_value(number, "m")


def _liquid(study: Study) -> Iterator[Nonsense]:
    kind = study.entries["liquid.kind"].nominal
    if kind == "thickened water":
        missing = [
            key
            for key in ("liquid.viscosity", "liquid.surface_tension")
            if study.entries[key].nominal is None
        ]
        if missing:
            yield Nonsense(
                ("liquid.kind", *missing),
                "how thick thickened water is depends on the thickener",
                f"measure and give {' and '.join(missing)} too",
            )
    glycerol = study.entries["liquid.glycerol"]
    strays = glycerol.setup != NONE or glycerol.shot != NONE or glycerol.drift != 0.0
    if kind != "water" and (glycerol.nominal != 0.0 or strays):
        yield Nonsense(
            ("liquid.glycerol", "liquid.kind"),
            f"the law for {kind} knows no glycerol",
            'write liquid.kind = "water", or leave glycerol out and give density, viscosity and'
            " surface tension",
        )
