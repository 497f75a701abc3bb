"""Numbers that a question names on the command line: keepers, certainties, times."""

from __future__ import annotations

from jitter.errors import Fault, MistakeError, RefusedError, shown


def read_count(text: str, option: str, *, most: int, example: str, least: int = 1) -> int:
    """Read a whole number.

    Parameters
    ----------
    text
        As it was written.
    option
        Whose it is.
    least, most
        The smallest and the largest that are taken.
    example
        How it is written right.

    Raises
    ------
    MistakeError
        If it is none.
    """
    try:
        number = int(text)
    except ValueError:
        raise _mistake(option, f"{shown(text)} is no whole number", example) from None
    if not least <= number <= most:
        wrong = f"{shown(text)} is not from {least} to {most}"
        raise _mistake(option, wrong, example)
    return number


def read_certainty(text: str, option: str) -> float:
    """Read a certainty above 0 and below 1.

    Parameters
    ----------
    text
        As it was written.
    option
        Whose it is.

    Raises
    ------
    MistakeError
        If it is none.
    """
    # Imported here so that --help is answered at once.
    from jitter.units.reading import read_measure

    right = f"write {option} 95%"
    try:
        share = read_measure(text, "1").value
    except RefusedError as refused:
        raise _mistake(option, refused.wrong, right) from None
    if share == 1.0:
        wrong = "nothing that is left to chance is certain"
        raise _mistake(option, wrong, f"{right}, or 99.9%") from None
    if not 0.0 < share < 1.0:
        raise _mistake(option, f"{shown(text)} is not between 0 and 100 %", right)
    return share


def read_worth(text: str, option: str) -> float:
    """Read what a stop of light is worth, a share of keepers from 0 to below 1.

    Parameters
    ----------
    text
        As it was written.
    option
        Whose it is.

    Raises
    ------
    MistakeError
        If it is none.
    """
    from jitter.units.reading import read_measure

    right = f"write {option} 1%, or {option} 0% if light costs you nothing"
    try:
        read = read_measure(text, "1")
    except RefusedError as refused:
        raise _mistake(option, refused.wrong, right) from None
    if read.value == 1.0 and not read.percent:
        wrong = f"{shown(text)} leaves open what it means: every frame, or one in a hundred?"
        raise _mistake(option, wrong, right)
    if not 0.0 <= read.value < 1.0:
        raise _mistake(option, f"{shown(text)} is not from 0 to below 100 %", right)
    return read.value


def read_time(text: str, option: str, *, most: float) -> float:
    """Read a time, 0 or more [s].

    Parameters
    ----------
    text
        As it was written, with its unit.
    option
        Whose it is.
    most
        The longest that is taken [s].

    Raises
    ------
    MistakeError
        If it is none.
    """
    from jitter.units.reading import read_measure

    right = f'write {option} "20 min"'
    try:
        time = read_measure(text, "s").value
    except RefusedError as refused:
        raise _mistake(option, refused.wrong, right) from None
    if not 0.0 <= time <= most:
        raise _mistake(option, f"{shown(text)} is below 0, or longer than a day", right)
    return time


def _mistake(option: str, wrong: str, right: str) -> MistakeError:
    return MistakeError([Fault("the command line", None, option, wrong, right)])
