"""What the camera of the independent simulation makes of a flash: its light, and how sharp it is.

Nothing is imported from the package. Light is counted in stops, as photographers add it up.
SI units; (memory): not read in the source.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tests.independent_rig import Array, Values

DISC_OF_STREAK = 1.1686
DISC_OF_DIFFRACTION = 1.7454
STREAK_OF_PAIR = 3 * 0.603355
"""A pair of points halves contrast at a third of a line to its distance, a streak at 0.603355 of
one to its length, where sin(x)/x is a half."""


class View(NamedTuple):
    """How large the lens draws, and its cone of light at the sensor: distance over width."""

    magnification: Array
    cone: Array


class Sharpness(NamedTuple):
    """Discs on the sensor: of what moves, of the rim across the view, of the depth wanted."""

    motion: Array
    rim: Array
    deep: Array


def view(q: Values) -> View:
    """Return what the lens does, in units of its focal length.

    The exit pupil is P/N wide, stands P before the back focus; the sensor stands m behind it.
    """
    if "camera_field_width" in q:
        magnification = q["camera_frame_width"] / q["camera_field_width"]
    else:
        magnification = q["camera_magnification"]
    pupil = q["camera_pupil_ratio"]
    return View(magnification, (pupil + magnification) / (pupil / q["camera_aperture"]))


def stops_over(q: Values, cone: Array) -> Array:
    """Return by how many stops the picture is brighter than a right one.

    A guide number is the right product of aperture number and distance at full power and ISO 100
    (ISO 1230:2007, read second-hand); the settings are right where a rig states none.
    """
    stops = np.log2(q["flash_energy"])
    if "flash_guide_number" not in q:
        return np.asarray(stops)
    stops = stops + 2 * np.log2(q["flash_guide_number"] / cone / q["flash_distance"])
    stops = stops + np.log2(q["flash_power"]) + np.log2(q["flash_count"])
    return np.asarray(stops + np.log2(q["camera_iso"]) - np.log2(100) - q["flash_loss"])


def apart(q: Values) -> Array:
    """Return the time from the first of several flashes to the last."""
    return np.where(q["flash_count"] > 1, q["flash_stagger"], 0)


def sharpness(q: Values, seen: View, speed: Array, lit: Array) -> Sharpness:
    """Return how sharp a picture is of what moves at a speed while each flash is lit so long.

    Square roots of sums of squares, of discs of equal contrast at a half.
    """
    size, cone = seen
    lengths = (lit, STREAK_OF_PAIR * apart(q))
    motion = DISC_OF_STREAK * size * speed * np.sqrt(sum(length**2 for length in lengths))
    diffraction = DISC_OF_DIFFRACTION * q["camera_wavelength"] * cone
    middle = q["valve_scatter"][1, 1] - q["camera_focus"]
    # A point so far out of focus is drawn m² times as far from the sensor, by the sensor's cone.
    discs = [size**2 / cone * np.abs(middle + side * q["keeper_depth"]) for side in (0, 1, -1)]
    rim, ends = discs[0], np.maximum(discs[1], discs[2])
    return Sharpness(
        motion,
        np.sqrt(motion**2 + rim**2 + diffraction**2),
        np.sqrt(ends**2 + diffraction**2),
    )
