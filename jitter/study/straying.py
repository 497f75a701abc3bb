"""Judge what a study says of how one value strays: spreads, likeness of the drops, drift."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from jitter.errors import shown
from jitter.quantities import Kind, Quantity, Shape, Spread
from jitter.study.samples import sample_size
from jitter.units.reading import UnreadableError, read_measure, read_spread

Complain = Callable[[str, str, str], None]
"""Takes the part of the key after the value's own, what is wrong, what would be right."""

STRAYING = {"setup": "a spread", "shot": "a spread", "alike": "alike", "drift": "a drift"}
"""The parts that say how a value strays, and what each gives."""

_PER_FRAME = re.compile(r"(?:/|\b(?:per|a|each)) ?frame$", re.IGNORECASE)


def refuse(name: str, complain: Complain) -> None:
    """Refuse a part of a plain setting that would say how it strays.

    Parameters
    ----------
    name
        The part, one of `STRAYING`.
    complain
        Called for the fault.
    """
    wrong = {
        "alike": "this is a plain setting, the same for both drops",
        "drift": "this is a plain setting and does not drift",
    }.get(name, f"this is a plain setting and has no spread: {name}")
    complain(f".{name}", wrong, f"leave {name} out")


def read_alike(declared: Quantity, raw: Any, complain: Complain) -> float:
    """Read how alike the two drops' shot errors are.

    Parameters
    ----------
    declared
        What the value is.
    raw
        What the study gives.
    complain
        Called for each fault; 0 then stands in.
    """
    if not declared.strays:
        refuse("alike", complain)
        return 0.0
    if not declared.paired:
        wrong = "each shot draws this once, not once for each drop"
        complain(".alike", wrong, "leave alike out")
        return 0.0
    right = "write a number from 0 (each drop by itself) to 1 (both the same)"
    try:
        value = read_measure(raw, "1").value
    except UnreadableError as fault:
        complain(".alike", fault.wrong, right)
        return 0.0
    if not 0.0 <= value <= 1.0:
        complain(".alike", f"{shown(raw)} is out of range", right)
        return 0.0
    return value


def read_drift(declared: Quantity, raw: Any, nominal: float, complain: Complain) -> float:
    """Read the rise from one frame to the next.

    Parameters
    ----------
    declared
        What the value is.
    raw
        What the study gives: ``"0.1 mm"``, ``"0.1 mm per frame"``, ``"1 %/frame"``.
    nominal
        The value at the first frame, of which per cents are a share.
    complain
        Called for each fault; 0 then stands in.

    Returns
    -------
    float
        In SI, a frame.
    """
    if not declared.drifts:
        refuse("drift", complain)
        return 0.0
    usual = f'write the rise with each frame, such as "{sample_size(declared, nominal)} per frame"'
    text = _PER_FRAME.sub("", " ".join(raw.split())).strip() if isinstance(raw, str) else raw
    percent = isinstance(text, str) and text.endswith("%")
    try:
        rise = read_measure(text, "1" if percent else declared.unit, difference=True).value
    except UnreadableError as fault:
        complain(".drift", fault.wrong, usual)
        return 0.0
    wrong = ""
    if percent and declared.unit == "K":
        wrong = f"{shown(raw)} is a share of a temperature, whose zero is arbitrary"
    elif percent and declared.unit != "1" and nominal == 0.0:
        wrong = f"{shown(raw)} is a share of the nominal value, which is 0"
    elif percent and declared.kind is not Kind.CHANCE and nominal != 0.0:
        rise *= abs(nominal)
    if abs(rise) > declared.upper - declared.lower:
        wrong, usual = f"{shown(raw)} is more than the whole range of this value", "check its unit"
    if wrong:
        complain(".drift", wrong, usual)
        return 0.0
    return rise


def read_level(
    declared: Quantity, raw: Any, nominal: float, part: str, complain: Complain
) -> Spread | None:
    """Read the spread at one level.

    Parameters
    ----------
    declared
        What the value is.
    raw
        What the study gives.
    nominal
        The value, of which per cents are a share.
    part
        ``.setup`` or ``.shot``, for messages.
    complain
        Called for each fault.

    Returns
    -------
    Spread or None
        None where it cannot be read.
    """
    size = sample_size(declared, nominal)
    if not isinstance(raw, str | int | float) or isinstance(raw, bool):
        complain(part, f"{shown(raw)} is no spread", f'write such as "sd {size}" or "none"')
        return None
    try:
        spread = read_spread(raw, declared.unit, nominal=nominal, size=size)
    except UnreadableError as fault:
        complain(part, fault.wrong, fault.right)
        return None
    if spread.shape is Shape.LOGNORMAL and nominal <= 0.0:
        complain(part, "a lognormal spread needs a value above 0", "write a normal spread: sd …")
        return None
    far = spread.size * (abs(nominal) if spread.relative else 1.0)
    if spread.shape is not Shape.LOGNORMAL and far > declared.upper - declared.lower:
        complain(
            part, f"{shown(raw)} is wider than the whole range of this value", "check its unit"
        )
        return None
    return spread
