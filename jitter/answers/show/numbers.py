"""The numbers that an engineer asks for, of the shot in which nothing strays."""

from __future__ import annotations

import math
from dataclasses import dataclass

from jitter.stage import Events
from jitter.stages.wobble import stretch
from jitter.study.study import Study
from jitter.trial import single

BLUR = "picture"
"""The group of the parts of the blur."""


@dataclass(frozen=True)
class Number:
    """A number of the nominal shot.

    Attributes
    ----------
    group
        What it belongs to.
    name
        In words.
    symbol
        As in the equations.
    value
        In SI; NaN where it does not exist in this shot.
    unit
        SI unit.
    """

    group: str
    name: str
    symbol: str
    value: float
    unit: str


def numbers(study: Study, nominal: Events) -> tuple[Number, ...]:
    """Return the numbers of a nominal shot.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of the shot in which nothing strays, of every stage.

    Returns
    -------
    tuple of Number
        Without those that do not exist in this shot.
    """
    landing = single(nominal, "first_landing")
    height = (
        single(nominal, "jet_top") * (1.0 - single(nominal, "peak_share") ** 2)
        if not math.isnan(single(nominal, "peak_share"))
        else math.nan
    )
    exposure = single(nominal, "exposure")
    off = math.nan if exposure <= 0.0 else math.log2(exposure)

    def of(group: str, name: str, symbol: str, event: str, unit: str) -> Number:
        return Number(group, name, symbol, single(nominal, event), unit)

    def since(name: str, symbol: str, event: str) -> Number:
        return Number("jet", name, symbol, single(nominal, event) - landing, "s")

    pixel = study.number("camera.pixel")
    light = single(nominal, "flash_time") - single(nominal, "flash_command")
    found = [
        of("liquid and air", "density", "ρ", "density", "kg/m3"),
        of("liquid and air", "viscosity", "μ", "viscosity", "Pa s"),
        of("liquid and air", "surface tension", "σ", "surface_tension", "N/m"),
        of("liquid and air", "density of the air", "ρa", "air_density", "kg/m3"),
        of("drops", "diameter of the first", "D₁", "first_diameter", "m"),
        of("drops", "diameter of the second", "D₂", "second_diameter", "m"),
        of("drops", "speed at the beam", "v_s", "beam_speed", "m/s"),
        of("drops", "speed of the first at impact", "U", "impact_speed", "m/s"),
        of("impact of the first drop", "Weber number", "We", "weber", "1"),
        of("impact of the first drop", "Froude number", "Fr", "froude", "1"),
        of("impact of the first drop", "Reynolds number", "Re", "reynolds", "1"),
        of("impact of the first drop", "Ohnesorge number", "Oh", "ohnesorge", "1"),
        of("impact of the first drop", "energy length of the crater", "R_E", "energy_length", "m"),
        of("impact of the first drop", "depth of the pool over it", "h/R_E", "depth_ratio", "1"),
        since("emerges after the landing", "t_e", "jet_emerges"),
        since("stands highest after the landing", "t_p", "jet_peaks"),
        since("is gone after the landing", "t_g", "jet_gone"),
        of("jet", "height of its top", "H", "jet_top", "m"),
        Number("meeting", "height above the surface", "h", height, "m"),
        of("meeting", "place in the jet's life (0: at its top)", "", "peak_share", "1"),
        of("meeting", "closing speed", "U_r", "closing_speed", "m/s"),
        of("meeting", "Weber number", "We", "sheet_weber", "1"),
        of("sheet at the light", "age", "a", "age", "s"),
        of("sheet at the light", "radius", "R", "sheet_radius", "m"),
        of("sheet at the light", "speed of its rim", "dR/dt", "rim_speed", "m/s"),
        Number("light", "command to the pulse's centroid", "", light, "s"),
        of("light", "duration t0.5", "t0.5", "flash_half_duration", "s"),
        of("light", "duration t0.1", "t0.1", "flash_duration", "s"),
        Number("light", "exposure over a right one", "ΔE", off, "stop"),
        of("light", "room light against mid-grey", "", "ghost_stops", "stop"),
        of(BLUR, "magnification", "m", "magnification", "1"),
        of(BLUR, "working aperture number", "N_eff", "working_aperture", "1"),
        of(BLUR, "depth of field", "", "depth_of_field", "m"),
        of(BLUR, "working distance of the lens", "", "working_distance", "m"),
        of(BLUR, "circle of confusion", "c", "circle_of_confusion", "m"),
    ]
    for name, event in (
        ("motion blur", "motion_blur"),
        ("defocus", "defocus_blur"),
        ("diffraction", "diffraction_blur"),
        ("blur in all", "blur"),
    ):
        size = abs(single(nominal, event))
        found.append(Number(BLUR, f"{name} on the camera's sensor", "", size, "m"))
        found.append(Number(BLUR, f"{name} in pixels", "", size / pixel, "1"))
    found += _swings(nominal)
    return tuple(number for number in found if not math.isnan(number.value))


def _swings(nominal: Events) -> list[Number]:
    """Return the phase and the stretch of drops that oscillate, where it counts."""
    found = []
    for which, moments in (
        ("first", (("beam", "start_time"), ("surface", "first_landing"))),
        ("second", (("beam", "start_time"), ("jet", "meeting_time"))),
    ):
        wobble = nominal[f"{which}_wobble"]
        for place, event in moments:
            if wobble is None or (place == "beam" and nominal["timer_start"] != f"{which} drop"):
                continue
            elapsed = nominal[event] - nominal[f"{which}_release"]
            if place == "beam":
                elapsed = elapsed - nominal["sensor_response"]
            turns = float((wobble.phase + wobble.rate * elapsed / (2.0 * math.pi)).item())
            tall = float(stretch(wobble, elapsed).item())
            where = f"of the {which} drop at the {place}"
            group = "oscillation"
            found.append(Number(group, f"phase {where}, in periods", "φ", turns % 1.0, "1"))
            found.append(Number(group, f"half height over radius {where}", "", tall, "1"))
    return found
