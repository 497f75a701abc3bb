"""How long a flash's light lasts, told from the streak that a moving glint draws."""

from __future__ import annotations

from jitter.arrays import Array


def duration_from_streak(
    *, streak_length: Array, glint_length: Array, magnification: Array, speed: Array
) -> Array:
    """Return the duration of a light [s] from the streak of a glint on a drop of known speed.

    (streak - glint)/(m v): the flash mirrored in a falling drop is a bright point, which the light
    draws into a streak as bright as the pulse at that moment. Read where the streak has a tenth of
    its greatest brightness (in a file without gamma), it gives t0.1, short by up to a quarter of
    the glint's length: 3 to 8 % where the glint is three eighths of the streak. At half the
    brightness it gives t0.5 of a pulse that is cut off, and there the glint must not be taken off;
    an uncut pulse has no good reading at a half. That the drop gains speed meanwhile is neglected,
    which is 1 % in the first 3 ms at 3 m/s; so is the blur of the lens, which must be short against
    the streak.

    Parameters
    ----------
    streak_length
        On the camera's sensor [m], pixels times their width.
    glint_length
        Of the glint at rest, from a frame with the shortest light [m]; 0 where none is taken off.
    magnification
        Size on the camera's sensor over real size [1].
    speed
        Of the drop across the view [m/s], from how far it has fallen.

    References
    ----------
    Closed form; readings held against the convolution in `jitter.validation.durations`. t0.1, t0.5:
    ISO 2827:1988 (read second-hand).

    Examples
    --------
    A streak of 66 µm, 11 pixels of 6 µm, with a glint of 18 µm, at 0.4 of life size and 2.4 m/s:

    >>> import numpy as np
    >>> length = lambda size: np.array(size)
    >>> duration = duration_from_streak(
    ...     streak_length=length(66e-6), glint_length=length(18e-6),
    ...     magnification=length(0.4), speed=length(2.4))
    >>> round(1e6 * float(duration), 3)
    50.0
    """
    return (streak_length - glint_length) / (magnification * speed)
