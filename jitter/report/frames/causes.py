"""What each look means, what usually brings it about, and what to try first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from jitter.stages.look import LOOKS
from jitter.study.study import Study

BY_VALVE_OR_FIRST = (("timer.start", ("first drop", "valve")),)
BY_SECOND = (("timer.start", ("second drop",)),)
BY_A_DROP = (("timer.start", ("first drop", "second drop")),)


class Way(StrEnum):
    """How a quantity has to be off."""

    MORE = "more than reckoned with"
    LESS = "less than reckoned with"
    ASIDE = "off either way"
    WIDER = "straying more"


@dataclass(frozen=True)
class Cause:
    """A usual cause of a look.

    Attributes
    ----------
    words
        In a plain sentence.
    keys
        The quantities at fault, of which a rig has one at the most; none for what the model does
        not know.
    way
        How it is off.
    where
        Choices, each with the words under which it is a cause; none where it always is.
    """

    words: str
    keys: tuple[str, ...] = ()
    way: Way = Way.MORE
    where: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class Kind:
    """A look in plain words.

    Attributes
    ----------
    meaning
        What is in the frame.
    causes
        The usual ones, the likeliest first; the trade's and the simulation's.
    remedy
        What to try first, in sentences.
    """

    meaning: str
    causes: tuple[Cause, ...]
    remedy: str


def causes_here(study: Study, look: int) -> tuple[Cause, ...]:
    """Return the usual causes of a look that a rig can have.

    Parameters
    ----------
    study
        The rig: what it has no part of is no cause, nor what its choices rule out.
    look
        Index into `jitter.stages.look.LOOKS`.
    """
    return tuple(cause for cause in KINDS[LOOKS[look]].causes if _can_be(study, cause))


def _can_be(study: Study, cause: Cause) -> bool:
    chosen = all(study.entries[key].nominal in words for key, words in cause.where)
    active = any(study.entries[key].nominal is not None for key in cause.keys)
    return chosen and (active or not cause.keys)


DELAY_SHORT = Cause("The delay is too short.", ("timer.delay",), Way.LESS)
DELAY_LONG = Cause("The delay is too long.", ("timer.delay",), Way.MORE)
SECOND_LATE = Cause(
    "The second drop comes late: the interval between the drops is too long.",
    ("valve.interval",),
    Way.MORE,
    BY_VALVE_OR_FIRST,
)
SECOND_EARLY = Cause(
    "The second drop comes early: the interval between the drops is too short.",
    ("valve.interval",),
    Way.LESS,
    BY_VALVE_OR_FIRST,
)
BEAM_HIGH = Cause(
    "The beam is higher above the liquid than was reckoned with: the timer starts early.",
    ("sensor.height",),
    Way.MORE,
    BY_A_DROP,
)
BEAM_LOW = Cause(
    "The beam is lower above the liquid than was reckoned with: the timer starts late.",
    ("sensor.height",),
    Way.LESS,
    BY_A_DROP,
)
LEVEL_LOW = Cause(
    "The liquid stands lower than was reckoned with: everything happens later.",
    ("pool.level",),
    Way.LESS,
)
LEVEL_HIGH = Cause(
    "The liquid stands higher than was reckoned with, or has risen: everything happens earlier.",
    ("pool.level",),
    Way.MORE,
)
JET_LOW = Cause(
    "The column is lower than was reckoned with: the drop meets it later.",
    ("jet.height_scale", "jet.height"),
    Way.LESS,
)
JET_HIGH = Cause(
    "The column is higher than was reckoned with: the drop meets it earlier.",
    ("jet.height_scale", "jet.height"),
    Way.MORE,
)
PASSED = Cause("The drop strays sideways and passes the column.", ("valve.scatter",), Way.WIDER)

KINDS: Mapping[str, Kind] = {
    "dark": Kind(
        "No light, or four stops too little and more: nothing is seen.",
        (
            Cause("The sensor missed the drop.", ("sensor.miss_chance",), Way.MORE, BY_A_DROP),
            Cause("The drop fell beside the beam.", ("sensor.offset",), Way.ASIDE, BY_A_DROP),
            Cause("The flash did not fire.", ("flash.dark_chance",), Way.MORE),
            Cause(
                "The flash had not recharged since the frame before.",
                ("flash.full_recycle",),
                Way.MORE,
            ),
            Cause(
                "The shutter was not open when the light fell.", ("camera.shutter_open",), Way.LESS
            ),
        ),
        "Try the links one by one: press the flash's test button, then break the beam with a stick."
        " Put in fresh or charged batteries, leave more time between frames, wipe the sensor. Do"
        " not open the flash, whatever is wrong with it: its capacitor can kill long after it was"
        " switched off. Keep your eyes off its window while you test.",
    ),
    "nothing there": Kind(
        "The liquid is lit, but there is neither a drop nor a column in the frame.",
        (
            Cause(
                "The delay is far too short: the light falls before a drop is in the frame, or"
                " before the column rises.",
                ("timer.delay",),
                Way.LESS,
            ),
            Cause(
                "The delay is far too long: umbrella and column are over.",
                ("timer.delay",),
                Way.MORE,
            ),
            Cause(
                "The interval is far off: the second drop, which starts the timer, comes when no"
                " column stands.",
                ("valve.interval",),
                Way.ASIDE,
                BY_SECOND,
            ),
            Cause("Something else broke the beam: a splash, an insect, a hand.", where=BY_A_DROP),
        ),
        "Work the delay out anew, and see that it was set in the right unit. Then step it by"
        " 10 ms until the drop or the column is in the frame.",
    ),
    "one drop in the air": Kind(
        "A drop is in the air and no column stands below it.",
        (
            Cause(
                "The delay is far too short: it is the first drop, before it lands.",
                ("timer.delay",),
                Way.LESS,
            ),
            Cause(
                "The interval is far off: the second drop comes before the column rises or after it"
                " is gone.",
                ("valve.interval",),
                Way.ASIDE,
                BY_SECOND,
            ),
        ),
        "Find out which drop it is: shut off the second one and take a frame. If the drop is still"
        " there, lengthen the delay; if not, set the interval anew.",
    ),
    "column only": Kind(
        "The column stands alone, before the second drop comes or when the umbrella is over.",
        (
            Cause(
                "The delay is too short by 10 ms and more: the second drop is not there yet.",
                ("timer.delay",),
                Way.LESS,
            ),
            Cause(
                "The delay is too long by 10 ms and more: the umbrella is over.",
                ("timer.delay",),
                Way.MORE,
            ),
            SECOND_LATE,
            SECOND_EARLY,
            BEAM_HIGH,
            Cause("The second drop passed the column and is gone.", ("valve.scatter",), Way.WIDER),
            Cause("The second drop did not come: air or dirt in the valve."),
        ),
        "Watch for two drops with the flash off. If there are two, look for droplets around the"
        " column: where some are in the air the umbrella is over, so shorten the delay by 5 ms at a"
        " time until you see it. Where there are none lengthen it by 5 ms at a time until the"
        " second drop is in the frame.",
    ),
    "drop above the column": Kind(
        "The second drop is still above the column.",
        (DELAY_SHORT, SECOND_LATE, BEAM_HIGH, LEVEL_LOW, JET_LOW, PASSED),
        "Measure the gap between drop and column and lengthen the delay by it: 3 mm are about 1 ms"
        " for a drop that has fallen half a metre. If the drop is still whole where they should"
        " have met, it passes aside: see to the aim instead.",
    ),
    "merged without a sheet": Kind(
        "Drop and column have just met; no sheet to speak of has spread yet.",
        (
            Cause("The delay is too short by a few milliseconds.", ("timer.delay",), Way.LESS),
            SECOND_LATE,
            Cause(
                "The sheet spreads less than was reckoned with: a gentle meeting, a thick liquid.",
                ("sheet.spread_scale",),
                Way.LESS,
            ),
        ),
        "Lengthen the delay by 2 to 3 ms. If there is still no sheet, let the drops fall from"
        " higher up.",
    ),
    "umbrella early": Kind(
        "The umbrella is younger than you want: small and flat, often with what is left of the drop"
        " upon it.",
        (DELAY_SHORT, SECOND_LATE, BEAM_HIGH, LEVEL_LOW, JET_LOW),
        "Lengthen the delay by 1 or 2 ms and take a few frames before you go on: single frames"
        " stray. If early and late ones come by turns, the delay is right and something strays.",
    ),
    "umbrella late": Kind(
        "The umbrella is older than you want: it closes, hangs down, and its rim gathers into"
        " beads.",
        (
            DELAY_LONG,
            SECOND_EARLY,
            BEAM_LOW,
            LEVEL_HIGH,
            JET_HIGH,
            Cause("The flash answers late, as on a radio link.", ("flash.delay",), Way.MORE),
        ),
        "Shorten the delay by 1 or 2 ms and take a few frames before you go on. Top up or drain the"
        " dish to the level that the rig was measured from.",
    ),
    "lopsided": Kind(
        "The umbrella stands askew: the drop struck the column off its middle.",
        (
            Cause(
                "The drops do not fall on one line: a dirty or slanting nozzle, a draught.",
                ("valve.scatter",),
                Way.WIDER,
            ),
            Cause(
                "The column leans: the liquid was not calm, or the table was shaken.",
                ("jet.lean",),
                Way.WIDER,
            ),
            Cause("The column's head is slim against the straying.", ("jet.head_ratio",), Way.LESS),
        ),
        "Wipe the nozzle's tip, stand it upright, keep draughts away, and leave the liquid more"
        " time to calm between frames. Mop up what was spilt: the floor is slippery in the dark.",
    ),
    "two images": Kind(
        "Every edge that moves is there twice.",
        (
            Cause(
                "The flashes do not fire together.",
                ("flash.stagger",),
                Way.MORE,
            ),
            Cause("A flash fires twice: a preflash, a contact that bounces."),
        ),
        "Use one flash alone and see whether the second image goes. Fire several from one cable"
        " rather than by radio or by each other's light, with preflashes off. Before you join old"
        " flashes by wire, measure the voltage of their contacts: it may be hundreds of volts.",
    ),
    "wrong exposure": Kind(
        "Clearly too dark or too bright, but everything is there.",
        (
            Cause(
                "The flash gives more or less light than its setting says.",
                ("flash.energy",),
                Way.ASIDE,
            ),
            Cause(
                "The flash stands at another distance.",
                ("flash.distance",),
                Way.ASIDE,
            ),
            Cause(
                "The flash's guide number is not what its leaflet says.",
                ("flash.guide_number",),
                Way.ASIDE,
            ),
            Cause("Power, aperture or ISO were changed since the last good frame."),
        ),
        "Correct it by aperture, ISO or distance and leave the flash's power alone: with the power"
        " the duration of the light changes too.",
    ),
    "smeared": Kind(
        "What moves is drawn out along its way; what stands still is sharp.",
        (
            Cause("The light lasts too long.", ("flash.duration_scale",), Way.MORE),
            Cause(
                "The flash is set to too much power: it shines longer.",
                ("flash.power",),
                Way.MORE,
                (("flash.kind", ("quenched",)),),
            ),
            Cause(
                "The flash is set to too little power: dimmed by its voltage, it shines longer.",
                ("flash.power",),
                Way.LESS,
                (("flash.kind", ("voltage-controlled",)),),
            ),
        ),
        "Choose the power at which your flash is shortest, and make up for lost light by distance,"
        " ISO or a second flash. Keep lamps off: their light smears as well.",
    ),
    "soft": Kind(
        "Nothing is sharp, what stands still no more than what moves.",
        (
            Cause(
                "The plane of focus lies before or behind the fall line.",
                ("camera.focus",),
                Way.ASIDE,
            ),
            Cause(
                "The lens is opened too wide for the depth that is to be sharp.",
                ("camera.aperture",),
                Way.LESS,
            ),
            Cause("A drop on the lens, or the camera moved."),
        ),
        "Focus by hand on a rod held in the fall line, with the lens wide open, then stop down and"
        " leave the focus alone. Look whether the lens is wet.",
    ),
    "keeper": Kind("What you want: in time, upright, sharp and well lit.", (), "Change nothing."),
}
"""By word of `jitter.stages.look.LOOKS`. Common practice, no source; what names a quantity is held
against the simulation in the tests."""
