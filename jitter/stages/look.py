"""The look of a frame: what somebody who sees it would call it, and what can be measured in it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array, Codes
from jitter.quantities import Basis, Kind, Mark, Quantity
from jitter.stage import Stage
from jitter.stages.fall import Fall, fall_distance
from jitter.stages.verdict import KEEPER, REASONS
from jitter.stages.wobble import Wobble, stretch

LOOKS = (
    "dark",
    "nothing there",
    "one drop in the air",
    "column only",
    "drop above the column",
    "merged without a sheet",
    "umbrella early",
    "umbrella late",
    "lopsided",
    "two images",
    "wrong exposure",
    "smeared",
    "soft",
    "keeper",
)
"""What a frame is called; the words of a log."""

(DARK, NOTHING, DROP, COLUMN, ABOVE, MERGED, EARLY, LATE, LOPSIDED, TWICE, EXPOSED) = range(11)
(SMEARED, SOFT, KEPT) = range(11, len(LOOKS))

BARELY_LIT = 2.0**-4
"""Four stops under, nothing is seen on a dark ground; an assumption."""
SPREAD = 1.5
"""A sheet under so many radii of its drop is not yet called one; an assumption."""
LEAST_SHEET = 60.0
"""Weber number of the meeting from which sheets form: as in the warnings."""

# By whether a drop, and whether the jet, stands in the frame.
_BEFORE = np.array([[NOTHING, COLUMN], [DROP, ABOVE]], dtype=np.uint8)
_CALLED = {
    "early": EARLY,
    "late": LATE,
    "lopsided": LOPSIDED,
    "wrong exposure": EXPOSED,
    "smeared": SMEARED,
    "soft": SOFT,
}
# By the reason; with the others drop and jet never meet in the light.
_AFTER = np.array([*(_CALLED.get(reason, DARK) for reason in REASONS), KEPT], dtype=np.uint8)

DECLARES = (
    Quantity(
        key="camera.frame_height",
        meaning="height of the camera's sensor",
        symbol="h",
        unit="m",
        nominal=None,
        lower=1e-3,
        upper=0.3,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "two thirds of its width"),
        sample=0.024,
    ),
    Quantity(
        key="camera.surface_place",
        meaning="share of the frame's height that lies below the liquid's surface",
        symbol="q",
        unit="1",
        nominal=0.15,
        lower=0.0,
        upper=1.0,
        kind=Kind.SETTING,
        basis=Basis(Mark.COMMON, "a strip of liquid at the lower edge"),
    ),
)


class Look(NamedTuple):
    """What a frame shows."""

    look: Codes
    drop_height: Array
    tip_height: Array
    gap: Array
    sheet_width: Array
    side: Array
    meeting_height: Array


def look(
    *,
    camera_frame_width: float,
    camera_frame_height: float | None,
    camera_surface_place: float,
    magnification: Array,
    surface: Array,
    valve_nozzle_height: Array,
    valve_scatter: Array,
    jet_lean: Array,
    first_diameter: Array,
    second_diameter: Array,
    first_fall: Fall,
    second_fall: Fall,
    first_wobble: Wobble | None,
    second_wobble: Wobble | None,
    first_release: Array,
    second_release: Array,
    first_landing: Array,
    second_landing: Array,
    jet_emerges: Array,
    jet_peaks: Array,
    jet_gone: Array,
    jet_top: Array,
    meeting_time: Array,
    sheet_weber: Array,
    sheet_radius: Array,
    sheet_life: Array,
    light_time: Array,
    age: Array,
    exposure: Array,
    edge_gap: Array,
    keeper_blur: float,
    reason: Codes,
) -> Look:
    """Return what a frame is called, and what can be measured in it.

    A keeper is one by the verdict, whatever is left of its sheet. A frame without light, or four
    stops under, is dark. Once drop and jet have met, the sheet is called after the verdict, unless
    an early one is under 1.5 radii of the drop or the meeting too gentle for one. It is there for
    2/√3 τ, its life in `jitter.stages.sheet`, however far it has drawn back. Before and
    afterwards the frame is called after what stands in it: a drop between the surface and the upper
    edge of the frame, the jet until it is gone by `jitter.stages.jet`. The frame shows the fall
    line in its middle. Several flashes whose edges lie apart by more than a keeper may blur make
    two images.

    Assumed: when the sheet is gone drops of its rim are still in the air, but nobody calls them an
    umbrella. Those and other drops torn off, what the meeting does to the jet, and how people
    differ in what they call a frame, are neglected.

    Parameters
    ----------
    camera_frame_width : float [m]
    camera_frame_height : float [m]
        None for two thirds of the width.
    camera_surface_place : float [1]
    magnification : array (s, n) [1]
    surface : array (s, n) [m]
    valve_nozzle_height : array (s, n) [m]
    valve_scatter : array (2, 2, s, n) [m]
    jet_lean : array (2, s, n) [m]
    first_diameter : array (s, n) [m]
    second_diameter : array (s, n) [m]
    first_fall
    second_fall
    first_wobble
        None for round drops.
    second_wobble
    first_release : array (s, n) [s]
    second_release : array (s, n) [s]
    first_landing : array (s, n) [s]
    second_landing : array (s, n) [s]
    jet_emerges : array (s, n) [s]
    jet_peaks : array (s, n) [s]
    jet_gone : array (s, n) [s]
    jet_top : array (s, n) [m]
    meeting_time : array (s, n) [s]
    sheet_weber : array (s, n) [1]
    sheet_radius : array (s, n) [m]
    sheet_life : array (s, n) [s]
    light_time : array (s, n) [s]
    age : array (s, n) [s]
    exposure : array (s, n) [1]
    edge_gap : array (s, n) [m]
    keeper_blur : float [m]
    reason : array (s, n) of codes

    Returns
    -------
    look : array (s, n) of codes
        Index into `LOOKS`.
    drop_height : array (s, n) [m]
        Lower edge of the lowest drop in the frame over the surface; NaN without one.
    tip_height : array (s, n) [m]
        Of the jet over the surface; NaN where none stands, or it bears a sheet.
    gap : array (s, n) [m]
        From the jet's tip to the drop's lower edge; NaN without both. Below 0 where the drop passes
        the tip aside.
    sheet_width : array (s, n) [m]
        Twice its radius; NaN without one.
    side : array (s, n) [m]
        By how much the drop, or the sheet, stands to the right of the jet; NaN without both.
    meeting_height : array (s, n) [m]
        Of the meeting over the surface; NaN where the frame shows no sheet.

    References
    ----------
    The words are those of the trade and of plain English; common practice, no source.
    """
    height = camera_frame_width / 1.5 if camera_frame_height is None else camera_frame_height
    upper = (1.0 - camera_surface_place) * height / magnification
    lit = ~(np.isnan(light_time) | (exposure < BARELY_LIT))
    when = np.where(lit, light_time, np.nan)
    met = lit & (age >= 0.0)
    spread = met & (age <= sheet_life)

    seen = []
    for fall, wobble, release, landing, size in (
        (first_fall, first_wobble, first_release, first_landing, first_diameter),
        (second_fall, second_wobble, second_release, second_landing, second_diameter),
    ):
        inside = lit & (when > release) & (when < landing)
        # Any time will do where no drop is in the air.
        elapsed = np.where(inside, when - release, 0.01)
        edge = valve_nozzle_height - 0.5 * size * stretch(wobble, elapsed) - surface
        low = edge - fall_distance(fall, elapsed)
        seen.append(np.where(inside & (low < upper), low, np.nan))
    # The first drop is the lower one as long as it is in the air.
    drop = np.where(np.isnan(seen[0]), np.where(met, np.nan, seen[1]), seen[0])
    stands = lit & ~spread & (when >= jet_emerges) & (when <= jet_gone)
    tip = _tip(np.where(stands, when, jet_peaks), jet_emerges, jet_peaks, jet_top)
    tip = np.where(stands, tip, np.nan)
    air = ~np.isnan(drop)

    barely = (reason == REASONS.index("early")) & (sheet_radius < 0.5 * SPREAD * second_diameter)
    twice = (reason == REASONS.index("smeared")) & (edge_gap > keeper_blur)
    names = np.where(spread, _AFTER[reason], _BEFORE[air.astype(int), stands.astype(int)])
    # The later ones go before.
    for shown, word in (
        (spread & twice, TWICE),
        (spread & (barely | (sheet_weber < LEAST_SHEET)), MERGED),
        (~lit, DARK),
        (reason == KEEPER, KEPT),
    ):
        names[np.broadcast_to(shown, names.shape)] = word
    across = valve_scatter[1, 0] - valve_scatter[0, 0] - jet_lean[0]
    return Look(
        look=names,
        drop_height=drop,
        tip_height=tip,
        gap=drop - tip,
        sheet_width=np.where(spread, 2.0 * sheet_radius, np.nan),
        side=np.where(spread | (air & stands), across, np.nan),
        meeting_height=np.where(
            spread, _tip(meeting_time, jet_emerges, jet_peaks, jet_top), np.nan
        ),
    )


def _tip(when: Array, emerges: Array, peaks: Array, top: Array) -> Array:
    """Return the height of the jet's tip over the surface [m]."""
    share: Array = (when - peaks) / (peaks - emerges)
    return top * (1.0 - share**2)


STAGE = Stage(name="look", declares=DECLARES, work=look)
