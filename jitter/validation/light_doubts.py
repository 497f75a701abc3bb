"""What is doubtful about flash light and sharpness, and what that does to a frame."""

from __future__ import annotations

import numpy as np

from jitter.stages import exposure
from jitter.stages.camera import PAIR_WEIGHT
from jitter.stages.pulse import voltage_controlled
from jitter.units.writing import write_difference, write_percent
from jitter.validation.checks import Doubt
from jitter.validation.exposures import window_share
from jitter.validation.lenses import drawn, item
from jitter.validation.lenses_in_print import INCH
from jitter.validation.pictures import STREAK
from jitter.validation.transfers import dimmed, halved

WINDOW = 0.07
"""Width of a small flash's window [m]."""


def _guide_numbers() -> Doubt:
    spread = next(item.setup.size for item in exposure.DECLARES if item.key == "flash.guide_number")
    assumed = write_difference(2.0 * float(np.log2(1.0 + spread)), "stop", digits=2)
    return Doubt(
        stage="exposure",
        what="Guide numbers are printed to please",
        size=(
            "out of doors at night, flashes were found 2/3 to 1 1/3 stops weaker than printed;"
            f" the spread assumed here is {assumed}"
        ),
        why=(
            "They are stated for the narrowest beam, and for rooms whose walls throw light back (a"
            " photographer's tests, told in a question to a teacher's pages, undated). Of ISO 1230,"
            " which says how to measure them, only the introduction could be read."
        ),
        effect=(
            "Frames come out that much too dark. Take the number from a frame of your own: working"
            " aperture times distance of a right one, at full power and ISO 100; or leave it out:"
            " the exposure then counts as found by trial."
        ),
    )


def _window() -> Doubt:
    losses = [
        write_difference(-float(np.log2(window_share(near, WINDOW))), "stop", digits=2)
        for near in (0.30, 0.15, 0.05)
    ]
    return Doubt(
        stage="exposure",
        what="Near its window a flash does not follow the square of the distance",
        size=(
            f"with a window {1e2 * WINDOW:.0f} cm wide {losses[0]} less light than the law says at"
            f" 30 cm, {losses[1]} at 15 cm, {losses[2]} at 5 cm"
        ),
        why="The law is a point's. Reflectors that throw a beam, and diffusers, leave it farther.",
        effect=(
            "None from five widths of the window on. Nearer, or with a diffuser, find the exposure"
            " by trial."
        ),
    )


def _tail() -> Doubt:
    pulse = voltage_controlled(np.array(1.0), np.array(1e-3))
    even = float(pulse.centroid) * STREAK / halved(dimmed, 3.0)
    more = even / float(pulse.tenth) - 1.0
    return Doubt(
        stage="picture",
        what="t0.1 is not the length of the smear for every pulse",
        size=(
            f"a voltage-controlled flash smears {write_percent(more, digits=0)} more than told, one"
            " quenched near full power up to 18 % less"
        ),
        why="MTF50 weighs the tail of the light, t0.1 knows nothing of what lies beyond a tenth.",
        effect=(
            "Small flashes at a quarter of their power and below are told within 1 %. With a"
            " dimmed strobe allow a fifth more smear."
        ),
    )


def _staggered() -> Doubt:
    return Doubt(
        stage="flash",
        what="How several flashes share the time from the first to the last is not known",
        size=f"spread evenly, their stagger would smear 1/{PAIR_WEIGHT:.2g} of what is told",
        why="The stage takes half the light to come first and half last, the worst they can do.",
        effect="Frames are at least as sharp as told; two flashes are told as they are.",
    )


def _circle() -> Doubt:
    ours = item(drawn(magnification=0.4).circle_of_confusion)
    most = INCH / 500.0 / ours
    return Doubt(
        stage="lens",
        what="What passes for sharp is a convention",
        size=(
            f"{write_difference(ours, 'm')} on the full frame here, 25 to"
            f" {write_difference(INCH / 500.0, 'm', digits=2)} in print: depths of"
            f" {25e-6 / ours:.2g} to {most:.2g} times ours"
        ),
        why="It hangs on the size of the print and on how near one looks.",
        effect=(
            "It moves the depth of field alone: what counts as a keeper is blur against"
            " keeper.blur, at keeper.depth."
        ),
    )


def light_doubts() -> tuple[Doubt, ...]:
    """Return what is doubtful about light and lens, the weightiest first."""
    return (_guide_numbers(), _tail(), _staggered(), _window(), _circle())
