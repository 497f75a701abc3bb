"""The hit rate that a question asks for, as people write it."""

from __future__ import annotations

from jitter.errors import Fault, MistakeError, RefusedError, shown

OPTION = "--hit-rate"
RIGHT = "write --hit-rate 80%"


def read_hit_rate(text: str) -> float:
    """Read a hit rate above 0 and up to 1.

    Parameters
    ----------
    text
        ``80%``, ``80 %``, ``0.8``, ``8/10``; a bare number above 1 is meant in per cent.

    Raises
    ------
    MistakeError
        If it is none, or leaves open what it means.
    """
    # Imported here so that --help is answered at once.
    from jitter.units.reading import read_measure

    try:
        read = read_measure(text, "1")
    except RefusedError as refused:
        raise _mistake(refused.wrong, RIGHT) from None
    if read.value == 1.0 and not read.percent:
        wrong = f"{shown(text)} leaves open what it means: every frame, or one in a hundred?"
        raise _mistake(wrong, f"write {OPTION} 100% or {OPTION} 1%")
    share = read.value if read.percent or read.value < 1.0 else read.value / 100.0
    if not 0.0 < share <= 1.0:
        raise _mistake(f"{shown(text)} is not above 0 and up to 100 %", RIGHT)
    return share


def _mistake(wrong: str, right: str) -> MistakeError:
    return MistakeError([Fault("the command line", None, OPTION, wrong, right)])
