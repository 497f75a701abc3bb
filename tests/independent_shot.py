"""One frame of the independent simulation, from the valve to the picture.

Nothing is imported from the package. SI units; (memory): not read in the source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.independent_drops import doses, drip
from tests.independent_fall import Fall, Swing, meet, strike, swing
from tests.independent_flash import pulse
from tests.independent_liquids import GRAVITY, air, liquid
from tests.independent_look import Drop, Jet, look, spread
from tests.independent_picture import apart, sharpness, stops_over, view
from tests.independent_rig import Array, Values

Flags = NDArray[np.bool_]
REASONS = (
    "no start",
    "no light",
    "no jet",
    "passed aside",
    "early",
    "late",
    "lopsided",
    "wrong exposure",
    "smeared",
    "soft",
)


@dataclass(frozen=True)
class Words:
    """What a rig says in words, and the tables it gives."""

    start: str
    kind: str = "water"
    constant_head: bool = True
    flash: str = "quenched"
    durations: Sequence[tuple[float, float]] = ()
    tabled: str = "tenth"


class Landed(NamedTuple):
    """Two drops on their way, and the jet that the first one throws up.

    Drops come first. `crater` is the radius of a crater with the energy of the first drop.
    """

    fall: Fall
    viscosity: Array
    swings: tuple[Swing | None, Swing | None]
    release: Array
    landing: Array
    speed: Array
    surface: Array
    crater: Array


def land(q: Values, frames: Array, nominal_head: float, words: Words) -> Landed:
    """Follow both drops from the valve to the surface."""
    stuff = liquid(words.kind, q)
    drops = drip(
        doses(q, stuff.density, nominal_head),
        q,
        frames,
        nominal_head,
        constant_head=words.constant_head,
    )
    around = (stuff.density, stuff.tension, *air(q))
    fall = Fall(drops.diameter, *around, q["valve_release_speed"])
    clock = 1 + q["timer_clock_error"]
    release = np.stack([0 * clock, q["valve_interval"] * clock]) + q["valve_latency"]
    # A drop leaves when the valve shuts; the command to shut comes after the open time.
    release = release + q.get("valve_opening", 0.0)
    surface = q["pool_level"] + drops.risen
    swings: list[Swing | None] = [None, None]
    if np.any(q["valve_wobble"] != 0):
        for drop in range(2):
            shape = (q["valve_wobble"], q["valve_wobble_phase"][drop])
            swings[drop] = swing(fall.of(drop), stuff.viscosity, *shape)
    depth = q["valve_nozzle_height"] - surface
    falls = [fall.of(drop) for drop in range(2)]
    speed = np.stack([strike(one, its, depth) for one, its in zip(falls, swings, strict=True)])
    landing = release + fall.reach(speed)[0]
    # The crater: Engel 1966; Pumphrey & Elmore 1990.
    size = fall.diameter[0]
    crater = size * (speed[0] ** 2 / (3 * GRAVITY * size)) ** 0.25
    return Landed(
        fall, stuff.viscosity, (swings[0], swings[1]), release, landing, speed, surface, crater
    )


def start_signal(q: Values, landed: Landed, random: np.random.Generator, start: str) -> Array:
    """Return when the timer starts, NaN for never.

    A drop off the beam line breaks the beam late, and one too far off does not at all.
    """
    shape = landed.landing[0].shape
    if start == "valve":
        return np.zeros(shape)
    one = 0 if start == "first drop" else 1
    fall, its = landed.fall.of(one), landed.swings[one]
    depth = q["valve_nozzle_height"] - q["sensor_height"]
    beside = q["valve_scatter"][0, one] * depth / q["valve_nozzle_height"] + q["sensor_offset"]
    crossing = fall.reach(strike(fall, its, depth, beside))[0]
    middle = fall.reach(fall.speed_after(depth, distance=True))[0] if its else crossing
    wide = its.above(middle, beside) > 0 if its else np.abs(beside) < fall.diameter / 2
    missed = ~wide | (random.random(shape) < q["sensor_miss_chance"])
    return np.where(missed, np.nan, landed.release[one] + crossing + q["sensor_response"])


def throw_up(q: Values, landed: Landed, usual_crater: Array) -> tuple[Array, Array, Array]:
    """Return when the jet emerges, when it peaks and how high.

    A fit to Worthington's photographs (1895, 1908), in units of the crater; or what was measured,
    of which the time goes with the root of the crater and the height with the crater.
    """
    growth = landed.crater / usual_crater
    peak = 3.27 * np.sqrt(landed.crater / GRAVITY) * q["jet_time_scale"]
    if "jet_time" in q:
        peak = q["jet_time"] * np.sqrt(growth)
    top = 2 * landed.crater * q["jet_height_scale"]
    if "jet_height" in q:
        top = q["jet_height"] * growth
    return landed.landing[0] + peak * (1.48 / 3.27), landed.landing[0] + peak, top


@dataclass(frozen=True)
class Shots:
    """Frames up to the delay, whose picture is yet to be taken."""

    q: Values
    landed: Landed
    signal: Array
    meeting: Array
    closing_speed: Array
    off_centre: Array
    no_jet: Flags
    dark: Flags
    wait: Array
    tenth: Array
    jet: tuple[Array, Array, Array]

    def judge(self, delay: Array) -> dict[str, Any]:
        """Take the pictures, and return what is in them.

        The place of a frame is that of its first fault in `REASONS`; NaN is no age.
        """
        q, fall, landed = self.q, self.landed.fall, self.landed
        light = self.signal + delay * (1 + q["timer_clock_error"]) + self.wait
        opens = -q["camera_shutter_opens_before"]
        shut = (light < opens) | (light > opens + q["camera_shutter_open"])
        light = np.where(self.dark | shut, np.nan, light)
        age = np.where(self.no_jet | (self.off_centre >= 1), np.nan, light - self.meeting)
        seen = view(q)
        speed = self._speed(age, light)
        sharp = sharpness(q, seen, speed, self.tenth)
        stops = stops_over(q, seen.cone)
        early, late = age < q["keeper_age_least"], age > q["keeper_age_most"]
        exposed = np.abs(stops) <= q["keeper_exposure"]
        missing = (np.isnan(self.signal), np.isnan(light), self.no_jet, self.off_centre >= 1)
        wrong = (early, late, self.off_centre > q["keeper_off_centre"], ~exposed)
        worst = np.maximum(sharp.rim, sharp.deep)
        unsharp = (sharp.motion > q["keeper_blur"], worst > q["keeper_blur"])
        faults = np.broadcast_arrays(*missing, *wrong, *unsharp)
        return {
            "place": np.select(list(faults), range(len(REASONS)), default=len(REASONS)),
            "age": age,
            "start_time": self.signal,
            "first_landing": landed.landing[0],
            "impact_speed": landed.speed[0],
            "jet_peaks": self.jet[1],
            "jet_top": self.jet[2],
            "meeting_time": self.meeting,
            "closing_speed": self.closing_speed,
            "light_time": light,
            "magnification": seen.magnification,
            "working_aperture": seen.cone,
            "exposure": 2**stops,
            "motion_blur": sharp.motion,
            "depth_blur": sharp.deep,
            "edge_gap": seen.magnification * speed * apart(q),
            "second_diameter": fall.diameter[1],
            "density": fall.density,
            "viscosity": landed.viscosity,
            "surface_tension": fall.surface_tension,
            "air_density": fall.air_density,
            "air_viscosity": fall.air_viscosity,
        }

    def look(self, taken: dict[str, Any]) -> dict[str, Any]:
        """Return what the frames that were judged are called, and what can be measured in them."""
        q, landed = self.q, self.landed
        depth = q["valve_nozzle_height"] - landed.surface
        ways = zip(landed.swings, landed.release, landed.landing, strict=True)
        one, two = (Drop(landed.fall.of(n), *way, depth) for n, way in enumerate(ways))
        sheet = spread(q, two.fall, self.closing_speed, self.off_centre, taken["age"])
        fault = np.array((*REASONS, "keeper"))[taken["place"]]
        return look(q, (one, two), Jet(*self.jet), sheet, taken | {"fault": fault})

    def _speed(self, age: Array, light: Array) -> Array:
        """What moves is the falling drop before the meeting, the rim of its sheet after.

        The sheet: Villermaux & Bossa 2011, J. Fluid Mech. 668, 412 (memory).
        """
        fall, size = self.landed.fall.of(1), self.landed.fall.diameter[1]
        square = np.maximum(1 - self.off_centre**2, 0)
        weber = fall.density * self.closing_speed**2 * size * square / fall.surface_tension
        sheet_time = np.sqrt(fall.density * size**3 / (6 * fall.surface_tension))
        pace = size / 2 * self.q["sheet_spread_scale"] * np.sqrt(weber) / sheet_time
        bent = math.sqrt(3) / 2 * np.clip(age / sheet_time, 0, 2 / math.sqrt(3))
        rim = np.abs(pace * (1 - bent) * (1 - 3 * bent))
        longest = self.landed.landing[1] - self.landed.release[1]
        since = np.clip(np.nan_to_num(light - self.landed.release[1]), 0, longest)
        return np.where(age < 0, fall.speed_after(since, distance=False), rim)


def fire(
    q: Values,
    nominal: Values,
    frames: Array,
    nominal_head: float,
    random: np.random.Generator,
    words: Words,
) -> Shots:
    """Follow every frame from the valve to the meeting."""
    landed = land(q, frames, nominal_head, words)
    usual = land(nominal, np.zeros(1), nominal_head, words).crater
    signal = start_signal(q, landed, random, words.start)
    emerges, peaks, top = throw_up(q, landed, usual)
    rise, release = peaks - emerges, landed.release[1]
    no_jet = (landed.landing[1] <= emerges) | (landed.landing[1] > peaks + rise)
    second = landed.fall.of(1)
    depth = q["valve_nozzle_height"] - landed.surface
    speed = meet(
        second,
        landed.swings[1],
        landed.speed[1],
        lambda time: top * (1 - ((release + time - peaks) / rise) ** 2),
        depth,
    )
    meeting = release + second.reach(speed)[0]
    scatter = q["valve_scatter"]
    offset = np.hypot(*(scatter[:, 1] - scatter[:, 0] - q["jet_lean"]))
    size = landed.fall.diameter
    centroid, tenth = pulse(words.flash, q, words.durations, words.tabled)
    shape = signal.shape
    dark = random.random(shape) < q["flash_dark_chance"]
    return Shots(
        q=q,
        landed=landed,
        signal=signal,
        meeting=meeting,
        closing_speed=speed - 2 * top * (meeting - peaks) / rise**2,
        off_centre=2 * offset / (size[1] + q["jet_head_ratio"] * size[0]),
        no_jet=no_jet,
        dark=dark | (q["session_cadence"] < q["flash_full_recycle"] * q["flash_power"]),
        # The middle of the light of all flashes.
        wait=q["timer_step"] * random.random(shape) + q["flash_delay"] + centroid + apart(q) / 2,
        tenth=tenth,
        jet=(emerges, peaks, top),
    )
