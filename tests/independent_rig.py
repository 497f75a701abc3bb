"""What an independent simulation fires: every quantity of the rig, and how far it strays.

Part of the second simulation: nothing is imported from the package. SI units, temperatures in
degrees Celsius. A nominal of NaN is a quantity that a rig need not state.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Values = dict[str, Array]
TIMER_DELAYS = {"first drop": 0.294, "second drop": 0.195, "valve": 0.457}
LINKS: dict[str, dict[str, Any]] = {
    "wire": {"nominal": 30e-6, "within": 0.0, "shot": 5e-6},
    "optical slave": {"nominal": 90e-6, "within": 30e-6, "shot": 8e-6},
    "radio": {"nominal": 1e-3, "within": 0.7e-3, "shot": 50e-6},
}
STAGGERS = {"wire": 5e-6, "optical slave": 30e-6, "radio": 100e-6}
"""From the first of several flashes to the last; within as much."""
THICK = 5e-3
NO = math.nan


class Quantity(NamedTuple):
    """A nominal value, and the spreads of its set-up error and of its shot error.

    A nominal may be a pair, for the two drops. `within` is a half width, the others are standard
    deviations (`log_sd` of the logarithm, `…share` over the nominal). `apart` is the shape of what
    has shot errors of its own, the two drops last: axes, drops or both; `alike` correlates the
    drops'. `drift` is the rise with each frame (2, 1, 1 for the two drops), `least` a floor.
    """

    nominal: float | tuple[float, float]
    sd: float = 0.0
    sd_share: float = 0.0
    within: float = 0.0
    log_sd: float = 0.0
    shot: float = 0.0
    shot_share: float = 0.0
    apart: tuple[int, ...] = ()
    alike: float = 0.0
    drift: float | Array = 0.0
    least: float = -math.inf

    def still(self) -> Quantity:
        """Return the same without spreads; what drifts goes on drifting."""
        return Quantity(self.nominal, apart=self.apart, drift=self.drift, least=self.least)


# fmt: off
CONSTANTS = {
    "valve_interval": 0.099, "valve_weighed_drops": 100.0, "valve_orifice": 0.0012,
    "valve_wobble": 0.0, "reservoir_bore": 0.060, "session_frames": 100.0,
    "liquid_glycerol": 0.0, "liquid_fat": 0.035, "liquid_density": NO, "liquid_viscosity": NO,
    "liquid_surface_tension": NO, "air_altitude": 0.0, "air_pressure": NO, "air_temperature": NO,
    "pool_level_drift": 0.0, "pool_width": NO,
    "sensor_miss_chance": 0.01, "timer_step": 4e-6, "timer_delay": NO,
    "flash_power": 1 / 64, "flash_full_duration": 13.22e-6 + 1262.4e-6 * math.log(2.0),
    "flash_dark_chance": 0.005, "flash_full_recycle": 3.0, "jet_head_ratio": 1.4,
    "camera_magnification": 0.4, "camera_aperture": 13.0, "camera_pupil_ratio": 1.0,
    "camera_wavelength": 0.55e-6, "camera_shutter_open": 1.5, "camera_iso": 200.0,
    "camera_field_width": NO, "camera_frame_width": 0.036, "keeper_depth": 0.0,
    "camera_frame_height": NO, "camera_surface_place": 0.15,
    "flash_count": 1.0, "flash_loss": 0.0,
    "keeper_age_least": 0.002, "keeper_age_most": 0.010, "keeper_off_centre": 0.25,
    "keeper_blur": 90e-6, "keeper_exposure": 0.5, "session_cadence": 15.0,
    "trim_frames": 8, "trim_reading": 0.001, "trim_step": 0.001,
}
QUANTITIES = {name: Quantity(nominal) for name, nominal in CONSTANTS.items()} | {
    "valve_nozzle_height": Quantity(0.610, within=0.002),
    "valve_latency": Quantity(0.008, sd=0.001, shot=0.0003, apart=(2,)),
    "valve_release_speed": Quantity(0.05, sd=0.02, shot=0.02, apart=(2,), least=0.0),
    # Pairs share their set-up error. The volume of a 4.5 mm sphere.
    "valve_volume": Quantity((math.pi / 6 * 0.0045**3,) * 2,
                             sd_share=0.03, shot_share=0.015, apart=(2,)),
    "valve_mass": Quantity((NO, NO), within=1e-5, shot_share=0.015, apart=(2,)),
    "valve_opening": Quantity((NO, NO), shot=1e-4, apart=(2,)),
    "valve_dead_time": Quantity(0.002, sd=0.001),
    "valve_flow": Quantity(NO, sd_share=0.02, shot_share=0.015, apart=(2,)),
    "valve_discharge": Quantity(0.62, sd=0.05, shot_share=0.015, apart=(2,)),
    "valve_wobble_phase": Quantity(0.0, within=0.5, shot=0.05, apart=(2,)),
    "valve_scatter": Quantity(0.0, shot=0.0004, apart=(2, 2)),  # axis, drop
    "reservoir_head": Quantity(0.150, within=0.002), "liquid_temperature": Quantity(20.0, sd=1.0),
    "pool_level": Quantity(0.0, within=0.0005, shot=0.0001),
    "sensor_height": Quantity(0.483, within=0.001), "sensor_offset": Quantity(0.0, sd=0.0005),
    "sensor_response": Quantity(20e-6, shot=10e-6), "flash_delay": Quantity(30e-6, shot=5e-6),
    "timer_clock_error": Quantity(0.0, within=0.0005), "camera_focus": Quantity(0.0, within=0.001),
    "flash_duration_scale": Quantity(1.0, log_sd=0.35, shot=0.02),
    "flash_energy": Quantity(1.0, shot=0.02), "flash_stagger": Quantity(NO),
    "flash_guide_number": Quantity(NO, sd_share=0.05),
    "flash_distance": Quantity(0.3, within=0.01),
    "jet_time_scale": Quantity(1.0, sd=0.04, shot=0.02, least=0.2),
    "jet_height_scale": Quantity(1.0, sd=0.20, shot=0.05, least=0.05),
    "jet_time": Quantity(NO, sd=0.003, shot_share=0.02),
    "jet_height": Quantity(NO, sd_share=0.05, shot_share=0.05),
    "jet_lean": Quantity(0.0, shot=0.0003, apart=(2,)),
    "sheet_spread_scale": Quantity(1.0, sd=0.25),
    "camera_shutter_opens_before": Quantity(0.5, shot=0.05),
}
# fmt: on


def rig(
    changes: Mapping[str, Any], *, start: str, link: str, only: Collection[str] | None
) -> dict[str, Quantity]:
    """Return the quantities of a rig.

    Parameters
    ----------
    changes : mapping
        By name: another nominal, or several fields of the `Quantity`.
    start, link : str
        What starts the timer, and what carries the flash command.
    only : collection of str, optional
        The quantities whose spreads are left in; all where None.
    """
    table = QUANTITIES.copy()
    table["timer_delay"] = Quantity(TIMER_DELAYS[start])
    table["flash_delay"] = table["flash_delay"]._replace(**LINKS[link])
    table["flash_stagger"] = Quantity(STAGGERS[link], within=STAGGERS[link], least=0.0)
    for name, change in changes.items():
        fields = change if isinstance(change, Mapping) else {"nominal": change}
        table[name] = table[name]._replace(**fields)
    if only is None:
        return table
    idle = {"timer_step", "sensor_miss_chance", "flash_dark_chance", "trim_reading"}
    still = {name: row if name in only else row.still() for name, row in table.items()}
    return still | {name: Quantity(0.0) for name in idle.difference(only)}


def widened(table: dict[str, Quantity], changes: Mapping[str, Any]) -> dict[str, Quantity]:
    """Return the rig of a thick liquid: its jet is known the less, where nobody says how well."""
    wide = {"jet_time_scale": 0.15, "jet_height_scale": 0.50}
    given = {name for name, change in changes.items() if isinstance(change, Mapping)}
    return table | {
        name: table[name]._replace(sd=sd)
        for name, sd in wide.items()
        if name not in given and table[name].sd > 0
    }


def draw(
    random: np.random.Generator, row: Quantity, setups: int, frames: Array, errors: bool
) -> Array:
    """Return nominal + set-up error + shot error + drift, with what is `apart` first."""
    shape, nominal = (setups, len(frames)), np.asarray(row.nominal, dtype=float)
    nominal = nominal[:, None, None] if nominal.ndim else nominal
    # Drawn whether used or not, so that the shot errors are the same without set-up errors.
    normal, uniform = random.standard_normal((setups, 1)), random.random((setups, 1))
    share = row.sd_share * normal + np.expm1(row.log_sd * normal)
    error = row.sd * normal + row.within * (2 * uniform - 1) + nominal * share
    value = nominal + error * errors
    if np.any(row.drift):
        value = value + row.drift * frames
    size = row.shot + row.shot_share * nominal
    if np.any(size > 0):
        own = random.standard_normal((*row.apart, *shape))
        # One cause for both drops and one for each: their shares of the variance are the
        # correlation and the rest.
        common = random.standard_normal((*row.apart[:-1], 1, *shape)) if row.alike else 0.0
        value = value + size * (np.sqrt(row.alike) * common + np.sqrt(1 - row.alike) * own)
    return np.broadcast_to(np.maximum(value, row.least), (*row.apart, *value.shape[-2:]))


def stated(row: Quantity) -> bool:
    """Whether a rig has the quantity at all."""
    return not np.any(np.isnan(row.nominal))
