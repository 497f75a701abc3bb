"""The fall from rest: what a drop's size, the liquid and the air make of every fall of its."""

from __future__ import annotations

from typing import NamedTuple

from jitter.arrays import Array
from jitter.stage import Stage
from jitter.stages.drag import fall_units
from jitter.stages.fall import Fall, at_rest
from jitter.stages.fall_fit import FallTable
from jitter.stages.fall_table import prepare_fall


class FromRest(NamedTuple):
    """The falls of the two drops, were they let go at rest."""

    first_from_rest: Fall
    second_from_rest: Fall


def falls_from_rest(
    *,
    first_diameter: Array,
    second_diameter: Array,
    density: Array,
    surface_tension: Array,
    air_density: Array,
    air_viscosity: Array,
    fall_table: tuple[FallTable, FallTable],
) -> FromRest:
    """Return how the two drops would fall from rest.

    Drops of 0.5 to 9 mm; what else holds for falls holds here: see `jitter.stages.fall.falls`.
    Neglected is what is neglected there.

    Parameters
    ----------
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    density : array (s, n) [kg/m3]
    surface_tension : array (s, n) [N/m]
    air_density : array (s, n) [kg/m3]
    air_viscosity : array (s, n) [Pa s]
    fall_table
        The fitted polynomial of each drop.

    Returns
    -------
    first_from_rest
    second_from_rest

    References
    ----------
    Those of `jitter.stages.drag`.
    """
    made = [
        at_rest(
            table=table,
            units=fall_units(
                diameter=diameter,
                density=density,
                surface_tension=surface_tension,
                air_density=air_density,
                air_viscosity=air_viscosity,
            ),
        )
        for table, diameter in zip(fall_table, (first_diameter, second_diameter), strict=True)
    ]
    return FromRest(*made)


STAGE = Stage(name="fall from rest", work=falls_from_rest, prepare=prepare_fall, table="fall_table")
