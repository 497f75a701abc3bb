"""What Worthington's photographs say of crater and jet, read from the books in public domain."""

from __future__ import annotations

from dataclasses import dataclass

SPLASHES = "Worthington 1908, A Study of Splashes"
DROP = "Worthington 1895, The Splash of a Drop"


@dataclass(frozen=True)
class Series:
    """One of Worthington's series of flash photographs, each plate of another splash.

    Attributes
    ----------
    source
        Book and chapter.
    diameter, fall
        Of the drop [mm]; its height of fall [cm].
    tip
        Height of the jet's tip [mm] by the printed time after contact [ms], read off the plates.
    reading
        Doubt of such a height [mm].
    """

    source: str
    diameter: float
    fall: float
    tip: dict[float, float]
    reading: float = 4.0


SERIES = {
    "I": Series(
        f"{SPLASHES}, chapter II, Series I",
        7.36,
        40.0,
        {64: 2, 73: 12, 93: 20, 103: 27, 116: 36, 129: 33, 153: 33, 197: 11, 217: 0},
    ),
    # The printed 0.014 s of the third plate is read as 0.104 s.
    "I-a": Series(
        f"{SPLASHES}, chapter IV, Series I-a",
        6.28,
        40.0,
        {73: 12, 87: 21, 104: 39, 139: 35, 163: 32, 185: 13},
    ),
    "IV": Series(f"{SPLASHES}, chapter VI, Series IV", 6.96, 40.0, {70: 7.1}, reading=1.0),
}
EMERGES = (
    # Series, diameter [mm], fall [cm], time after contact [ms], source.
    ("Series I, 7.36 mm", 7.36, 40.0, 64.0, f"{SERIES['I'].source}, 'starts to rise'"),
    ("Series III, 5.08 mm", 5.08, 43.2, 55.1, f"{DROP}, Series III, caption"),
)
TOPS = (
    ("Series I, 7.36 mm", 7.36, 40.0, 116.0, f"{SERIES['I'].source}, 'at its greatest height'"),
    ("Series I-a, 6.28 mm", 6.28, 40.0, 139.0, f"{SERIES['I-a'].source}, 'descent begins'"),
)
HEAD = (6.28, 9.3)
"""Series I-a at 139 ms: diameters of the drop and of the jet's head [mm]."""

CRATER_DIAMETER, CRATER_FALL = 6.96, 40.0
CRATER_DEPTHS = {9.0: 8.9, 12.0: 16.0, 16.0: 19.5, 23.0: 19.0, 39.0: 19.6, 55.0: 11.2}
"""Series IV, seen from below the surface: depth [mm] by time after contact [ms], as it stands on
the plates; refraction in the trough's wall makes it 10 to 15 % too large."""
REFRACTION = 0.88
CAVITY_DROPS = 50.0
"""Series IV: 'about fifty' drops would fill the cavity."""

CLOSED = (7.36, 100.0, 240.0)
"""Series II: diameter [mm], fall [cm], and the time [ms] at which the jet is seen sinking."""
