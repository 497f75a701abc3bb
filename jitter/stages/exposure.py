"""The exposure: how much of the flash's light reaches the camera's sensor."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Basis, Kind, Mark, Quantity, sd, within
from jitter.stage import Stage

GUIDE_ISO = 100.0
"""The speed for which a guide number is stated."""

DECLARES = (
    Quantity(
        key="flash.guide_number",
        meaning="guide number of one flash at full power and ISO 100",
        symbol="GN",
        unit="m",
        nominal=None,
        sample=28.0,
        lower=0.3,
        upper=1000.0,
        setup=sd(0.05, relative=True),
        basis=Basis(Mark.DERIVED, "the exposure was set by trial"),
        setup_basis=Basis(Mark.ASSUMED, "a test frame told it to a third of a stop"),
    ),
    Quantity(
        key="flash.distance",
        meaning="way of the light from the flash to the drops",
        symbol="d",
        unit="m",
        nominal=0.3,
        lower=0.02,
        upper=50.0,
        setup=within(0.01),
        basis=Basis(Mark.ASSUMED, "beside the dish"),
        setup_basis=Basis(Mark.ASSUMED, "a tape measure"),
        only_with=("flash.guide_number",),
    ),
    Quantity(
        key="flash.nearest",
        meaning="shortest way of the light that the table allows",
        symbol="d_n",
        unit="m",
        nominal=None,
        sample=0.2,
        lower=0.02,
        upper=50.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "15 cm where a question needs it"),
        only_with=("flash.guide_number",),
    ),
    Quantity(
        key="flash.farthest",
        meaning="longest way of the light that the room allows",
        symbol="d_f",
        unit="m",
        nominal=None,
        sample=1.0,
        lower=0.02,
        upper=50.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "3 m where a question needs it"),
        only_with=("flash.guide_number",),
    ),
    Quantity(
        key="flash.loss",
        meaning="light lost on the way, in diffusers and colour filters",
        symbol="L",
        unit="stop",
        nominal=0.0,
        lower=0.0,
        upper=15.0,
        basis=Basis(Mark.ASSUMED, "the bare flash"),
        only_with=("flash.guide_number",),
    ),
    Quantity(
        key="camera.iso",
        meaning="speed setting of the camera (ISO)",
        symbol="S",
        unit="1",
        nominal=200.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED),
    ),
    Quantity(
        key="camera.lowest_iso",
        meaning="lowest speed setting that the camera has",
        symbol="S_l",
        unit="1",
        nominal=None,
        sample=100.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "ISO 100 where a question needs it"),
    ),
    Quantity(
        key="camera.highest_iso",
        meaning="highest speed setting whose noise the photographer accepts",
        symbol="S_h",
        unit="1",
        nominal=None,
        sample=1600.0,
        lower=1.0,
        upper=1e6,
        kind=Kind.SETTING,
        basis=Basis(Mark.ASSUMED, "ISO 1600 where a question needs it"),
    ),
)


class Exposure(NamedTuple):
    """The light on the camera's sensor."""

    exposure: Array


def exposure(
    *,
    flash_guide_number: Array | None,
    flash_distance: Array | None,
    flash_loss: Array | None,
    flash_power: Array,
    flash_energy: Array,
    flash_count: float | None,
    camera_iso: float,
    working_aperture: Array,
) -> Exposure:
    """Return the exposure relative to a right one.

    A right exposure has N_eff d = GN √(p k S/100) for k flashes of power p; light goes with the
    square of either side, with the flash's energy, and falls by the stops lost on the way. Without
    a guide number the settings are taken to be right, found by trial. Holds for a flash that
    lights the drops from farther than some five widths of its window; nearer, light falls off more
    slowly with the distance. What the drops throw towards the camera (light from behind makes
    bright edges) and the light that walls throw back are neglected.

    Parameters
    ----------
    flash_guide_number : array (s, n) [m]
        Of one flash at full power and ISO 100; None where it is not known.
    flash_distance : array (s, n) [m]
        None without a guide number.
    flash_loss : array (s, n) [stop]
        None without a guide number.
    flash_power : array (s, n) [1]
    flash_energy : array (s, n) [1]
        Against what the power setting promises.
    flash_count : float [1]
        Flashes fired together; None for one.
    camera_iso : float [1]
    working_aperture : array (s, n) [1]

    Returns
    -------
    exposure : array (s, n) [1]
        1 is right, 2 one stop over.

    References
    ----------
    Guide numbers: ISO 1230:2007 (read second-hand). That those of several flashes add as the
    squares do: closed form, light adds up.

    Examples
    --------
    >>> one = np.ones((1, 1))
    >>> made = exposure(
    ...     flash_guide_number=32 * one, flash_distance=4 * one, flash_loss=0 * one,
    ...     flash_power=one, flash_energy=one, flash_count=None, camera_iso=100.0,
    ...     working_aperture=8 * one)
    >>> made.exposure.item()
    1.0
    """
    if flash_guide_number is None:
        return Exposure(flash_energy)
    reached = flash_guide_number / (working_aperture * np.asarray(flash_distance))
    flashes = 1.0 if flash_count is None else flash_count
    light = flash_power * (flashes * camera_iso / GUIDE_ISO) * 2.0 ** -np.asarray(flash_loss)
    return Exposure(flash_energy * (reached**2 * light))


STAGE = Stage(name="exposure", declares=DECLARES, work=exposure)
