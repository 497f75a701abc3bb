"""Read what people write: numbers, fractions, inches, units, spreads."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from difflib import get_close_matches

from jitter.errors import RefusedError, shown
from jitter.quantities import NONE, Shape, Spread
from jitter.units.meant import is_doubtful, whole_and_part, with_point
from jitter.units.table import DIMENSIONS, UNITS, spellings

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?"
_MEASURE = re.compile(
    rf"\s*(?P<f>f/)?(?:(?P<whole>[+-]?\d+)(?P<gap>[ -]+))?(?P<top>{_NUMBER})"
    rf"(?:\s*/\s*(?P<bottom>{_NUMBER}))?\s*(?P<unit>[^\d\s].*?|)\s*",
    re.IGNORECASE,
)
_PLAIN = r"(?:\d+(?:\.\d*)?|\.\d+)"
_RAISED = re.compile(
    rf"\s*(?P<share>{_PLAIN}(?:\s*/\s*{_PLAIN})?)\s*(?P<sign>[+-])"
    r"\s*(?P<stops>[\d.](?:[\d./ ]*[\d.])?)\s*stops?\s*",
    re.IGNORECASE,
)
_SPREAD = re.compile(
    r"\s*(?P<word>lognormal\s+sd|truncated\s+sd|triangular\s+within|arcsine\s+within|sd|within)"
    r"\s+(?P<size>.+)",
    re.IGNORECASE,
)
_ALIKE = str.maketrans(
    {"µ": "u", "μ": "u", "−": "-", "°": None, "³": "3"}
    | {"½": " 1/2", "⅓": " 1/3", "⅔": " 2/3", "¼": " 1/4", "¾": " 3/4"}
)
_SPELT_OUT = {
    **dict.fromkeys(('"', "inch", "inches"), "in"),
    **dict.fromkeys(("sec", "second", "seconds"), "s"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    "msec": "ms",
    "usec": "us",
}
_SHAPES = {
    "sd": Shape.NORMAL,
    "within": Shape.RECTANGULAR,
    "triangular within": Shape.TRIANGULAR,
    "arcsine within": Shape.ARCSINE,
    "lognormal sd": Shape.LOGNORMAL,
    "truncated sd": Shape.TRUNCATED,
}


class UnreadableError(RefusedError):
    """A text that is no measure or spread."""


@dataclass(frozen=True)
class Measure:
    """A number with its unit, read.

    Attributes
    ----------
    value
        In SI.
    percent
        Whether it was written in per cent.
    """

    value: float
    percent: bool


def example(si: str, sample: str = "") -> str:
    """Return a sentence that shows how to write a quantity of an SI unit.

    Parameters
    ----------
    si
        The unit.
    sample
        A value written out; by default a usual one of that dimension.
    """
    units = "as a bare number or in %" if si == "1" else f"in {spellings(si)}"
    return f'write {DIMENSIONS[si][0]} such as "{sample or DIMENSIONS[si][1]}" ({units})'


def read_measure(
    text: str | float, si: str, *, difference: bool = False, right: str = ""
) -> Measure:
    """Read a number with its unit.

    Parameters
    ----------
    text
        ``"19 1/2 in"``, ``"1/20000 s"``, ``"f/13"``, ``"3 %"``; a bare number for pure ratios,
        and ``"1/32 + 1/3 stop"`` for a share, up to 1, that is so many stops above another.
    si
        The SI unit wanted.
    difference
        Whether it is a difference, for which a temperature's zero does not count.
    right
        How it is written right, for messages; by default as a value of that dimension is.

    Returns
    -------
    Measure

    Raises
    ------
    UnreadableError
        If it is no number, has an unknown unit or the wrong dimension.

    Examples
    --------
    >>> read_measure("19 1/2 in", "m").value
    0.4953
    >>> read_measure("1/20000 s", "s").value
    5e-05
    >>> read_measure("68 F", "K").value
    293.15
    >>> read_measure("1/64 + 1 stop", "1").value
    0.03125
    """
    right = right or example(si)
    if isinstance(text, bool):
        raise UnreadableError(f"{shown(text)} is a yes or no", right)
    if not isinstance(text, str | int | float):
        raise UnreadableError(f"{shown(text)} is no number with a unit", right)
    written = str(text).translate(_ALIKE)
    raised = _RAISED.fullmatch(written) if si == "1" and not difference else None
    if raised is not None and (share := read_measure(raised["share"], si).value) <= 1.0:
        stops = read_measure(f"{raised['stops']} stop", "stop").value
        # A thousand is beyond every range, and a finite factor yet.
        return Measure(share * 2.0 ** (min(stops, 1e3) * float(f"{raised['sign']}1")), False)
    match = _MEASURE.fullmatch(written)
    if re.search(r"\d,\d", written):
        raise UnreadableError(f"{shown(text)} has a comma", with_point(written))
    if match is None:
        wanted = "a number" if si == "1" else "a number with a unit"
        raise UnreadableError(f"{shown(text)} is not {wanted}", right)
    value = float(match["top"])
    if match["bottom"] is not None:
        if float(match["bottom"]) == 0.0:
            raise UnreadableError(f"{shown(text)} divides by zero", right)
        if is_doubtful(match):
            raise UnreadableError(f"{shown(text)} leaves open what it means", whole_and_part(match))
        value /= float(match["bottom"])
    if match["whole"] is not None:
        if match["bottom"] is None:
            raise UnreadableError(f"{shown(text)} holds two numbers", right)
        value = math.copysign(abs(float(match["whole"])) + value, float(match["whole"]))
    name = " ".join(match["unit"].lower().split())
    name = _SPELT_OUT.get(name, name)
    unit = UNITS.get(name)
    if unit is None and si == "1" and name[0] in "+-":
        raise UnreadableError(
            f"{shown(text)} is no sum known here",
            'write one number, or a share and its stops such as "1/32 + 1/3 stop"',
        )
    if unit is None:
        near = get_close_matches(name, [known for known in UNITS if known], n=1, cutoff=0.5)
        hint = f", perhaps {near[0]!r}" if near and UNITS[near[0]].si == si else ""
        raise UnreadableError(f"{shown(match['unit'])} is no unit known here{hint}", right)
    if unit.si != si and not (si == "stop" and name == ""):
        if name == "":
            raise UnreadableError(f"{shown(text)} has no unit", right)
        kind = DIMENSIONS[unit.si][0]
        raise UnreadableError(f"{shown(text)} is {kind}, but {DIMENSIONS[si][0]} is wanted", right)
    if match["f"] and name:
        raise UnreadableError(f"{shown(text)} is an aperture with a unit", right)
    if not math.isfinite(value):
        raise UnreadableError(f"{shown(text)} is not a finite number", right)
    zero = 0.0 if difference else unit.zero
    # Fifteen digits, so that "294 ms" is the float 0.294 and not its neighbour.
    return Measure(float(f"{value * unit.factor:.15g}") + zero, name == "%")


def _is_size(text: str, si: str, nominal: float) -> bool:
    """Whether a text says how far a value strays, once it is said what it stands for."""
    try:
        return read_spread(f"sd {text}", si, nominal=nominal) != NONE
    except UnreadableError:
        return False


def read_spread(text: str | float, si: str, *, nominal: float, size: str = "") -> Spread:
    """Read a spread.

    Parameters
    ----------
    text
        ``"sd 0.3 ms"``, ``"within 1 mm"``, ``"triangular within 2 mm"``, ``"arcsine within
        1 mm"``, ``"lognormal sd 0.35"``, ``"truncated sd 0.02 m/s"``, ``"sd 3 %"``, ``"none"``.
    si
        The quantity's SI unit.
    nominal
        Its nominal, of which per cents are a share.
    size
        How far it may stray, such as ``1 mm``, for messages; by default as its dimension may.

    Returns
    -------
    Spread

    Raises
    ------
    UnreadableError
        If it is no spread, or leaves open which of its two meanings it has.

    Examples
    --------
    >>> read_spread("within 1 mm", "m", nominal=0.483)
    Spread(shape=<Shape.RECTANGULAR: 'rectangular'>, size=0.001, relative=False)
    """
    written = str(text).strip()
    if written.lower() == "none":
        return NONE
    match = _SPREAD.fullmatch(written)
    if match is None:
        bare = re.fullmatch(rf"(?:±|\+/-|\+-)?\s*({_NUMBER}.*)", written, re.IGNORECASE)
        usual = size or DIMENSIONS[si][2]
        told = bare[1] if bare and _is_size(bare[1], si, nominal) else usual
        ask = f'write "within {told}" for a half width or "sd {told}" for a standard deviation'
        if bare:
            raise UnreadableError(
                f"{shown(written)} leaves open what it means: half width or standard deviation?",
                ask,
            )
        raise UnreadableError(f"{shown(written)} is no spread", f'{ask}, or "none"')
    shape = _SHAPES[" ".join(match["word"].lower().split())]
    if shape is Shape.LOGNORMAL:
        read = read_measure(match["size"], "1", difference=True)
    elif match["size"].rstrip().endswith("%"):
        read = read_measure(match["size"], "1")
        if si == "K":
            wrong = f"{shown(written)} is a share of a temperature, whose zero is arbitrary"
            raise UnreadableError(wrong, 'write it in degrees, such as "sd 1 K"')
        if nominal == 0.0 and si != "1":
            raise UnreadableError(
                f"{shown(written)} is a share of the nominal value, which is 0",
                f"write it in {spellings(si)}",
            )
    else:
        right = f'write a spread such as "sd {size}"' if size else ""
        read = read_measure(match["size"], si, difference=True, right=right)
    if read.value < 0.0:
        raise UnreadableError(f"{shown(written)} is negative", "write a spread above 0, or none")
    if read.value == 0.0:
        return NONE
    relative = read.percent and nominal != 0.0 and shape is not Shape.LOGNORMAL
    return Spread(shape, read.value, relative)
