"""Crater and jet against Worthington's photographs and later powers of the Froude number."""

from __future__ import annotations

import numpy as np

from jitter.arrays import Array
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.stages.crater import crater
from jitter.stages.drag import GRAVITY
from jitter.stages.fall import fall_duration, fall_speed
from jitter.stages.jet import Jet, jet
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.falling import fall_of
from jitter.validation.worthington import (
    CAVITY_DROPS,
    CLOSED,
    CRATER_DEPTHS,
    CRATER_DIAMETER,
    CRATER_FALL,
    EMERGES,
    HEAD,
    REFRACTION,
    SERIES,
    TOPS,
    Series,
)

FROUDE = (106.0, 163.0)
"""What the photographs behind the jet's law cover."""
OUTSIDE_TIME = Claim(0.10, "set-up spread of jet.time_scale, 4 %, and as much again for doubt")


def impact_speed(millimetres: float, centimetres: float) -> float:
    """Return the speed at which a water drop lands after a fall from rest in air [m/s].

    Parameters
    ----------
    millimetres
        Its diameter.
    centimetres
        Its fall.
    """
    falling = fall_of(millimetres)
    taken = fall_duration(falling, np.array([[1e-2 * centimetres]]))
    return float(fall_speed(falling, taken).item())


def froude_of(millimetres: float, centimetres: float) -> float:
    """Return the Froude number U²/(g D) of such a drop [1]."""
    return impact_speed(millimetres, centimetres) ** 2 / (GRAVITY * 1e-3 * millimetres)


def splash(millimetres: float, centimetres: float) -> tuple[float, Jet]:
    """Return the crater's energy length [m] and the jet, counted from the landing."""
    length = crater(
        first_diameter=np.array(1e-3 * millimetres),
        impact_speed=np.array(impact_speed(millimetres, centimetres)),
    ).energy_length
    return float(length), _jet(length)


def _jet(length: Array) -> Jet:
    """Return the law's jet of a crater's energy length [m], counted from the landing."""
    return jet(
        energy_length=length,
        energy_length_nominal=1.0,
        first_landing=np.zeros(()),
        jet_time_scale=np.ones(()),
        jet_height_scale=np.ones(()),
        jet_time=None,
        jet_height=None,
    )


def declared_spread(key: str) -> float:
    """Return the relative set-up spread that a scale of the jet's law is declared with [1]."""
    declared = CHAIN.declarations[key]
    if not isinstance(declared, Quantity):
        raise TypeError(f"{key} is no number")
    return declared.setup.size


def tip_heights(made: Jet, moments: Array) -> tuple[Array, Array]:
    """Return the tip's height above the surface and its doubt by the law's spreads [m].

    Parameters
    ----------
    made
        A jet counted from the landing.
    moments : array (k,) [s]
        After the landing.
    """
    share = (moments - made.jet_peaks) / (made.jet_peaks - made.jet_emerges)
    tip = np.maximum(made.jet_top * (1.0 - share**2), 0.0)
    slope = 2.0 * made.jet_top * np.abs(share) / (made.jet_peaks - made.jet_emerges)
    time, height = declared_spread("jet.time_scale"), declared_spread("jet.height_scale")
    return tip, np.sqrt((height * tip) ** 2 + (slope * time * moments) ** 2)


def crater_checks() -> tuple[Check, ...]:
    """Return the checks of the crater."""
    length, _ = splash(CRATER_DIAMETER, CRATER_FALL)
    speed = impact_speed(CRATER_DIAMETER, CRATER_FALL)
    kinetic = 0.5 * (np.pi / 6.0) * (1e-3 * CRATER_DIAMETER) ** 3 * speed**2
    emptying = (2.0 / 3.0) * np.pi * length**3 * GRAVITY * (3.0 / 8.0) * length
    seen = 1e-3 * max(CRATER_DEPTHS.values())
    cavity = 0.5e-3 * CRATER_DIAMETER * (2.0 * CAVITY_DROPS) ** (1.0 / 3.0)
    return (
        *many(
            [("energy over density", emptying, kinetic)],
            stage="crater",
            series="work of emptying the half sphere",
            unit="m5/s2",
            claim=EXACT,
            source="½ V U² = ρ-free work of lifting 2/3 π R³ from 3/8 R below the surface",
            known=Known.CLOSED_FORM,
        ),
        *many(
            [("deepest plate, refraction taken out", length, REFRACTION * seen)],
            stage="crater",
            series="depth of the crater",
            unit="m",
            uncertainty="2 mm, and 5 % for the refraction",
            claim=Claim(0.15, "2 mm of reading, and 5 % for the refraction"),
            source=f"{SERIES['IV'].source}; refraction, our reckoning, 0.88",
            known=Known.PUBLISHED,
        ),
        *many(
            [("deepest plate as printed", length, seen)],
            stage="crater",
            series="depth of the crater on the raw plate",
            unit="m",
            uncertainty="2 mm; enlarged by refraction, 10 to 15 %",
            claim=Claim(0.10, "2 mm of reading"),
            source=SERIES["IV"].source,
            known=Known.PUBLISHED,
            note=(
                "The plate looks through water and glass from the side, which enlarges what lies"
                " behind them; a crater as deep as on the plate would hold more energy than the"
                " drop brought."
            ),
        ),
        *many(
            [("half sphere that holds fifty drops", length, cavity)],
            stage="crater",
            series="volume of the cavity",
            unit="m",
            uncertainty="'about fifty'",
            claim=Claim(0.10, "surface and crown take up to a third of the energy, R⁴ of it"),
            source=SERIES["IV"].source,
            known=Known.PUBLISHED,
        ),
    )


def _tip_rows(series: Series) -> list[Check]:
    _, made = splash(series.diameter, series.fall)
    found: list[Check] = []
    for milliseconds, seen in series.tip.items():
        tip, doubt = tip_heights(made, np.array([1e-3 * milliseconds]))
        allowed = 2.0 * float(np.hypot(doubt.item(), 1e-3 * series.reading))
        found += many(
            [(f"{milliseconds:g} ms", float(tip.item()), 1e-3 * seen)],
            stage="jet",
            series=f"height of the tip, {series.source.rpartition(', ')[2]}",
            unit="m",
            uncertainty=f"{series.reading:g} mm of reading",
            claim=Claim(
                allowed, "twice: reading, 20 % of height, 4 % of time along it", relative=False
            ),
            source=series.source,
            known=Known.PUBLISHED,
            note="The law was fitted to these plates, among others: they test the fit, no more.",
        )
    return found


def powers() -> tuple[Check, ...]:
    """Return the powers of the Froude number, and a jet far outside the law's range."""
    lengths, tops = [], []
    for speed in (3.0, 4.0):
        size = np.array(4e-3)
        length = crater(first_diameter=size, impact_speed=np.array(speed)).energy_length
        lengths.append(float(length))
        tops.append(float(_jet(length).jet_top))
    # The Froude number goes with the square of the speed.
    per_froude = 2.0 * np.log(4.0 / 3.0)
    storm = crater(first_diameter=np.array(4.1e-3), impact_speed=np.array(7.2)).energy_length
    return (
        *many(
            [
                ("depth of the crater", float(np.log(lengths[1] / lengths[0]) / per_froude), 0.25),
                ("height of the jet", float(np.log(tops[1] / tops[0]) / per_froude), 0.27),
            ],
            stage="jet",
            series="power of the Froude number over the drop's size",
            uncertainty="two digits",
            claim=Claim(0.03, "two digits of a fit", relative=False),
            source="Watson et al. 2024, Proc. Natl. Acad. Sci. 121, e2315667121; Fr 127 to 850",
            known=Known.SECOND_HAND,
            note="Only the powers could be read: they bear out the law's shape, not its size.",
        ),
        *many(
            [("4.1 mm at 7.2 m/s, Fr 1322", float(_jet(storm).jet_emerges), 0.040)],
            stage="jet",
            series="time at which a rain drop's jet emerges",
            unit="s",
            uncertainty="'about'",
            claim=OUTSIDE_TIME,
            source="Wang et al. 2023, J. Fluid Mech. 972, A31, of the splash of Murphy et al. 2015",
            known=Known.SECOND_HAND,
            note=(
                "Far outside the law: the crown has closed over the crater. No drop of these rigs"
                " lands so fast."
            ),
        ),
    )


def jet_checks() -> tuple[Check, ...]:
    """Return the checks of the jet."""
    checks: list[Check] = []
    time = Claim(declared_spread("jet.time_scale"), "set-up spread of jet.time_scale, 4 %")
    height = Claim(declared_spread("jet.height_scale"), "set-up spread of jet.height_scale, 20 %")
    for what, millimetres, centimetres, milliseconds, source in EMERGES:
        _, made = splash(millimetres, centimetres)
        checks += many(
            [(what, float(made.jet_emerges), 1e-3 * milliseconds)],
            stage="jet",
            series="time at which the jet emerges",
            unit="s",
            claim=time,
            source=source,
            known=Known.PUBLISHED,
        )
    for what, millimetres, centimetres, milliseconds, source in TOPS:
        _, made = splash(millimetres, centimetres)
        checks += many(
            [(what, float(made.jet_peaks), 1e-3 * milliseconds)],
            stage="jet",
            series="time at which the jet stands highest",
            unit="s",
            uncertainty="plates are 12 to 35 ms apart, each of another splash",
            claim=OUTSIDE_TIME,
            source=source,
            known=Known.PUBLISHED,
            note=(
                "Series I stands high from 116 to 153 ms on its own plates; he calls the first of"
                " them the greatest. A parabola through emergence and end has its top between."
            ),
        )
    for series in SERIES.values():
        if len(series.tip) > 1:
            _, made = splash(series.diameter, series.fall)
            checks += many(
                [(f"{series.diameter:g} mm", float(made.jet_top), 1e-3 * max(series.tip.values()))],
                stage="jet",
                series="height of the jet's top",
                unit="m",
                uncertainty=f"{series.reading:g} mm of reading",
                claim=height,
                source=series.source,
                known=Known.PUBLISHED,
            )
    for series in SERIES.values():
        checks += _tip_rows(series)
    millimetres, centimetres, milliseconds = CLOSED
    _, made = splash(millimetres, centimetres)
    ratio = CHAIN.declarations["jet.head_ratio"]
    if not isinstance(ratio, Quantity) or ratio.nominal is None:
        raise TypeError("jet.head_ratio is no number")
    return (
        *checks,
        *many(
            [
                (
                    f"Series II, Fr {froude_of(millimetres, centimetres):.0f}",
                    float(made.jet_gone),
                    1e-3 * milliseconds,
                )
            ],
            stage="jet",
            series="end of a jet outside the law's range",
            unit="s",
            uncertainty="the plate shows it sinking: a lower bound",
            claim=Claim(0.10, "one plate, and no more than a bound"),
            source="Worthington 1908, A Study of Splashes, chapter V, Series II",
            known=Known.PUBLISHED,
            note=(
                "The crown closes to a bubble here and the jet rises inside it, thick and cone"
                " shaped; its times still fit, its shape and height may not."
            ),
        ),
        *powers(),
        *many(
            [("6.28 mm, 139 ms", ratio.nominal, HEAD[1] / HEAD[0])],
            stage="jet",
            series="width of the jet's head over the drop's",
            uncertainty="0.7 mm of reading",
            claim=Claim(0.11, "0.7 mm of reading", relative=False),
            source=SERIES["I-a"].source,
            known=Known.PUBLISHED,
        ),
    )
