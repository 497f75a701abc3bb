"""The units that people write, each with its size in SI."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Unit:
    """A unit of measurement.

    Attributes
    ----------
    si
        The SI unit of the same dimension, as declared by quantities.
    factor
        Size in that unit.
    zero
        Its zero in that unit; not 0 only for temperatures.
    """

    si: str
    factor: float
    zero: float = 0.0


UNITS = {
    "mm": Unit("m", 1e-3),
    "cm": Unit("m", 1e-2),
    "m": Unit("m", 1.0),
    "um": Unit("m", 1e-6),
    "nm": Unit("m", 1e-9),
    "in": Unit("m", 0.0254),
    "ft": Unit("m", 0.3048),
    "s": Unit("s", 1.0),
    "ms": Unit("s", 1e-3),
    "us": Unit("s", 1e-6),
    "min": Unit("s", 60.0),
    "ul": Unit("m3", 1e-9),
    "ml": Unit("m3", 1e-6),
    "mm3": Unit("m3", 1e-9),
    "c": Unit("K", 1.0, 273.15),
    "f": Unit("K", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "k": Unit("K", 1.0),
    "m/s": Unit("m/s", 1.0),
    "mm/s": Unit("m/s", 1e-3),
    "n/m": Unit("N/m", 1.0),
    "mn/m": Unit("N/m", 1e-3),
    "pa s": Unit("Pa s", 1.0),
    "mpa s": Unit("Pa s", 1e-3),
    "kg/m3": Unit("kg/m3", 1.0),
    "g/cm3": Unit("kg/m3", 1000.0),
    "g/ml": Unit("kg/m3", 1000.0),
    "pa": Unit("Pa", 1.0),
    "hpa": Unit("Pa", 100.0),
    "kpa": Unit("Pa", 1000.0),
    "mbar": Unit("Pa", 100.0),
    "mmhg": Unit("Pa", 133.322),
    "inhg": Unit("Pa", 3386.39),
    "kg": Unit("kg", 1.0),
    "g": Unit("kg", 1e-3),
    "mg": Unit("kg", 1e-6),
    "ml/s": Unit("m3/s", 1e-6),
    "ul/s": Unit("m3/s", 1e-9),
    "ml/min": Unit("m3/s", 1e-6 / 60.0),
    "lx": Unit("lx", 1.0),
    "stop": Unit("stop", 1.0),
    "stops": Unit("stop", 1.0),
    "%": Unit("1", 0.01),
    "": Unit("1", 1.0),
}
"""By the unit's name in lower case, ``µ`` written as ``u``."""

DIMENSIONS = {
    "m": ("a length", "483 mm", "1 mm"),
    "s": ("a time", "8 ms", "0.3 ms"),
    "m3": ("a volume", "47.7 ul", "3 %"),
    "K": ("a temperature", "20 C", "1 K"),
    "m/s": ("a speed", "0.05 m/s", "0.02 m/s"),
    "N/m": ("a surface tension", "72 mN/m", "2 %"),
    "Pa s": ("a viscosity", "1.0 mPa s", "5 %"),
    "kg/m3": ("a density", "998 kg/m3", "1 %"),
    "Pa": ("a pressure", "1013 hPa", "5 hPa"),
    "kg": ("a mass", "4.77 g", "0.01 g"),
    "m3/s": ("a flow", "0.9 ml/s", "2 %"),
    "lx": ("an illuminance", "0.05 lx", "0.01 lx"),
    "stop": ("an exposure step", "0.5 stops", "0.1 stops"),
    "1": ("a plain number", "0.25", "4 %"),
}
"""By SI unit: what a quantity of it is called, one written out, and a spread of it."""


def spellings(si: str) -> str:
    """Return the units accepted for a dimension, as a list in words.

    Examples
    --------
    >>> spellings("s")
    's, ms, us or min'
    """
    names = [name for name, unit in UNITS.items() if unit.si == si and name]
    shown = {"c": "C", "f": "F", "k": "K", "n/m": "N/m", "mn/m": "mN/m"}
    shown |= {"pa": "Pa", "hpa": "hPa", "kpa": "kPa", "mmhg": "mmHg", "inhg": "inHg"}
    shown |= {"pa s": "Pa s", "mpa s": "mPa s"}
    words = [shown.get(name, name) for name in names]
    if si == "1":
        words.insert(0, "a bare number")
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


APERTURES = (
    *(1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1),
    *(8.0, 9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0, 36.0, 40.0, 45.0),
    *(51.0, 57.0, 64.0),
)
"""The aperture numbers on lenses, by thirds of a stop from f/1 on; common practice, no source."""

SPEEDS = (
    *(25.0, 32.0, 40.0, 50.0, 64.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 320.0, 400.0, 500.0),
    *(640.0, 800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3200.0, 4000.0, 5000.0, 6400.0),
    *(8000.0, 10000.0, 12800.0, 16000.0, 20000.0, 25600.0, 32000.0, 40000.0, 51200.0),
)
"""The speed settings on cameras, by thirds of a stop from ISO 25 on; common practice, no source."""
