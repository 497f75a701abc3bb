"""Rigs said twice, in the words of a study file and in those of the independent simulation.

Each of the `TWINS` has one piece of physics for itself: nothing strays but what it names. The
`CROWDS` have many, and every spread left in. Their numbers are invented.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

RISE = 0.00002
INCH = 0.0254
FIRST_GROWS = np.array([0.002, 0.0])[:, None, None] * math.pi / 6 * 0.0045**3


@dataclass(frozen=True)
class Twin:
    """One rig, said twice.

    Attributes
    ----------
    settings
        In a study's words.
    changes
        In the words of the independent simulation.
    strays
        Keys whose spreads are left in; everything else stands still.
    start, link, words
        As `simulate` takes them.
    doubt
        By how much the package's approximations may move a moment [s]; 1 µs is what its falls
        promise.
    share
        The same for what is no time, over the value.
    study
        The shipped study that it starts from, if any.
    reasons
        Why frames must be lost for the rig to be worth looking at.
    """

    settings: tuple[str, ...] = ()
    changes: Mapping[str, Any] = field(default_factory=dict)
    strays: tuple[str, ...] = ()
    start: str = "first drop"
    link: str = "wire"
    words: Mapping[str, Any] = field(default_factory=dict)
    doubt: float = 1e-6
    share: float = 1e-4
    study: str = ""
    reasons: tuple[str, ...] = ()


VOLUMES = ("valve.first_volume", "valve.second_volume")
MASSES = ("valve.first_mass", "valve.second_mass")
OPENINGS = ("valve.first_opening", "valve.second_opening")
TABLE = "[['1/128', '80 us'], ['1/32', '130 us'], ['1', '1 ms']]"
PAIRS = ((1 / 128, 80e-6), (1 / 32, 130e-6), (1.0, 1e-3))

# fmt: off
PLAIN = {
    "first drop": Twin(),
    "second drop": Twin(start="second drop"),
    "valve": Twin(start="valve"),
}
WOBBLES = {
    "egg": Twin(("valve.wobble=0.1",), {"valve_wobble": 0.1}),
    "any phase": Twin(
        ("valve.wobble=0.1",), {"valve_wobble": 0.1}, ("valve.wobble_phase",)),
    "beam beside": Twin(
        ("valve.wobble=0.1", "valve.wobble_phase=0.6", "sensor.offset=1.5 mm"),
        {"valve_wobble": 0.1, "valve_wobble_phase": 0.6, "sensor_offset": 0.0015}),
    "alike phases": Twin(
        ("valve.wobble=0.1", "valve.wobble_phase={shot='sd 0.2', setup='none', alike=1}"),
        {"valve_wobble": 0.1, "valve_wobble_phase": {"alike": 1.0, "shot": 0.2, "within": 0.0}},
        ("valve.wobble_phase",)),
    "largest, second drop": Twin(
        ("valve.wobble=0.4", "valve.wobble_phase=0.3"),
        {"valve_wobble": 0.4, "valve_wobble_phase": 0.3}, start="second drop",
        share=3e-4),
    "thick drop": Twin(
        ("valve.wobble=0.2", "liquid.glycerol=0.7"),
        {"valve_wobble": 0.2, "liquid_glycerol": 0.7}, share=3e-4),
}
DOSES = {
    "volumes": Twin(strays=VOLUMES),
    "masses": Twin(
        ("valve.first_mass=4.6 g", "valve.second_mass=5 g"),
        {"valve_mass": (4.6e-3, 5e-3)}, MASSES),
    "few drops of milk weighed": Twin(
        ("valve.first_mass=0.23 g", "valve.second_mass=0.25 g", "valve.weighed_drops=5",
         "liquid.kind=milk"),
        {"valve_mass": (2.3e-4, 2.5e-4), "valve_weighed_drops": 5.0},
        (*MASSES, "liquid.temperature"), words={"kind": "milk"}),
    "open time through an orifice": Twin(
        ("valve.first_opening=40 ms", "valve.second_opening=43 ms", "valve.orifice=1.25 mm",
         "reservoir.head=14 cm", "timer.delay=295 ms"),
        {"valve_opening": (0.040, 0.043), "valve_orifice": 0.00125, "reservoir_head": 0.14,
         "timer_delay": 0.295},
        (*OPENINGS, "valve.dead_time", "valve.discharge", "reservoir.head")),
    "open time, still": Twin(
        ("valve.first_opening=40 ms", "valve.second_opening=43 ms", "valve.discharge=0.7"),
        {"valve_opening": (0.040, 0.043), "valve_discharge": 0.7}, start="second drop"),
    "open time with a measured flow": Twin(
        ("valve.first_opening=40 ms", "valve.second_opening=43 ms", "valve.flow='1.3 ml/s'"),
        {"valve_opening": (0.040, 0.043), "valve_flow": 1.3e-6}, (*OPENINGS, "valve.flow"),
        start="valve"),
}
# The package lets a dish rise by the drops of the session's start, however small they become.
SESSIONS = {
    "open reservoir": Twin(
        ("reservoir.constant_head=no", "reservoir.bore=35 mm", "reservoir.head=100 mm"),
        {"reservoir_bore": 0.035, "reservoir_head": 0.100}, ("reservoir.head",),
        words={"constant_head": False}),
    "open reservoir, drops that stray": Twin(
        ("reservoir.constant_head=no", "reservoir.bore=35 mm", "reservoir.head=100 mm"),
        {"reservoir_bore": 0.035, "reservoir_head": 0.100}, ("reservoir.head", *VOLUMES),
        words={"constant_head": False}),
    "from a narrow bottle into a narrow dish": Twin(
        ("reservoir.constant_head=no", "reservoir.bore=30 mm", "reservoir.head=80 mm",
         "pool.width=100 mm"),
        {"reservoir_bore": 0.030, "reservoir_head": 0.080, "pool_width": 0.100},
        words={"constant_head": False}, doubt=1e-5),
    "rising dish": Twin(("pool.width=12 cm",), {"pool_width": 0.12}),
    "sinking level": Twin(("pool.level_drift=-0.02 mm",), {"pool_level_drift": -RISE}),
    "level that drifts": Twin(
        ("pool.level.drift='0.02 mm/frame'",), {"pool_level": {"nominal": 0.0, "drift": RISE}}),
    "latency and delay drift": Twin(
        ("valve.latency.drift=0.01 ms", "timer.delay.drift=-0.02 ms", "session.frames=60"),
        {"valve_latency": {"drift": 1e-5}, "timer_delay": {"drift": -2e-5},
         "session_frames": 60.0}, start="second drop"),
    "cooling": Twin(
        ("liquid.temperature={nominal='25 C', drift='-0.1 K'}",),
        {"liquid_temperature": {"nominal": 25.0, "drift": -0.1}}),
    "volumes drift": Twin(
        ("valve.first_volume.drift=0.1 %", "valve.second_volume.drift=0.1 %"),
        {"valve_volume": {"drift": 47.713e-12}}, share=1e-3),
    "release speed drifts to nothing": Twin(
        ("valve.release_speed.drift=-0.001 m/s",),
        {"valve_release_speed": {"drift": -0.001}}, ("valve.release_speed",)),
}
ALIKE = {
    f"{what}, {start}": Twin(
        (f"{key}.alike={alike}", f"{key}.setup=none"),
        {name: {"alike": alike, "sd": 0.0, "sd_share": 0.0}}, keys, start=start)
    for start in ("first drop", "second drop", "valve")
    for what, key, name, keys, alike in (
        ("latency", "valve.latency", "valve_latency", ("valve.latency",), 0.8),
        ("release", "valve.release_speed", "valve_release_speed", ("valve.release_speed",), 1.0),
    )
}
ALIKE["volume"] = Twin(
    ("valve.first_volume.alike=0.5",), {"valve_volume": {"alike": 0.5}}, VOLUMES)
ALIKE["scatter"] = Twin(
    ("valve.scatter.alike=0.9", "sensor.offset=1 mm"),
    {"valve_scatter": {"alike": 0.9}, "sensor_offset": 0.001}, ("valve.scatter",))
JETS = {
    "time and height measured": Twin(
        ("jet.time=110 ms", "jet.height=32 mm"), {"jet_time": 0.110, "jet_height": 0.032},
        ("jet.time", "jet.height", *VOLUMES)),
    "time and height measured at the start": Twin(
        ("jet.time=110 ms", "jet.height=32 mm", "valve.first_volume.drift=0.2 %"),
        {"jet_time": 0.110, "jet_height": 0.032, "valve_volume": {"drift": FIRST_GROWS}}),
    "time measured, nozzle raised": Twin(
        ("jet.time=125 ms", "valve.nozzle_height={nominal='640 mm', setup='within 30 mm'}"),
        {"jet_time": 0.125, "valve_nozzle_height": {"nominal": 0.640, "within": 0.030}},
        ("valve.nozzle_height",)),
    "thick": Twin(
        ("liquid.kind=thickened water", "liquid.viscosity=20 mPa s",
         "liquid.surface_tension=60 mN/m", "liquid.temperature=15 C"),
        {"liquid_viscosity": 0.020, "liquid_surface_tension": 0.060, "liquid_temperature": 15.0},
        ("jet.height_scale",)),
    "thick, slow or quick": Twin(
        ("liquid.glycerol=60 %",), {"liquid_glycerol": 0.6}, ("jet.time_scale",), share=3e-4),
}
AIRS = {
    "mountain": Twin(
        ("air.altitude=3200 m", "air.temperature=2 C"),
        {"air_altitude": 3200.0, "air_temperature": 2.0}),
    "pressure": Twin(("air.pressure=900 hPa",), {"air_pressure": 9e4}),
    "milk": Twin(
        ("liquid.kind=milk", "liquid.fat=1.5 %", "liquid.temperature=28 C"),
        {"liquid_fat": 0.015, "liquid_temperature": 28.0}, ("liquid.temperature",),
        words={"kind": "milk"}),
    "glycerol": Twin(
        ("liquid.glycerol=45 %",), {"liquid_glycerol": 0.45}, ("liquid.temperature",),
        share=3e-4),
    "measured liquid": Twin(
        ("liquid.density=1100 kg/m3", "liquid.surface_tension=35 mN/m"),
        {"liquid_density": 1100.0, "liquid_surface_tension": 0.035}),
}
# Soon after the meeting the rim is fast, and how long the light lasts shows.
SOON, AT = ("timer.delay=290 ms",), {"timer_delay": 0.290}
FLASHES = {
    "quenched at a half": Twin((*SOON, "flash.power=1/2"), {**AT, "flash_power": 0.5}),
    "full discharge": Twin(
        (*SOON, "flash.kind=full discharge", "flash.full_duration=400 us"),
        {**AT, "flash_power": 1.0, "flash_full_duration": 4e-4},
        words={"flash": "full discharge"}),
    "voltage-controlled": Twin(
        (*SOON, "flash.kind=voltage-controlled", "flash.power=1/16"),
        {**AT, "flash_power": 1 / 16}, words={"flash": "voltage-controlled"}),
    "voltage-controlled, measured": Twin(
        (*SOON, "flash.kind=voltage-controlled", "flash.power=1/8",
         "flash.full_duration=150 us"),
        {**AT, "flash_power": 1 / 8, "flash_full_duration": 150e-6},
        words={"flash": "voltage-controlled"}),
    "table of t0.1": Twin(
        (*SOON, f"flash.tenth_durations={TABLE}", "flash.power=1/50"),
        {**AT, "flash_power": 1 / 50, "flash_duration_scale": {"log_sd": 0.10}},
        ("flash.duration_scale",), words={"durations": PAIRS, "tabled": "tenth"}),
    "table of t0.5": Twin(
        (*SOON, f"flash.half_durations={TABLE}", "flash.power=1/4",
         "flash.kind=voltage-controlled"),
        {**AT, "flash_power": 1 / 4},
        words={"durations": PAIRS, "tabled": "half", "flash": "voltage-controlled"}),
    "optical slave": Twin(
        ("flash.link=optical slave",), {}, ("flash.delay",), link="optical slave"),
    "radio": Twin(("flash.link=radio",), {}, ("flash.delay",), link="radio"),
    "radio, still": Twin(("flash.link=radio",), link="radio"),
    "optical slave, still": Twin(("flash.link=optical slave",), link="optical slave"),
}
LIGHTS = {
    "guide number, off by a fifth of a stop": Twin(
        ("flash.guide_number={nominal='24 m', setup='sd 8 %'}", "camera.iso=400",
         "flash.distance={nominal='25 cm', setup='within 4 cm'}", "flash.loss=1 stop"),
        {"flash_guide_number": {"nominal": 24.0, "sd_share": 0.08}, "camera_iso": 400.0,
         "flash_distance": {"nominal": 0.25, "within": 0.04}, "flash_loss": 1.0},
        ("flash.guide_number", "flash.distance", "flash.energy")),
    "two flashes on optical slaves": Twin(
        (*SOON, "flash.count=2", "flash.link=optical slave", "flash.guide_number=40 m",
         "flash.distance=60 cm"),
        {**AT, "flash_count": 2.0, "flash_guide_number": 40.0, "flash_distance": 0.6},
        ("flash.stagger", "flash.delay"), link="optical slave"),
    "five flashes by radio, dimmed by voltage": Twin(
        (*SOON, "flash.count=5", "flash.link=radio", "flash.kind=voltage-controlled",
         "flash.stagger={nominal='0.4 ms', setup='within 0.3 ms', shot='sd 20 us'}"),
        {**AT, "flash_count": 5.0,
         "flash_stagger": {"nominal": 4e-4, "within": 3e-4, "shot": 2e-5}},
        ("flash.stagger",), link="radio", words={"flash": "voltage-controlled"}),
    "small sensor, deep": Twin(
        ("camera.frame_width=12.8 mm", "camera.field_width=9 cm", "camera.pupil_ratio=0.6",
         "camera.aperture=f/5.6", "keeper.depth=8 mm", "flash.guide_number=12 m",
         "camera.focus={nominal='2 mm', setup='within 3 mm'}"),
        {"camera_frame_width": 0.0128, "camera_field_width": 0.09, "camera_pupil_ratio": 0.6,
         "camera_aperture": 5.6, "keeper_depth": 0.008, "flash_guide_number": 12.0,
         "camera_focus": {"nominal": 0.002, "within": 0.003}},
        ("camera.focus", "valve.scatter")),
}
CROWDS = {
    "kitchen, as shipped but for its rarer shapes": Twin(
        ("valve.latency.setup='within 1.5 ms'", "valve.release_speed.setup='sd 0.02 m/s'",
         "valve.release_speed.shot='sd 0.015 m/s'"),
        {"liquid_glycerol": {"nominal": 0.4, "sd": 0.01},
         "liquid_temperature": {"nominal": 23.0, "sd": 1.5},
         "reservoir_head": {"nominal": 0.120, "within": 0.003}, "reservoir_bore": 0.070,
         "valve_nozzle_height": {"nominal": 0.320, "within": 0.0015},
         "valve_volume": {"nominal": (math.pi / 6 * 0.0032**3,) * 2, "shot_share": 0.024},
         "valve_latency": {"nominal": 0.006, "sd": 0.0, "within": 0.0015, "shot": 0.00025},
         "valve_release_speed": {"shot": 0.015}, "valve_interval": 0.080,
         "pool_level_drift": 2e-6, "timer_delay": 0.338,
         "jet_time_scale": {"nominal": 1.05, "sd": 0.084, "shot": 0.021},
         "jet_height_scale": {"nominal": 0.8, "sd": 0.24, "shot": 0.04},
         "camera_magnification": 0.7, "camera_aperture": 16.0, "keeper_age_least": 0.0015,
         "keeper_age_most": 0.007, "keeper_blur": 110e-6, "session_cadence": 12.0,
         "session_frames": 60.0},
        start="valve", words={"constant_head": False}, study="kitchen-glycerol"),
    "milk on a mountain, and all that drifts": Twin(
        ("liquid.kind=milk", "air.altitude=2000 m", "valve.wobble=0.1",
         "valve.release_speed.alike=0.7", "valve.latency={alike=0.5, drift='2 us'}",
         "reservoir.constant_head=no", "reservoir.bore=45 mm", "pool.width=15 cm",
         "flash.kind=voltage-controlled", "flash.power=1/2", "flash.delay='1 ms'",
         "flash.delay.setup='within 0.7 ms'", "flash.delay.shot='sd 50 us'",
         "flash.link=radio", "jet.time=115 ms", "jet.height=30 mm", "timer.delay=183 ms",
         "keeper.age=['5 ms', '7 ms']", "keeper.blur=0.15 mm",
         "liquid.temperature={nominal='22 C', drift='-0.05 K'}", "session.frames=80"),
        {"air_altitude": 2000.0, "valve_wobble": 0.1, "valve_release_speed": {"alike": 0.7},
         "valve_latency": {"alike": 0.5, "drift": 2e-6}, "reservoir_bore": 0.045,
         "pool_width": 0.15, "flash_power": 0.5, "jet_time": 0.115, "jet_height": 0.030,
         "timer_delay": 0.183, "liquid_temperature": {"nominal": 22.0, "drift": -0.05},
         "session_frames": 80.0, "valve_nozzle_height": 0.600, "sensor_height": 0.470,
         "valve_volume": (math.pi / 6 * 0.0045**3, math.pi / 6 * 0.0044**3),
         "sensor_miss_chance": 0.02, "flash_duration_scale": {"log_sd": 0.0},
         "keeper_age_least": 0.005, "keeper_age_most": 0.007, "keeper_blur": 150e-6},
        start="second drop", link="radio",
        words={"kind": "milk", "constant_head": False, "flash": "voltage-controlled"},
        reasons=("early", "late", "smeared"), study="garage-second-drop"),
    "mishaps that become more": Twin(
        ("sensor.miss_chance={nominal=0, drift='0.2 %'}", "flash.dark_chance.drift=0.001",
         "flash.energy.drift=-0.5 %", "session.frames=70"),
        {"sensor_miss_chance": {"nominal": 0.0, "drift": 0.002},
         "flash_dark_chance": {"drift": 0.001},
         "flash_energy": {"drift": -0.005}, "session_frames": 70.0},
        reasons=("no start", "no light", "wrong exposure")),
    "thick, in open times": Twin(
        ("valve.first_opening=40 ms", "valve.second_opening=40 ms", "liquid.glycerol=55 %",
         "timer.delay=297 ms"),
        {"valve_opening": (0.040, 0.040), "liquid_glycerol": 0.55, "timer_delay": 0.297},
        reasons=("early", "late")),
    "weighed, in a beam beside": Twin(
        ("valve.first_mass=4.6 g", "valve.second_mass=4.8 g", "valve.wobble=0.2",
         "sensor.offset={nominal='1/16 in', setup='sd 1/64 in'}", "flash.power=1/32",
         "flash.tenth_durations=[['1/64', '60 us'], ['1', '2 ms']]"),
        {"valve_mass": (4.6e-3, 4.8e-3), "valve_wobble": 0.2, "flash_power": 1 / 32,
         "sensor_offset": {"nominal": INCH / 16, "sd": INCH / 64},
         "flash_duration_scale": {"log_sd": 0.10}},
        words={"durations": ((1 / 64, 60e-6), (1.0, 2e-3))}, reasons=("no start",)),
    "a guide number in doubt": Twin(
        ("flash.guide_number={nominal='15 m', setup='sd 8 %'}", "flash.power=1/16",
         "flash.distance={nominal='25 cm', setup='within 4 cm'}", "flash.loss=0.5 stops",
         "camera.iso=160"),
        {"flash_guide_number": {"nominal": 15.0, "sd_share": 0.08}, "flash_power": 1 / 16,
         "flash_distance": {"nominal": 0.25, "within": 0.04}, "flash_loss": 0.5,
         "camera_iso": 160.0},
        reasons=("wrong exposure",)),
    "four flashes on optical slaves": Twin(
        ("flash.count=4", "flash.link=optical slave", "flash.guide_number=30 m",
         "flash.distance=65 cm", "flash.stagger={nominal='90 us', setup='within 60 us'}",
         "keeper.age=['1 ms', '10 ms']", "keeper.blur=60 um", "timer.delay=291 ms"),
        {"flash_count": 4.0, "flash_guide_number": 30.0, "flash_distance": 0.65,
         "flash_stagger": {"nominal": 9e-5, "within": 6e-5}, "keeper_age_least": 0.001,
         "keeper_blur": 60e-6, "timer_delay": 0.291},
        link="optical slave", reasons=("early", "smeared")),
    "a small sensor and a deep sheet": Twin(
        ("camera.frame_width=12.8 mm", "camera.field_width=9 cm", "camera.aperture=f/5.6",
         "camera.pupil_ratio=0.8", "keeper.depth=9 mm", "keeper.blur=32 um",
         "camera.focus.setup='within 3 mm'", "keeper.age=['1 ms', '8 ms']",
         "timer.delay=292 ms"),
        {"camera_frame_width": 0.0128, "camera_field_width": 0.09, "camera_aperture": 5.6,
         "camera_pupil_ratio": 0.8, "keeper_depth": 0.009, "keeper_blur": 32e-6,
         "camera_focus": {"within": 0.003}, "keeper_age_least": 0.001,
         "keeper_age_most": 0.008, "timer_delay": 0.292},
        reasons=("early", "soft")),
}
# fmt: on
TWINS = {
    f"{room}: {name}": twin
    for room, twins in (
        ("plain", PLAIN),
        ("wobble", WOBBLES),
        ("dose", DOSES),
        ("session", SESSIONS),
        ("alike", ALIKE),
        ("jet", JETS),
        ("air and liquid", AIRS),
        ("flash", FLASHES),
        ("light", LIGHTS),
    )
    for name, twin in twins.items()
}
