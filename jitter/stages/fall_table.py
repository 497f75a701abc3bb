"""What a study's draws can reach, over which its falls are fitted before the first shot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from jitter.arrays import Array
from jitter.stages.air import air
from jitter.stages.dose import dose_reach
from jitter.stages.drag import fall_units
from jitter.stages.fall_fit import FallTable, fit_fall
from jitter.stages.liquid import liquid
from jitter.stages.reservoir import LEAST_FLOW


def prepare_fall(reach: Mapping[str, Any]) -> tuple[FallTable, FallTable]:
    """Return the fall tables of a study's first and second drop.

    Range, neglect and source are those of `jitter.stages.fall.falls`.

    Parameters
    ----------
    reach
        For each argument the smallest and largest value that a draw can take, or None.

    Returns
    -------
    tuple of FallTable
        The same one twice where the drops are alike.
    """
    medium = _reach_medium(reach)
    density = (float(medium["density"].min()), float(medium["density"].max()))
    first, second = dose_reach({**reach, "density": density})
    drawn = (first[1] + second[1]) * reach["session_frames"][1]
    flow = _reach_flow(reach, drawn=drawn)
    table = _prepare_drop(reach, first, flow=flow, medium=medium)
    if second == first:
        return table, table
    return table, _prepare_drop(reach, second, flow=flow, medium=medium)


def _reach_flow(reach: Mapping[str, Any], *, drawn: float) -> tuple[float, float]:
    """Return the smallest and largest flow into a drop relative to the nominal head's."""
    head, nominal = reach["reservoir_head"], reach["reservoir_head_nominal"]
    low, high = (float(np.sqrt(end / nominal)) for end in head)
    if reach["reservoir_constant_head"] == "yes":
        return low, high
    area = 0.25 * np.pi * reach["reservoir_bore"][0] ** 2
    return low * max(1.0 - drawn * high / (2.0 * area * head[0]), LEAST_FLOW), high


def _reach_medium(reach: Mapping[str, Any]) -> dict[str, Array]:
    """Return density, surface tension and air over everything that draws can reach, flat."""
    names = (
        "liquid_temperature",
        "liquid_glycerol",
        "liquid_fat",
        "liquid_density",
        "liquid_surface_tension",
        "air_altitude",
        "air_pressure",
        "air_temperature",
    )
    # Four points each, of what strays at all: the properties bend but gently over a draw's reach.
    spans = [
        np.zeros(1)
        if reach[name] is None
        else np.unique(np.linspace(reach[name][0], reach[name][1], 4))
        for name in names
    ]
    mesh = (axis.ravel() for axis in np.meshgrid(*spans, indexing="ij"))
    grid: dict[str, Any] = {
        name: None if reach[name] is None else axis for name, axis in zip(names, mesh, strict=True)
    }
    fluid = liquid(
        liquid_kind=reach["liquid_kind"],
        liquid_viscosity=None,
        **{name: grid[name] for name in names if name.startswith("liquid")},
    )
    gas = air(
        liquid_temperature=grid["liquid_temperature"],
        **{name: grid[name] for name in names if name.startswith("air")},
    )
    return {
        "density": fluid.density,
        "surface_tension": fluid.surface_tension,
        "air_density": gas.air_density,
        "air_viscosity": gas.air_viscosity,
    }


def _prepare_drop(
    reach: Mapping[str, Any],
    doses: tuple[float, float],
    *,
    flow: tuple[float, float],
    medium: Mapping[str, Array],
) -> FallTable:
    volumes = np.array([doses[0] * flow[0], doses[1] * flow[1]])
    units = fall_units(
        diameter=np.cbrt(volumes * (6.0 / np.pi))[:, None],
        density=medium["density"],
        surface_tension=medium["surface_tension"],
        air_density=medium["air_density"],
        air_viscosity=medium["air_viscosity"],
    )
    length, time = float(units.length.min()), float(units.time.max())
    fastest = reach["valve_release_speed"][1] * time / length
    deepest = (reach["valve_nozzle_height"][1] - min(reach["pool_level"][0], 0.0)) / length
    return fit_fall(
        archimedes=_range(np.log(units.archimedes)),
        morton=_range(units.morton),
        distance=1.05 * deepest + 0.8 * fastest**2,
        fastest=fastest,
        time=time,
    )


def _range(values: Array) -> tuple[float, float]:
    low, high = float(np.min(values)), float(np.max(values))
    middle = 0.5 * (low + high)
    return middle, max(0.5 * (high - low), 1e-4 * middle)
