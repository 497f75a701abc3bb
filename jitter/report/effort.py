"""How hit rates were worked out, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from jitter.draws.layout import Layout

if TYPE_CHECKING:
    from jitter.answers.effort import Effort

FALLEN_BACK = (
    "random draws, since points did not settle the hit rate: too many frames are lost to what"
    " cannot be integrated"
)
"""Why an answer rests on draws for which nobody asked."""


def effort_words(effort: Effort) -> str:
    """Say what hit rates rest on.

    Parameters
    ----------
    effort
        Points or draws.

    Examples
    --------
    >>> effort_words(Layout(11, 4096, 32))
    'seed 11, 4096 set-ups of 32 shots'
    """
    if isinstance(effort, Layout):
        return f"seed {effort.seed}, {effort.setups} set-ups of {effort.shots} shots"
    return (
        f"seed {effort.seed}, {effort.sets} sets of {effort.points} points, every step integrated"
    )
