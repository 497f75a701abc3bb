"""A drop that is asked for by its diameter, though a study holds its volume."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from jitter.quantities import Quantity, Shape, Spread
from jitter.study.study import Study


@dataclass(frozen=True)
class Sphere:
    """The sphere of a drop's volume.

    Attributes
    ----------
    key
        The diameter, as a study names it.
    volume_key
        The volume that a study holds.
    volume
        As it is [m³].
    """

    key: str
    volume_key: str
    volume: float

    @property
    def diameter(self) -> float:
        """As it is [m]."""
        return _diameter(self.volume)

    def spread(self, spread: Spread) -> Spread:
        """Return the spread of the diameter that a spread of the volume is.

        To first order, as a study that gives the diameter is read: written into it, this spread
        becomes that one again.

        Parameters
        ----------
        spread
            Of the volume; a share of it, or in m³, and in m then.
        """
        share = spread.relative or spread.shape is Shape.LOGNORMAL
        part = 3.0 if share else 3.0 * self.volume / self.diameter
        return replace(spread, size=spread.size / part)

    def change(self, offset: float) -> float:
        """Return by how much the diameter is larger where the volume is [m]."""
        return _diameter(max(self.volume + offset, 0.0)) - self.diameter

    def offset(self, change: float) -> float:
        """Return by how much the volume is larger where the diameter is [m³]."""
        return math.pi / 6.0 * (self.diameter + change) ** 3 - self.volume


def _diameter(volume: float) -> float:
    return math.cbrt(6.0 / math.pi * volume)


def sphere_of(study: Study, named: str, key: str) -> Sphere | None:
    """Return the sphere of a drop that was named by its diameter; None for anything else.

    Parameters
    ----------
    study
        The rig.
    named
        What a user wrote.
    key
        The quantity that is meant by it.
    """
    declared = study.entries[key].declaration
    if not isinstance(declared, Quantity) or declared.diameter_key != named:
        return None
    return Sphere(named, key, study.number(key))
