"""Write a study file where nothing stands yet."""

from __future__ import annotations

import os
from pathlib import Path

from jitter.errors import Fault, MistakeError


def judge_target(target: Path, option: str, *, otherwise: str = "name another file") -> Path:
    """Return the file that a new study is to be written to.

    Parameters
    ----------
    target
        As the user named it.
    option
        Where it was named, for messages.
    otherwise
        What to do where something stands there.

    Raises
    ------
    MistakeError
        If it is no name for a study, or something stands there.
    """
    if target.suffix.lower() != ".toml":
        wrong = f"{target.name!r} is no name for a study"
        raise MistakeError([Fault(option, None, str(target), wrong, "end it in .toml")])
    if os.path.lexists(target):
        wrong = "something stands there already"
        raise MistakeError([Fault(option, None, str(target), wrong, otherwise)])
    return target


def write_study(text: str, target: Path, option: str) -> None:
    """Write a new study.

    Parameters
    ----------
    text
        TOML.
    target
        Judged by `judge_target` before the work began, and again here: somebody may have written
        there since.
    option
        Where it was named, for messages.

    Raises
    ------
    MistakeError
        If something stands there, or it cannot be written.
    """
    from jitter.files import write_whole

    judge_target(target, option)
    try:
        write_whole(target, text)
    except OSError as broken:
        why = os.strerror(broken.errno) if broken.errno else str(broken)
        wrong, right = f"the study cannot be written: {why}", "name another place"
        raise MistakeError([Fault(str(target), None, option, wrong, right)]) from None
