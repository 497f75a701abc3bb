"""Write SI values as people read them, with sensible digits."""

from __future__ import annotations

import math
from typing import NamedTuple

from jitter.quantities import Shape, Spread
from jitter.units.table import APERTURES, SPEEDS, UNITS

_SCALES: dict[str, tuple[tuple[float, float, str], ...]] = {
    # By SI unit: from this size on, divided by this, under this name.
    "m": ((2.0, 1.0, "m"), (1e-4, 1e-3, "mm"), (0.0, 1e-6, "µm")),
    "s": ((1.0, 1.0, "s"), (1e-4, 1e-3, "ms"), (0.0, 1e-6, "µs")),
    "m3": ((2e-6, 1e-6, "mL"), (0.0, 1e-9, "µL")),
    "N/m": ((0.0, 1e-3, "mN/m"),),
    "Pa s": ((0.0, 1e-3, "mPa s"),),
    "kg/m3": ((0.0, 1.0, "kg/m³"),),
    "Pa": ((0.0, 100.0, "hPa"),),
    "kg": ((1.0, 1.0, "kg"), (1e-4, 1e-3, "g"), (0.0, 1e-6, "mg")),
    "m3/s": ((0.0, 1e-6, "mL/s"),),
    "stop": ((0.0, 1.0, "stops"),),
    "K": ((0.0, 1.0, "K"),),
    "1": ((0.0, 1.0, ""),),
}
# Zero fits every unit; this is the one that people would write. Elsewhere it is the smallest.
_ZERO = {"m": "0 mm", "s": "0 ms", "kg": "0 g"}
_WORDS = {
    Shape.NORMAL: "sd",
    Shape.RECTANGULAR: "within",
    Shape.TRIANGULAR: "triangular within",
    Shape.ARCSINE: "arcsine within",
    Shape.LOGNORMAL: "lognormal sd",
    Shape.TRUNCATED: "truncated sd",
    Shape.CHANCE: "chance",
    Shape.TICK: "up to",
}


class Scale(NamedTuple):
    """A unit in which values that stand side by side are written, so that they can be compared.

    Attributes
    ----------
    size
        In SI.
    name
        Of it.
    """

    size: float
    name: str

    def written(self, value: float, *, digits: int = 4) -> str:
        """Write a value with so many significant digits at the most.

        Examples
        --------
        >>> Scale(1e-3, "ms").written(54.9e-6)
        '0.0549 ms'
        """
        return f"{write_number(value / self.size, digits)} {self.name}".rstrip()

    def rounded(self, value: float, *, sure: float) -> str:
        """Write a value to the place of the second digit of its uncertainty.

        Common practice; JCGM 100:2008, 7.2.6: no more than two digits of it.

        Examples
        --------
        >>> Scale(1e-3, "mm").rounded(0.482899, sure=81.6e-6), Scale(1.0, "").rounded(1263, sure=45)
        ('482.899 mm', '1263')
        >>> Scale(1e-3, "mm").rounded(4.50032e-3, sure=5.76e-5)
        '4.500 mm'
        """
        # Rounded first, since 0.0997 has two digits as 0.10.
        place = 1 - math.floor(math.log10(float(f"{sure / self.size:.1e}")))
        number = round(value / self.size, place) or 0.0
        return f"{number:.{max(place, 0)}f} {self.name}".rstrip()


def scale_of(value: float, si: str) -> Scale:
    """Return the unit that suits the size of a value, or of a difference of temperatures.

    Examples
    --------
    >>> scale_of(5e-5, "s"), scale_of(0.483, "m").name
    (Scale(size=1e-06, name='µs'), 'mm')
    """
    scales = _SCALES.get(si, ((0.0, 1.0, si),))
    return next(
        Scale(size, name) for least, size, name in scales if abs(value) >= least * (1.0 - 1e-9)
    )


def write_number(value: float, digits: int = 3) -> str:
    """Write a plain number with so many significant digits and no needless zeros.

    Examples
    --------
    >>> write_number(0.45000000000000001), write_number(12345.6), write_number(2e-9)
    ('0.45', '12346', '2e-9')
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    if abs(value) >= 10.0**digits:
        return f"{value:.0f}"
    text = f"{value:.{digits}g}"
    mantissa, mark, exponent = text.partition("e")
    return f"{mantissa}{mark}{int(exponent)}" if mark else mantissa


def write_value(value: float, si: str, *, digits: int = 4) -> str:
    """Write a value in the unit that suits its size.

    Parameters
    ----------
    value
        In SI.
    si
        Its SI unit; temperatures are written in Celsius.
    digits
        Significant digits at the most.

    Examples
    --------
    >>> write_value(0.483, "m"), write_value(2e-5, "s"), write_value(293.15, "K")
    ('483 mm', '20 µs', '20 °C')
    >>> write_value(0.25, "1"), write_value(1 / 1024, "1")
    ('0.25', '1/1024')
    """
    if si == "K":
        return f"{write_number(round(value - 273.15, 6), digits)} °C"
    if si == "1" and _is_fine_fraction(value, digits):
        return write_power(value)
    return write_difference(value, si, digits=digits)


def _is_fine_fraction(value: float, digits: int) -> bool:
    """Whether a number is one of the halvings of 1 that so many digits do not hold."""
    fraction, exponent = math.frexp(value)
    return fraction == 0.5 and exponent < 0 and float(f"{value:.{digits}g}") != value


def write_difference(value: float, si: str, *, digits: int = 3) -> str:
    """Write a difference or a spread in the unit that suits its size.

    Examples
    --------
    >>> write_difference(1.0, "K"), write_difference(-0.0005, "m")
    ('1 K', '-0.5 mm')
    """
    if value == 0.0 and si in _ZERO:
        return _ZERO[si]
    size, name = scale_of(value, si)
    number = write_number(value / size, digits)
    return f"{number} {'stop' if (number, name) == ('1', 'stops') else name}".rstrip()


def write_spread(spread: Spread, si: str) -> str:
    """Write a spread in the words of a study file.

    Examples
    --------
    >>> write_spread(Spread(Shape.NORMAL, 0.0003), "s")
    'sd 0.3 ms'
    >>> write_spread(Spread(Shape.NORMAL, 0.03, relative=True), "m3")
    'sd 3 %'
    """
    if spread.shape is Shape.NONE:
        return "none"
    word = _WORDS[spread.shape]
    if spread.relative or spread.shape is Shape.CHANCE:
        return f"{word} {write_number(100.0 * spread.size)} %"
    if spread.shape is Shape.LOGNORMAL:
        return f"{word} {write_number(spread.size)}"
    return f"{word} {write_difference(spread.size, si)}"


def write_percent(share: float, *, digits: int = 1) -> str:
    """Write a share in per cent; what would round to nothing is said to be less than the least.

    Examples
    --------
    >>> write_percent(0.12345), write_percent(0.0001), write_percent(0.0)
    ('12.3 %', '<0.1 %', '0.0 %')
    """
    least = 10.0**-digits
    if 0.0 < 100.0 * share < 0.5 * least:
        return f"<{least:g} %"
    return f"{100.0 * share:.{digits}f} %"


def write_power(share: float) -> str:
    """Write a power setting as it stands on a flash: a fraction, perhaps with parts of a stop.

    Examples
    --------
    >>> write_power(1 / 64), write_power(1.0), write_power(0.3)
    ('1/64', '1', '0.3')
    >>> write_power(2 ** (1 / 3) / 64), write_power(2**-2.7)
    ('1/64 + 1/3 stop', '1/8 + 0.3 stop')
    """
    whole = round(1.0 / share)
    if whole > 1 and abs(whole * share - 1.0) < 1e-9:
        return f"1/{whole}"
    stops = math.log2(share)
    base = math.floor(stops)
    if base < 0.0:
        for parts in (2, 3, 10):
            over = parts * (stops - base)
            if abs(over - round(over)) < 1e-6 and 0 < round(over) < parts:
                part = f"{round(over)}/{parts}" if parts < 10 else f"{round(over) / parts:g}"
                return f"1/{2**-base} + {part} stop"
    return write_number(share)


def write_aperture(number: float) -> str:
    """Write an aperture number as it stands on a lens: by thirds of a stop, where it is near one.

    Examples
    --------
    >>> write_aperture(2 ** (22 / 6)), write_aperture(8.0), write_aperture(15.1)
    ('f/13', 'f/8', 'f/15.1')
    """
    return f"f/{_marked(number, 6.0 * math.log2(number), APERTURES)}"


def write_iso(number: float) -> str:
    """Write a speed setting as it stands on a camera: by thirds of a stop, where it is near one.

    Examples
    --------
    >>> write_iso(100 * 2 ** (1 / 3)), write_iso(6400.0), write_iso(10.0)
    ('ISO 125', 'ISO 6400', 'ISO 10')
    """
    return f"ISO {_marked(number, 3.0 * math.log2(number / SPEEDS[0]), SPEEDS)}"


def _marked(number: float, place: float, marks: tuple[float, ...]) -> str:
    """Return the mark at a place in a series, or the number where it stands between two."""
    nearest = round(place)
    if 0 <= nearest < len(marks) and abs(place - nearest) < 0.25:
        return f"{marks[nearest]:g}"
    return write_number(number)


def write_inches(value: float, *, share: float) -> str:
    """Write a length in inches: by the coarsest marks of a ruler that come near enough.

    Where none of a 64th and coarser does, in decimals, of as many digits as it takes, three at the
    most.

    Parameters
    ----------
    value
        [m].
    share
        How far what is written may be from it, as a share of it.

    Examples
    --------
    >>> write_inches(0.61, share=0.01), write_inches(0.04, share=0.01)
    ('24 in', '1 9/16 in')
    >>> write_inches(0.0045, share=0.01), write_inches(0.002, share=0.1)
    ('0.177 in', '5/64 in')
    """
    inches = value / UNITS["in"].factor
    for parts in (1, 2, 4, 8, 16, 32, 64):
        whole, over = divmod(round(abs(inches) * parts), parts)
        if abs(whole + over / parts - abs(inches)) <= share * abs(inches):
            sign = "-" if inches < 0.0 else ""
            fraction = f"{over}/{parts}" if over else ""
            number = f"{whole} {fraction}" if whole and over else fraction or f"{whole}"
            return f"{sign}{number} in"
    for digits in (1, 2):
        if abs(float(f"{inches:.{digits}g}") - inches) <= share * abs(inches):
            return f"{write_number(inches, digits)} in"
    return f"{write_number(inches)} in"


def write_feet(value: float) -> str:
    """Write a length [m] in feet.

    Examples
    --------
    >>> write_feet(28.0), write_feet(0.0)
    ('91.9 ft', '0 ft')
    """
    return f"{write_number(value / UNITS['ft'].factor)} ft"


def write_fahrenheit(value: float, *, difference: bool = False) -> str:
    """Write a temperature [K], or a difference of temperatures, in Fahrenheit.

    Examples
    --------
    >>> write_fahrenheit(293.15), write_fahrenheit(1.0, difference=True)
    ('68 F', '1.8 F')
    """
    unit = UNITS["f"]
    degrees = (value - (0.0 if difference else unit.zero)) / unit.factor
    return f"{write_number(round(degrees, 6))} F"
