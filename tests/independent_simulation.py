"""An independent implementation of the shot model, kept apart from the package on purpose.

It checks the package: nothing is imported from it, no code, random numbers or method shared, so
the two only agree if both say the same physics. SI units, temperature in degrees Celsius; z points
up from the datum, time counts from the first valve command. (memory): not read in the source.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import xlog1py

Array = NDArray[np.float64]
Places = NDArray[np.intp]
GRAVITY = 9.80665
TIMER_DELAYS = {"first drop": 0.294, "second drop": 0.195, "valve": 0.457}


class Quantity(NamedTuple):
    """A nominal value, and the spreads of its set-up error and of its shot error.

    `within` is a half width, the others are standard deviations (`log_sd` of the logarithm);
    `apart` is the shape of what has shot errors of its own: drops, axes or both.
    """

    nominal: float
    sd: float = 0.0
    within: float = 0.0
    log_sd: float = 0.0
    shot: float = 0.0
    relative: bool = False
    apart: tuple[int, ...] = ()


# fmt: off
REASONS = (
    "no start", "no light", "no jet", "passed aside", "early", "late", "lopsided",
    "wrong exposure", "smeared", "soft",
)
CONSTANTS = {
    "valve_first_volume": 47.7e-9, "valve_second_volume": 47.7e-9, "valve_interval": 0.099,
    "sensor_miss_chance": 0.01, "timer_step": 4e-6, "air_pressure": 101325.0,
    "flash_power": 1 / 64, "flash_dark_chance": 0.005, "flash_full_recycle": 3.0,
    "jet_head_ratio": 1.4, "camera_magnification": 0.4, "camera_aperture": 13.0,
    "camera_pupil_ratio": 1.0, "camera_wavelength": 0.55e-6, "camera_shutter_open": 1.5,
    "keeper_age_least": 0.002, "keeper_age_most": 0.010, "keeper_off_centre": 0.25,
    "keeper_blur": 90e-6, "keeper_exposure": 0.5, "session_cadence": 15.0,
    "trim_frames": 8, "trim_reading": 0.001, "trim_step": 0.001, "timer_delay": math.nan,
}
QUANTITIES = {name: Quantity(nominal) for name, nominal in CONSTANTS.items()} | {
    "valve_nozzle_height": Quantity(0.610, within=0.002),
    "valve_latency": Quantity(0.008, sd=0.001, shot=0.0003, apart=(2,)),
    "valve_release_speed": Quantity(0.05, sd=0.02, shot=0.02, apart=(2,)),
    # The relative error of both volumes, whose set-up part they share.
    "valve_volume_factor": Quantity(1.0, sd=0.03, shot=0.015, apart=(2,)),
    "valve_scatter": Quantity(0.0, shot=0.0004, apart=(2, 2)),  # axis, drop
    "reservoir_head": Quantity(0.150, within=0.002), "liquid_temperature": Quantity(20.0, sd=1.0),
    "pool_level": Quantity(0.0, within=0.0005, shot=0.0001),
    "sensor_height": Quantity(0.483, within=0.001), "sensor_offset": Quantity(0.0, sd=0.0005),
    "sensor_response": Quantity(20e-6, shot=10e-6), "flash_delay": Quantity(30e-6, shot=5e-6),
    "timer_clock_error": Quantity(0.0, within=0.0005), "camera_focus": Quantity(0.0, within=0.001),
    "flash_duration_scale": Quantity(1.0, log_sd=0.35, shot=0.02, relative=True),
    "flash_energy": Quantity(1.0, shot=0.02, relative=True),
    "jet_time_scale": Quantity(1.0, sd=0.04, shot=0.02, relative=True),
    "jet_height_scale": Quantity(1.0, sd=0.20, shot=0.05, relative=True),
    "jet_lean": Quantity(0.0, shot=0.0003, apart=(2,)),
    "sheet_spread_scale": Quantity(1.0, sd=0.25, relative=True),
    "camera_shutter_opens_before": Quantity(0.5, shot=0.05),
}
# fmt: on


@dataclass(frozen=True)
class Fall:
    """Drops falling through still air, with the speed as the independent variable.

    Time and distance are plain integrals over it, of 1/acceleration and speed/acceleration.
    Only good well below terminal speed: at these heights, for diameters above about 1 mm.
    """

    diameter: Array
    density: Array
    surface_tension: Array
    air_density: Array
    air_viscosity: Array
    release_speed: Array

    def acceleration(self, speed: Array) -> Array:
        """Return weight less buoyancy less drag, over mass and added mass.

        Drag of Clift & Gauvin 1971 (memory), with a fit for flattening to Gunn & Kinzer 1949;
        written so that nothing is divided by the Reynolds number, which may be 0.
        """
        reynolds = self.air_density * speed * self.diameter / self.air_viscosity
        weber = self.air_density * speed**2 * self.diameter / self.surface_tension
        viscous = 24 * self.air_viscosity * speed / (self.air_density * self.diameter)
        inertial = 0.42 * speed**2 * reynolds**1.16 / (reynolds**1.16 + 42500)
        drag = (viscous * (1 + 0.15 * reynolds**0.687) + inertial) * (1 + 0.02278 * weber**1.776)
        weight = (self.density - self.air_density) * GRAVITY
        force = weight - 0.75 * self.air_density / self.diameter * drag
        return force / (self.density + self.air_density / 2)

    def reach(self, speed: Array) -> tuple[Array, Array]:
        """Return time and distance from the release to this speed (Gauss-Legendre)."""
        half = (speed - self.release_speed) / 2
        time, distance = np.zeros_like(half), np.zeros_like(half)
        for node, weight in zip(*np.polynomial.legendre.leggauss(10), strict=True):
            at = self.release_speed + half * (1 + node)
            share = weight * half / self.acceleration(at)
            time, distance = time + share, distance + share * at
        return time, distance

    def speed_after(self, amount: Array, *, distance: bool) -> Array:
        """Return the speed this far below the release, or this long after it.

        Newton's method down from the speed without drag: both integrals are convex in speed.
        """
        fallen = np.sqrt(self.release_speed**2 + 2 * GRAVITY * amount)
        speed = fallen if distance else self.release_speed + GRAVITY * amount
        for _ in range(6):
            excess = self.reach(speed)[int(distance)] - amount
            speed = speed - excess * self.acceleration(speed) / (speed if distance else 1)
        return speed


def draw(random: np.random.Generator, row: Quantity, shape: tuple[int, int], errors: bool) -> Array:
    """Return nominal + set-up error + shot error, with what is `apart` first."""
    unit = row.nominal if row.relative else 1.0
    # Drawn whether used or not, so that the shot errors are the same without set-up errors.
    normal, uniform = random.standard_normal((shape[0], 1)), random.random((shape[0], 1))
    error = row.sd * normal + row.within * (2 * uniform - 1) + np.expm1(row.log_sd * normal)
    value = row.nominal + unit * error * errors
    if row.shot:
        value = value + unit * row.shot * random.standard_normal((*row.apart, *shape))
    return value


def fire(
    q: dict[str, Array], nominal_head: float, start: str, random: np.random.Generator
) -> Callable[[Array], tuple[Array, Places]]:
    """Follow every frame from the valve to the jet, and return the judge of its picture."""
    celsius, kelvin = q["liquid_temperature"], q["liquid_temperature"] + 273.15
    # Water: density of Kell 1975, surface tension of IAPWS R1-76(2014).
    terms = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
    density = sum(term * celsius**i for i, term in enumerate(terms)) / (1 + 16.879850e-3 * celsius)
    tau = 1 - kelvin / 647.096
    tension = 0.2358 * tau**1.256 * (1 - 0.625 * tau)
    # Torricelli: what a valve lets through goes with the root of the head.
    volume = np.stack([q["valve_first_volume"], q["valve_second_volume"]])
    volume = volume * np.sqrt(q["reservoir_head"] / nominal_head) * q["valve_volume_factor"]
    diameter, release_speed = np.cbrt(6 / np.pi * volume), np.maximum(q["valve_release_speed"], 0)
    # Air: Sutherland's law with the constants of the US Standard Atmosphere 1976.
    air = (q["air_pressure"] / (287.05 * kelvin), 1.458e-6 * kelvin**1.5 / (kelvin + 110.4))
    fall = Fall(diameter, density, tension, *air, release_speed)
    clock, level, nozzle = 1 + q["timer_clock_error"], q["pool_level"], q["valve_nozzle_height"]
    release = np.stack([0 * clock, q["valve_interval"] * clock]) + q["valve_latency"]
    impact_speed = fall.speed_after(nozzle - level - diameter / 2, distance=True)
    fall_time = fall.reach(impact_speed)[0]
    landing = release + fall_time
    scatter, shape = q["valve_scatter"], landing[0].shape
    # A drop off the beam line breaks the beam late, and one too far off does not at all.
    signal = np.zeros(shape)
    if start != "valve":
        one = 0 if start == "first drop" else 1
        drop_height = nozzle - q["sensor_height"]
        beside = scatter[0] * drop_height / nozzle + q["sensor_offset"]
        chord = (diameter / 2) ** 2 - beside**2
        to_edge = drop_height - np.sqrt(np.maximum(chord, 0))
        crossing = release + fall.reach(fall.speed_after(to_edge, distance=True))[0]
        missed = (chord[one] <= 0) | (random.random(shape) < q["sensor_miss_chance"])
        signal = np.where(missed, np.nan, crossing[one] + q["sensor_response"])
    # The jet: a fit to Worthington's photographs (1895, 1908), in units of a crater with the
    # energy of the drop (Engel 1966; Pumphrey & Elmore 1990).
    crater = diameter[0] * (impact_speed[0] ** 2 / (3 * GRAVITY * diameter[0])) ** 0.25
    unit = np.sqrt(crater / GRAVITY) * q["jet_time_scale"]
    emerges, peaks = landing[0] + 1.48 * unit, landing[0] + 3.27 * unit
    rise, top = peaks - emerges, 2 * crater * q["jet_height_scale"]
    no_jet = (landing[1] <= emerges) | (landing[1] > peaks + rise)
    # The meeting, by bisection on the speed of the second drop: it is above the tip at its
    # release, and not above it at its landing, if it lands while the jet stands.
    second = replace(fall, diameter=diameter[1], release_speed=release_speed[1])
    low, high = np.broadcast_to(release_speed[1], shape), impact_speed[1]
    for _ in range(32):
        middle = (low + high) / 2
        time, distance = second.reach(middle)
        tip = top * (1 - ((release[1] + time - peaks) / rise) ** 2)
        above = nozzle - distance - diameter[1] / 2 - level > tip
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    meeting = release[1] + second.reach(high)[0]
    closing_speed = high - 2 * top * (meeting - peaks) / rise**2
    offset = np.hypot(*(scatter[:, 1] - scatter[:, 0] - q["jet_lean"]))
    off_centre = 2 * offset / (diameter[1] + q["jet_head_ratio"] * diameter[0])
    # The sheet: Villermaux & Bossa 2011, J. Fluid Mech. 668, 412 (memory).
    weber = density * closing_speed**2 * diameter[1] * np.maximum(1 - off_centre**2, 0) / tension
    sheet_time = np.sqrt(density * diameter[1] ** 3 / (6 * tension))
    sheet_speed = diameter[1] / 2 * q["sheet_spread_scale"] * np.sqrt(weber) / sheet_time
    # The flash: an exponential pulse, cut when it has given its share of the energy; its length
    # between tenths of the peak (t0.1 of ISO 2827:1988) needs no cut after nine tenths.
    share, decay, scale = q["flash_power"], 1262.4e-6, q["flash_duration_scale"]
    centroid = decay * (1 + xlog1py(1 - share, -share) / share) * scale
    tenth = (13.22e-6 - decay * np.log1p(-np.minimum(share, 0.9))) * scale
    dark = random.random(shape) < q["flash_dark_chance"]
    dark = dark | (q["session_cadence"] < q["flash_full_recycle"] * share)
    wait = q["timer_step"] * random.random(shape) + q["flash_delay"] + centroid
    opens = -q["camera_shutter_opens_before"]
    aperture = q["camera_aperture"] * (1 + q["camera_magnification"] / q["camera_pupil_ratio"])
    defocus = q["camera_magnification"] ** 2 * np.abs(scatter[1, 1] + q["camera_focus"]) / aperture
    diffraction = 1.7454 * q["camera_wavelength"] * aperture

    def judge(delay: Array) -> tuple[Array, Places]:
        """Return the age (NaN: none) and the place of the first fault in `REASONS`."""
        light = signal + delay * clock + wait
        shut = (light < opens) | (light > opens + q["camera_shutter_open"])
        light = np.where(dark | shut, np.nan, light)
        age = np.where(no_jet | (off_centre >= 1), np.nan, light - meeting)
        # What moves is the falling drop before the meeting, the rim of its sheet after.
        since_release = np.clip(np.nan_to_num(light - release[1]), 0, fall_time[1])
        bent = math.sqrt(3) / 2 * np.clip(age / sheet_time, 0, 2 / math.sqrt(3))
        rim = np.abs(sheet_speed * (1 - bent) * (1 - 3 * bent))
        speed = np.where(age < 0, second.speed_after(since_release, distance=False), rim)
        motion = 1.1686 * q["camera_magnification"] * speed * tenth
        blur = np.sqrt(motion**2 + defocus**2 + diffraction**2)
        early, late = age < q["keeper_age_least"], age > q["keeper_age_most"]
        exposed = np.abs(np.log2(q["flash_energy"])) <= q["keeper_exposure"]
        missing = (np.isnan(signal), np.isnan(light), no_jet, off_centre >= 1)
        wrong = (early, late, off_centre > q["keeper_off_centre"], ~exposed)
        unsharp = (motion > q["keeper_blur"], blur > q["keeper_blur"])
        faults = np.broadcast_arrays(*missing, *wrong, *unsharp)
        return age, np.select(list(faults), range(len(REASONS)), default=len(REASONS))

    return judge


def summarise(age: Array, verdict: Places) -> dict[str, Any]:
    """Return shares, and the age by one-way analysis of variance (Searle et al. 1992)."""
    keeper = verdict == len(REASONS)
    count = np.isfinite(age).sum(axis=1)
    age, count = age[count > 0], count[count > 0]
    total, groups = count.sum(), len(count)
    with np.errstate(invalid="ignore", divide="ignore"):
        means, mean = np.nansum(age, axis=1) / count, np.nansum(age) / total
        within = np.nansum((age - means[:, None]) ** 2) / (total - groups)
        between = np.sum(count * (means - mean) ** 2) / (groups - 1)
        size = (total - np.sum(count**2) / total) / (groups - 1)
        sd_setup = np.sqrt(np.maximum((between - within) / size, 0))
    return {
        "hit_rate": float(keeper.mean()),
        "hit_rates_by_setup": keeper.mean(axis=1),
        "reasons": {name: float(np.mean(verdict == i)) for i, name in enumerate(REASONS)},
        "age_mean": float(mean),
        "age_sd_setup": float(sd_setup),
        "age_sd_shot": float(np.sqrt(within)),
    }


def simulate(
    *, start: str, setups: int, shots: int, seed: int, setup_errors: bool = True, **nominals: float
) -> dict[str, dict[str, Any]]:
    """Fire shots with many set-ups of one rig, and judge every frame twice.

    Parameters
    ----------
    start : str
        What starts the timer: "first drop", "second drop" or "valve".
    setups, shots, seed : int
        Number of set-ups and of shots with each; seed of the random numbers.
    setup_errors : bool, optional
        Whether rigs are set up with errors; without, only shot errors are left.
    **nominals : float
        Nominal values to change, by their name in `QUANTITIES` (a dot may stand for an underscore).

    Returns
    -------
    dict of str to dict
        "as_set" by ruler and "as_trimmed" after reading a few frames, each with "hit_rate",
        "hit_rates_by_setup", "reasons" (shares of all frames), and "age_mean", "age_sd_setup"
        and "age_sd_shot" in seconds, over the frames that have an age.
    """
    table = QUANTITIES.copy()
    for given, nominal in ({"timer_delay": TIMER_DELAYS[start]} | nominals).items():
        name = given.replace(".", "_")
        table[name] = table[name]._replace(nominal=nominal)
    random, readings = np.random.default_rng(seed), int(table["trim_frames"].nominal)
    shape = (setups, shots + readings)
    q = {name: draw(random, row, shape, setup_errors) for name, row in table.items()}
    judge = fire(q, table["reservoir_head"].nominal, start, random)
    as_set = judge(q["timer_delay"])
    # The last frames of every set-up are the ones it is trimmed by; they are not counted.
    error = as_set[0][:, shots:] - (q["keeper_age_least"] + q["keeper_age_most"]) / 2
    error = error + q["trim_reading"] * random.standard_normal((setups, readings))
    readable = np.maximum(np.isfinite(error).sum(axis=1, keepdims=True), 1)
    steps = np.round(np.nansum(error, axis=1, keepdims=True) / readable / q["trim_step"])
    as_trimmed = judge(q["timer_delay"] - steps * q["trim_step"])
    ways = {"as_set": as_set, "as_trimmed": as_trimmed}
    return {way: summarise(age[:, :shots], place[:, :shots]) for way, (age, place) in ways.items()}
