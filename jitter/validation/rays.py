"""A lens of two thin lenses with a stop between them, by rays: pupils, working aperture, depth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from jitter.arrays import Array


def _gap(length: float) -> Array:
    """Return what a way through air does to a ray's height and slope."""
    return np.array([[1.0, length], [0.0, 1.0]])


def _glass(focal: float) -> Array:
    """Return what a thin lens does to them."""
    return np.array([[1.0, 0.0], [-1.0 / focal, 1.0]])


@dataclass(frozen=True)
class TwoLenses:
    """Two thin lenses and a stop, focused on a plane.

    Rays near the axis, which is where aperture numbers and depths of field are defined; lengths in
    metres.

    Attributes
    ----------
    front, rear
        Focal lengths of the two.
    before, after
        From the front lens to the stop, from the stop to the rear lens.
    aperture
        Aperture number of the whole.
    magnification
        At which it is focused.
    """

    front: float
    rear: float
    before: float
    after: float
    aperture: float
    magnification: float

    @property
    def _to_stop(self) -> Array:
        return _gap(self.before) @ _glass(self.front)

    @property
    def _through(self) -> Array:
        return _glass(self.rear) @ _gap(self.after) @ self._to_stop

    @property
    def focal(self) -> float:
        """Focal length of the whole."""
        return float(-1.0 / self._through[1, 0])

    @property
    def pupil_ratio(self) -> float:
        """Exit pupil over entrance pupil: the stop as the rear lens and as the front one shows it.

        A thin lens of focal length f shows what stands s behind it f/(f - s) times as large.
        """
        entrance = self.front / (self.front - self.before)
        return float(self.rear / (self.rear - self.after) / entrance)

    @property
    def _stop_radius(self) -> float:
        # The entrance pupil is f/N wide.
        entrance = self.front / (self.front - self.before)
        return self.focal / self.aperture / entrance / 2.0

    @property
    def distance(self) -> float:
        """From the plane of focus to the front lens; the picture is upside down."""
        # One over the magnification is C a + D of the matrix, a being the distance.
        return float((-1.0 / self.magnification - self._through[1, 1]) / self._through[1, 0])

    @property
    def _back(self) -> float:
        return float((-self.magnification - self._through[0, 0]) / self._through[1, 0])

    def _edge_ray(self, distance: float) -> Array:
        """Return height and slope on the sensor of the ray that grazes the stop's edge."""
        slope = self._stop_radius / (self._to_stop @ _gap(distance))[0, 1]
        traced: Array = _gap(self._back) @ self._through @ _gap(distance) @ np.array([0.0, slope])
        return traced

    @property
    def working_aperture(self) -> float:
        """One over the width of the cone of light that meets on the sensor, at unit distance."""
        return float(0.5 / abs(self._edge_ray(self.distance)[1]))

    def depth(self, circle: float) -> float:
        """Return the depth within which a point draws a disc no wider than a circle [m].

        Parameters
        ----------
        circle
            Of confusion [m].
        """

        def excess(shift: float) -> float:
            return float(2.0 * abs(self._edge_ray(self.distance + shift)[0]) - circle)

        nearest = brentq(excess, -0.999 * self.distance, 0.0, xtol=1e-15, rtol=1e-14)
        # The disc of a point far behind is f m/N wide, which must be more than the circle.
        farthest = brentq(excess, 0.0, 1e6 * self.distance, xtol=1e-15, rtol=1e-14)
        return float(farthest - nearest)
